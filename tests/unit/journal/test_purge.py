"""Erasing what is old: whole visits with all that belongs to them, nothing that is open, no loose end."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.errors import JournalError
from assistant.journal import store
from assistant.journal.opening import BUSY_SECONDS
from assistant.journal.records import (
    KINDS,
    Act,
    Closing,
    Count,
    Entry,
    Outcome,
    Part,
    Question,
    Remark,
    Undo,
    Visit,
    Work,
)
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from tests.making import TRADE
from tests.unit.visiting.scene import DEMO

LONG_AFTER = "2027-01-01"


class Days:
    """Tells nine in the morning of a day, a minute later each time."""

    def __init__(self) -> None:
        self.time = datetime(2026, 1, 1, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time

    def pass_(self, days: int) -> None:
        """Move on by so many days."""
        self.time += timedelta(days=days)


@pytest.fixture
def days() -> Days:
    return Days()


@pytest.fixture
def recorder(tmp_path: Path, days: Days) -> Iterator[Recorder]:
    with Journal(tmp_path / "a.db", clock=days) as journal:
        yield Recorder(journal, TRADE, clock=days)


def erase(journal: Journal, before: str) -> dict[str, int]:
    """Count, then erase; return how many of each kind went. No loose end may be left."""
    there = [len(journal.every(kind)) for kind in KINDS]
    counted = journal.count_before(before)
    assert [len(journal.every(kind)) for kind in KINDS] == there
    assert journal.purge(before) == counted
    with closing(sqlite3.connect(journal.path)) as db:
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    assert sum(counted.values()) == sum(there) - sum(len(journal.every(kind)) for kind in KINDS)
    assert set(journal.count_before(before).values()) == {0}
    return {name: count for name, count in counted.items() if count}


def test_erasing_what_is_old(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as journal:
        uid = journal.uid
        old, open_ = (
            journal.add(Visit("S-OLD", at="2026-01-01T00:00:00.000Z")),
            journal.add(Visit("S-OPEN", at="2026-01-02T00:00:00.000Z")),
        )
        journal.add(Closing(old.id, at="2026-01-01T00:00:00.000Z"))
        work = journal.add(Work("n", "t", "clean", 1, 5, visit=old.id, at="2026-01-01T00:00:00.000Z"))
        journal.add(Act(work.id, "done", 1, "erase-me-entirely", at="2026-01-01T00:00:00.000Z"))
        journal.add(Part("pad", "used", visit=old.id, at="2026-01-01T00:00:00.000Z"))
        journal.add(Question("old", "none", "procedure", at="2026-01-01T00:00:00.000Z"))
        journal.add(Question("new", "none", "procedure", at="2026-02-01T00:00:00.000Z"))
        going_on = journal.add(Work("n", "t", "clean", 1, 5, at="2026-01-01T00:00:00.000Z"))
        assert erase(journal, "2026-01-31") == dict.fromkeys(("act", "closing", "part", "question", "visit", "work"), 1)
        assert [visit.id for visit in journal.all(Visit)] == [open_.id]
        assert [work.id for work in journal.all(Work)] == [going_on.id]
        assert journal.uid == uid
        assert journal.add(Visit("S-3")).id == 3
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"erase-me-entirely" not in left


def test_a_reader_that_keeps_words_from_being_erased_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Erasing waits for it a short time that is its own, not the long one of a writer."""
    assert store._WIPE_SECONDS < BUSY_SECONDS / 10
    monkeypatch.setattr(store, "_WIPE_SECONDS", 0)
    path = tmp_path / "a.db"
    with Journal(path) as journal:
        journal.add(Question("erase-me-entirely", "none", "procedure", at="2026-01-01T00:00:00.000Z"))

        def wait() -> object:
            return journal._db.execute("PRAGMA busy_timeout").fetchone()[0]

        with closing(sqlite3.connect(path, isolation_level=None)) as reader:
            reader.execute("BEGIN")
            assert reader.execute("SELECT count(*) FROM question").fetchone() == (1,)
            with pytest.raises(JournalError, match=r"a\.db:1: erased, but another program reads this journal"):
                journal.purge(LONG_AFTER)
            assert (journal.all(Question), wait()) == ([], 30_000)
            assert any(b"erase-me-entirely" in file.read_bytes() for file in tmp_path.iterdir())
            reader.execute("ROLLBACK")
            assert set(journal.purge(LONG_AFTER).values()) == {0}
            assert not any(b"erase-me-entirely" in file.read_bytes() for file in tmp_path.iterdir())


def whole_visit(recorder: Recorder) -> None:
    """Record something of most kinds, some of it taken back."""
    recorder.open_visit("S-1", "Ina")
    recorder.arrive("the duty manager")
    recorder.switched_off("A-4", "noise")
    with recorder.entry("A-1: all at once"):
        recorder.see("A-1", "fault", condition="lamp dark")
        work = recorder.begin(DEMO, station="A-1")
        recorder.part("pad", "used", work=work)
        recorder.swap("A-1", "pad", taken_out="1", put_in="2", work=work)
        recorder.hand_over("no spare", work=work)
        recorder.end(work, "replaced")
    recorder.see("A-2", "fault", condition="lead cut")
    recorder.end(recorder.take_up(DEMO, station="A-2"), "withdrawn")
    recorder.release("A-2", by="desk", number="R-1")
    recorder.arrange("A-2", "fault", owner="desk")
    recorder.incident("near_miss", "tripped over a lead")
    recorder.count("pad", 3)
    recorder.remark("by mistake")
    recorder.undo()
    recorder.close_visit()


def test_a_closed_visit_goes_with_all_its_entries(recorder: Recorder, days: Days) -> None:
    whole_visit(recorder)
    days.pass_(30)
    later = recorder.open_visit("S-2")
    kept = recorder.remark("stays")
    gone = erase(recorder.journal, "2026-01-20")
    assert gone["visit"] == gone["closing"] == gone["undo"] == gone["release"] == gone["count"] == 1
    journal = recorder.journal
    assert journal.every(Visit) == [later]
    assert journal.every(Remark) == [kept]
    assert [entry.id for entry in journal.every(Entry)] == [later.entry, kept.entry]
    for kind in set(KINDS) - {Visit, Entry, Remark}:
        assert journal.every(kind) == []


def test_a_visit_whose_closing_was_taken_back_is_open_and_stays(recorder: Recorder, days: Days) -> None:
    whole_visit(recorder)
    recorder.undo()
    assert recorder.visit is not None
    before = [record for kind in KINDS for record in recorder.journal.every(kind)]
    days.pass_(400)
    assert erase(recorder.journal, LONG_AFTER) == {}
    assert [record for kind in KINDS for record in recorder.journal.every(kind)] == before
    recorder.close_visit()
    assert erase(recorder.journal, LONG_AFTER)["closing"] == 2
    assert recorder.journal.every(Entry) == []


def test_a_visit_that_was_taken_back_goes(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.undo()
    assert erase(recorder.journal, LONG_AFTER) == {"entry": 1, "undo": 1, "visit": 1}


def test_a_work_outside_of_a_visit_stays_while_its_end_was_taken_back(recorder: Recorder) -> None:
    """It was ended on a visit, by an entry of that visit, which goes."""
    work = recorder.take_up(DEMO, station="A-1")
    recorder.open_visit("S-1")
    recorder.end(work, "mended")
    recorder.undo()
    recorder.close_visit()
    assert erase(recorder.journal, LONG_AFTER) == {"outcome": 1, "undo": 1, "closing": 1, "entry": 3, "visit": 1}
    assert recorder.open_works() == [work]
    recorder.end(work, "not_mended")
    assert erase(recorder.journal, LONG_AFTER) == {"outcome": 1, "work": 1, "entry": 2}


def test_what_was_recorded_outside_of_a_visit_goes_by_its_own_time(recorder: Recorder, days: Days) -> None:
    recorder.count("pad", 3)
    recorder.remark("one")
    recorder.undo()
    days.pass_(30)
    recorder.count("pad", 2)
    assert erase(recorder.journal, "2026-01-20") == {"count": 1, "remark": 1, "undo": 1, "entry": 2}
    assert [(count.quantity, count.id) for count in recorder.journal.all(Count)] == [(2, 2)]
    assert recorder.last_entry() is not None


def test_an_undo_counts_after_its_entry_was_erased(recorder: Recorder, days: Days) -> None:
    """Numbers are not used twice: what comes later is not hidden by an old undo."""
    whole_visit(recorder)
    erase(recorder.journal, LONG_AFTER)
    days.pass_(1)
    recorder.open_visit("S-1")
    remark = recorder.remark("new")
    assert recorder.journal.all(Remark) == [remark]
    assert [record for kind in (Undo, Closing, Outcome) for record in recorder.journal.all(kind)] == []
