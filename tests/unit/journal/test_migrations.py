"""A journal that an older program made, opened by this one: nothing lost, no number used twice."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from assistant.journal import store
from assistant.journal.migrations import ADDED, MIGRATIONS
from assistant.journal.records import KINDS, Closing, Entry, Outcome, Photo, Sighting, Undo, Visit, Work, kind_name
from assistant.journal.store import Journal

AT = "2026-01-01T00:00:00.000Z"
ROWS = f"""
INSERT INTO visit (at, store, rep) VALUES ('{AT}', 'S-1', ''), ('{AT}', 'S-2', ''), ('{AT}', 'S-3', '');
INSERT INTO closing (at, visit, remark) VALUES ('{AT}', 1, 'one'), ('{AT}', 2, 'two'), ('{AT}', 3, 'three');
INSERT INTO sighting (at, visit, station, result, model, condition, note)
    VALUES ('{AT}', 1, 'A-1', 'fault', 'pad', 'dark', '');
INSERT INTO work (at, note, title, action, revision, minutes, station, condition)
    VALUES ('{AT}', 'n', 't', 'clean', 1, 5, 'A-1', ''), ('{AT}', 'n', 't', 'clean', 1, 5, 'A-2', '');
INSERT INTO outcome (at, work, outcome, minutes, remark)
    VALUES ('{AT}', 2, 'mended', 4, 'a'), ('{AT}', 1, 'done', 2, '');
INSERT INTO photo (at, name, station, shows) VALUES ('{AT}', 'a.jpg', 'A-1', '');
DELETE FROM closing WHERE id = 3;
DELETE FROM outcome WHERE id = 2;
"""


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal that the first migration alone made, of which the newest closing and outcome were erased."""
    path = tmp_path / "old.db"
    with monkeypatch.context() as earlier:
        earlier.setattr(store, "MIGRATIONS", MIGRATIONS[:1])
        Journal(path).close()
    with closing(sqlite3.connect(path)) as db:
        db.executescript(ROWS)
    return path


def test_what_was_there_stays_with_its_numbers(old: Path) -> None:
    with Journal(old) as journal:
        assert journal.all(Closing) == [Closing(n, text, at=AT, id=n) for n, text in ((1, "one"), (2, "two"))]
        assert journal.all(Outcome) == [Outcome(2, "mended", 4, "a", at=AT, id=1)]
        assert journal.all(Sighting) == [Sighting(1, "A-1", "fault", "pad", "dark", at=AT, id=1)]
        assert journal.all(Photo) == [Photo("a.jpg", "A-1", at=AT, id=1)]
        assert [visit.entry for visit in journal.all(Visit)] == [None] * 3
        assert [work.id for work in journal.all(Work)] == [1, 2]
    with closing(sqlite3.connect(old)) as db:
        assert [row[0] for row in db.execute("SELECT name FROM migration ORDER BY id")] == [n for n, _ in MIGRATIONS]
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_number_is_never_used_twice_even_where_the_newest_was_erased(old: Path) -> None:
    with Journal(old) as journal:
        assert journal.add(Closing(3)).id == 4
        assert journal.add(Outcome(1, "mended")).id == 3
    with Journal(old) as journal:
        assert journal.add(Visit("S-4")).id == 4


def test_a_closing_may_be_taken_back_and_made_again(old: Path) -> None:
    with Journal(old) as journal:
        entry = journal.add(Entry("visit closed"))
        journal.add(Closing(3, entry=entry.id))
        journal.add(Undo(entry.id))
        assert journal.add(Closing(3)).id == 5
        assert [closing.id for closing in journal.all(Closing, visit=3)] == [5]


def test_what_a_migration_added_is_told(old: Path) -> None:
    def fields() -> dict[str, set[str]]:
        with closing(sqlite3.connect(old)) as db:
            found = {kind_name(k): db.execute(f"PRAGMA table_info({kind_name(k)})").fetchall() for k in KINDS}
        return {name: {row[1] for row in rows} for name, rows in found.items() if rows}

    before = fields()
    Journal(old).close()
    added = {name: after - before[name] for name, after in fields().items() if name in before and after != before[name]}
    assert added == {name: set(told) for name, told in ADDED["whole-day"].items()}
