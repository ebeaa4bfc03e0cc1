"""The shipped corpus, checked once."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.book import read_book
from assistant.checking.check import Found, check
from assistant.checking.registry import all_rules
from assistant.checking.rule import Book
from tests.unit.checking.seeds import TODAY


@pytest.fixture(scope="session")
def shipped_book() -> Book:
    return read_book(Path(__file__).parents[3] / "corpus", TODAY)


@pytest.fixture(scope="session")
def shipped_found(shipped_book: Book) -> list[Found]:
    return check(shipped_book, all_rules())
