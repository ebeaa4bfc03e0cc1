"""A journal with a clock that tests move."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from tests.making import TRADE


class Clock:
    """Tells a time that `pass_` moves on."""

    def __init__(self) -> None:
        self.time = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time

    def pass_(self, **time: float) -> None:
        """Move on by so many minutes, hours or days."""
        self.time += timedelta(**time)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def journal(tmp_path: Path, clock: Clock) -> Iterator[Journal]:
    with Journal(tmp_path / "journal.db", clock=clock) as journal:
        yield journal


@pytest.fixture
def recorder(journal: Journal, clock: Clock) -> Recorder:
    return Recorder(journal, TRADE, clock=clock)
