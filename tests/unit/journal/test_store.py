"""Tables, adding, reading, erasing; export there and back."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
import types
from contextlib import closing
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import JournalError
from assistant.journal.export import csv_text, json_lines, read_json_lines, schema_lines
from assistant.journal.records import (
    FIELDS,
    KINDS,
    Act,
    Closing,
    Outcome,
    Part,
    Question,
    Remark,
    Visit,
    Work,
    kind_name,
)
from assistant.journal.store import Journal

_SQL = {str: "TEXT", int: "INTEGER", float: "REAL"}


def test_tables_and_kinds_are_the_same(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db"), closing(sqlite3.connect(tmp_path / "a.db")) as db:
        for kind in KINDS:
            hints = get_type_hints(kind)
            columns = {row[1]: (row[2], not row[3]) for row in db.execute(f"PRAGMA table_info({kind_name(kind)})")}
            assert set(columns) == set(kind._fields)
            for field in set(kind._fields) - {"id"}:
                parts = get_args(hints[field]) if isinstance(hints[field], types.UnionType) else (hints[field],)
                plain = next((part for part in parts if part in _SQL), str)
                assert columns[field] == (_SQL[plain], type(None) in parts), (kind, field)
    assert {field for kind in KINDS for field in kind._fields} == set(FIELDS)


def test_adding_is_all_or_nothing(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        with pytest.raises(JournalError, match="not recorded"):
            journal.add_all([Remark("one"), Remark("two", visit=99)])
        assert journal.all(Remark) == []
        work = journal.add(Work("n", "t", "clean", 1, 5))
        journal.add(Outcome(work.id, "mended"))
        with pytest.raises(JournalError, match="UNIQUE"):
            journal.add(Outcome(work.id, "mended"))
        assert journal.get(Work, work.id) == work
        assert journal.get(Work, 99) is None
        assert journal.all(Work, visit=None) == [work]


def test_erasing_what_is_old(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as journal:
        uid = journal.uid
        old, open_ = journal.add(Visit("S-OLD", at="2026-01-01T")), journal.add(Visit("S-OPEN", at="2026-01-02T"))
        journal.add(Closing(old.id, at="2026-01-01T"))
        work = journal.add(Work("n", "t", "clean", 1, 5, visit=old.id, at="2026-01-01T"))
        journal.add(Act(work.id, "done", 1, "erase-me-entirely", at="2026-01-01T"))
        journal.add(Part("pad", "used", visit=old.id, at="2026-01-01T"))
        journal.add(Question("old", "none", "procedure", at="2026-01-01T"))
        journal.add(Question("new", "none", "procedure", at="2026-02-01T"))
        going_on = journal.add(Work("n", "t", "clean", 1, 5, at="2026-01-01T"))
        gone = journal.purge("2026-01-31")
        assert {name: count for name, count in gone.items() if count} == {
            **dict.fromkeys(("act", "closing", "part", "question", "visit", "work"), 1)
        }
        assert [visit.id for visit in journal.all(Visit)] == [open_.id]
        assert [work.id for work in journal.all(Work)] == [going_on.id]
        assert journal.uid == uid
        assert journal.add(Visit("S-3")).id == 3
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"erase-me-entirely" not in left


_texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)


_questions = st.tuples(_texts, _texts, _texts, st.floats(0, 1)).map(
    lambda drawn: Question(drawn[0], drawn[1], drawn[2], confidence=drawn[3])
)


@given(st.lists(_questions, max_size=4))
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_what_is_exported_reads_back_the_same(tmp_path_factory: pytest.TempPathFactory, asked: list[Question]) -> None:
    with Journal(tmp_path_factory.mktemp("j") / "a.db") as journal:
        kept = journal.add_all(asked)
        lines = list(json_lines(journal))
        found = read_json_lines(lines, "export.jsonl")
        assert found.uid == journal.uid
        assert found.all(Question) == kept
        assert all(line.isprintable() for line in lines)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{", "not a JSON object"),
        ('{"kind": "visit"}', "field 'store' is missing"),
        ('{"kind": "moon"}', "newer format"),
        ('{"kind": "visit", "store": 1, "rep": "", "at": "2026-01-01T00:00:00.000Z", "id": 1}', "'store' must be text"),
    ],
)
def test_a_line_that_cannot_be_read_is_named(tmp_path: Path, line: str, told: str) -> None:
    with Journal(tmp_path / "a.db") as journal:
        first = next(json_lines(journal))
    with pytest.raises(JournalError, match=rf"e\.jsonl:2: .*{told}"):
        read_json_lines([first, line], "e.jsonl")
    with pytest.raises(JournalError, match=r"e\.jsonl:1: "):
        read_json_lines([], "e.jsonl")


def test_csv_runs_no_formula(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        journal.add(Remark('=HYPERLINK("x")\n,'))
        rows: list[dict[str, Any]] = list(csv.DictReader(io.StringIO(csv_text(journal, Remark))))
    assert rows[0]["text"].startswith("'=HYPERLINK")
    assert rows[0]["id"] == "1"


def test_the_schema_tells_every_field() -> None:
    text = "\n".join(schema_lines())
    for kind in KINDS:
        assert f"{kind_name(kind)}: " in text
        assert all(f"  {field}: " in text for field in kind._fields)
    assert json.dumps(text)
