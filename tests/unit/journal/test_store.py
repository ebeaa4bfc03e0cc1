"""Tables, adding, reading, taking back."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from assistant.errors import JournalError
from assistant.journal import opening
from assistant.journal.fields import FIELDS
from assistant.journal.migrations import MIGRATIONS
from assistant.journal.records import KINDS, Entry, Remark, Undo, Visit, Work, kind_name
from assistant.journal.store import Journal

_SQL = {"str": "TEXT", "int": "INTEGER", "float": "REAL"}


def test_tables_and_kinds_are_the_same(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db"), closing(sqlite3.connect(tmp_path / "a.db")) as db:
        for kind in KINDS:
            columns = {row[1]: (row[2], not row[3]) for row in db.execute(f"PRAGMA table_info({kind_name(kind)})")}
            assert set(columns) == set(kind._fields)
            for field in set(kind._fields) - {"id"}:
                parts = kind.__annotations__[field].split(" | ")
                plain = next((part for part in parts if part in _SQL), "str")
                assert columns[field] == (_SQL[plain], "None" in parts), (kind, field)
    assert {field for kind in KINDS for field in kind._fields} == set(FIELDS)


def test_listed_tables_are_those_that_the_migrations_make() -> None:
    """Where a migration has changed them, print ``_known_tables`` line by line into ``assistant/journal/tables.py``."""
    assert opening._listed_tables() == opening._known_tables(len(MIGRATIONS))


def test_adding_is_all_or_nothing(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        with pytest.raises(JournalError, match="not recorded"):
            journal.add_all([Remark("one"), Remark("two", visit=99)])
        assert journal.all(Remark) == []
        work = journal.add(Work("n", "t", "clean", 1, 5))
        assert journal.get(Work, work.id) == work
        assert [journal.get(Work, number) for number in (-1, 0, 99, 10**20, -(10**20))] == [None] * 5
        assert journal.all(Work, visit=None) == [work]


def test_writing_in_writing_is_one_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as journal, Journal(path) as other:
        with journal.writing():
            journal.add(Remark("one"))
            with journal.writing():
                journal.add(Remark("two"))
            assert [remark.text for remark in journal.all(Remark)] == ["one", "two"]
            assert other.all(Remark) == []
        assert [remark.text for remark in other.all(Remark)] == ["one", "two"]
        with pytest.raises(ZeroDivisionError), journal.writing():
            journal.add(Remark("three"))
            with journal.writing():
                journal.add(Remark("four"))
                raise ZeroDivisionError
        assert [remark.text for remark in journal.all(Remark)] == ["one", "two"]
        assert journal.add(Remark("five")).id == 3
        assert len(other.all(Remark)) == 3


def test_what_failed_inside_is_not_kept_where_the_rest_goes_on(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        with journal.writing():
            journal.add(Remark("one"))
            with pytest.raises(JournalError, match="not recorded"):
                journal.add_all([Remark("two"), Remark("three", visit=99)])
            journal.add(Remark("four"))
        assert [remark.text for remark in journal.all(Remark)] == ["one", "four"]


def test_what_was_taken_back_is_hidden_and_kept(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        entries = journal.add_all([Entry("one"), Entry("two")])
        journal.add_all([Remark(entry.says, entry=entry.id) for entry in entries])
        journal.add(Remark("none"))
        journal.add(Visit("S-1", entry=entries[0].id))
        undo = journal.add(Undo(entries[0].id))
        assert [remark.text for remark in journal.all(Remark)] == ["two", "none"]
        assert [remark.text for remark in journal.every(Remark)] == ["one", "two", "none"]
        assert journal.all(Visit) == []
        assert journal.get(Remark, 1) is None
        assert journal.all(Undo) == [undo]
        assert journal.all(Entry) == [entries[1]]
        assert journal.every(Entry) == entries
        with pytest.raises(JournalError, match="UNIQUE"):
            journal.add(Undo(entries[0].id))
