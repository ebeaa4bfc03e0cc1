"""A journal as JSON lines, there and back, also of an older program; one kind as CSV."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import JournalError
from assistant.journal.checked import type_of
from assistant.journal.export import csv_text, json_lines, read_json_lines, schema_lines
from assistant.journal.migrations import ADDED, MIGRATIONS
from assistant.journal.records import (
    KINDS,
    Closing,
    Entry,
    Outcome,
    Photo,
    Question,
    Record,
    Remark,
    Sighting,
    Undo,
    Visit,
    Work,
    kind_name,
)
from assistant.journal.store import Journal

FIRST = MIGRATIONS[0][0]
OLD: tuple[tuple[str, dict[str, object]], ...] = (
    ("visit", {"store": "S-1", "rep": "Ina"}),
    ("closing", {"visit": 1, "remark": "tidy"}),
    ("sighting", {"visit": 1, "station": "A-1", "result": "fault", "model": "", "condition": "dark", "note": ""}),
    ("photo", {"name": "a.jpg", "station": "A-1", "shows": "", "visit": 1, "work": None}),
)


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal(tmp_path / "a.db") as journal:
        yield journal


def one_of_each() -> list[Record]:
    """Return a record of each kind with a value in every field, in an order in which they can be added."""
    made: list[Record] = []
    for kind in sorted(KINDS, key=lambda kind: (kind not in (Entry, Visit, Question, Work), KINDS.index(kind))):
        values: dict[str, Any] = {}
        for field in kind._fields:
            plain = {"str": f"some {field}", "float": 0.5, "int": 1, "int | None": 1}
            written = type_of(kind, field)
            values[field] = written[-1] if isinstance(written, tuple) else plain[written]
        made.append(kind(**{**values, "id": 0, "at": "2026-01-01T00:00:00.000Z"}))
        if kind is Entry:
            made[-1] = Entry("some words", at="2026-01-01T00:00:00.000Z")
    return made


def test_every_kind_is_kept_exported_and_read_back_whole(journal: Journal) -> None:
    """Some kinds and fields bear words of SQL, such as release, count and by."""
    kept = [journal.add(record) for record in one_of_each()]
    assert {type(record) for record in kept} == set(KINDS)
    found = read_json_lines(json_lines(journal), "export.jsonl")
    for record in kept:
        kind: type[Any] = type(record)
        assert journal.every(kind) == found.every(kind) == [record]
        header, row = csv.reader(io.StringIO(csv_text(journal, kind), newline=""), strict=True)
        assert tuple(header) == kind._fields
        assert row == ["" if value is None else str(value) for value in record]


def test_what_was_taken_back_is_exported_and_hidden_again(journal: Journal) -> None:
    one, two = journal.add_all([Entry("one"), Entry("two")])
    journal.add_all([Remark("one", entry=one.id), Remark("two", entry=two.id), Remark("none")])
    journal.add(Undo(one.id))
    found = read_json_lines(json_lines(journal), "export.jsonl")
    for kind in KINDS:
        assert found.all(kind) == journal.all(kind)
        assert found.every(kind) == journal.every(kind)
    assert [remark.text for remark in found.all(Remark)] == ["two", "none"]
    assert len(found.every(Remark)) == csv_text(journal, Remark).count("\r\n") - 1 == 3


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


def lines_of(migrations: list[str], *records: tuple[str, dict[str, object]]) -> list[str]:
    rest = {"at": "2026-01-01T00:00:00.000Z", "id": 1}
    header = {"kind": "journal", "uid": "ab12", "format": 1, "migrations": migrations}
    return [json.dumps(header), *(json.dumps({"kind": kind, **fields, **rest}) for kind, fields in records)]


def test_lines_of_the_older_program_are_read_with_nothing_told_of_what_it_did_not_know() -> None:
    found = read_json_lines(lines_of([FIRST], *OLD), "old.jsonl")
    at = "2026-01-01T00:00:00.000Z"
    assert found.all(Visit) == [Visit("S-1", "Ina", entry=None, at=at, id=1)]
    assert found.all(Closing) == [Closing(1, "tidy", "", "", "", entry=None, at=at, id=1)]
    assert found.all(Sighting) == [Sighting(1, "A-1", "fault", condition="dark", plays="", entry=None, at=at, id=1)]
    assert found.all(Photo) == [Photo("a.jpg", "A-1", copy="", visit=1, entry=None, at=at, id=1)]
    assert [*found.all(Entry), *found.all(Undo)] == []


@pytest.mark.parametrize("kind", sorted(ADDED["whole-day"]))
def test_a_field_that_this_program_writes_may_not_be_missing(journal: Journal, kind: str) -> None:
    kept = {kind_name(type(record)): journal.add(record) for record in one_of_each()}[kind]._asdict()
    names = [name for name, _ in MIGRATIONS]
    for field in ADDED["whole-day"][kind]:
        lacks = {name: value for name, value in kept.items() if name not in {field, "id", "at"}}
        assert read_json_lines(lines_of([FIRST], (kind, lacks)), "e.jsonl")
        with pytest.raises(JournalError, match=rf"e\.jsonl:2: the field '{field}' is missing"):
            read_json_lines(lines_of(names, (kind, lacks)), "e.jsonl")


def test_a_field_that_the_older_program_wrote_may_not_be_missing_either() -> None:
    with pytest.raises(JournalError, match=r"e\.jsonl:2: the field 'rep' is missing"):
        read_json_lines(lines_of([FIRST], ("visit", {"store": "S-1"})), "e.jsonl")


def test_a_journal_of_a_newer_program_is_refused() -> None:
    names = [name for name, _ in MIGRATIONS]
    for migrations in ([*names, "tables-of-tomorrow"], names[::-1]):
        with pytest.raises(JournalError, match=r"e\.jsonl:1: .*newer format"):
            read_json_lines(lines_of(migrations), "e.jsonl")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{", "not a JSON object"),
        ('{"kind": "visit"}', "field 'store' is missing"),
        ('{"kind": "moon"}', "newer format"),
        (
            '{"kind": "visit", "store": 1, "rep": "", "entry": null, "at": "2026-01-01T00:00:00.000Z", "id": 1}',
            "'store' must be text",
        ),
        (
            '{"kind": "undo", "entry": null, "at": "2026-01-01T00:00:00.000Z", "id": 1}',
            "'entry' must be whole number",
        ),
        (
            '{"kind": "feedback", "question": 1, "verdict": "so so", "remark": "", "at": "2026-01-01T00:00:00.000Z"}',
            "field 'id' is missing",
        ),
    ],
)
def test_a_line_that_cannot_be_read_is_named(journal: Journal, line: str, told: str) -> None:
    first = next(json_lines(journal))
    with pytest.raises(JournalError, match=rf"e\.jsonl:2: .*{told}"):
        read_json_lines([first, line], "e.jsonl")
    with pytest.raises(JournalError, match=r"e\.jsonl:1: "):
        read_json_lines([], "e.jsonl")


@pytest.mark.parametrize("minutes", ["Infinity", "NaN", "1e999"])
def test_a_number_without_end_is_refused(journal: Journal, minutes: str) -> None:
    work = journal.add(Work("n", "t", "clean", 1, 5))
    journal.add(Outcome(work.id, "mended", 4.5))
    lines = [line.replace('"minutes": 4.5', f'"minutes": {minutes}') for line in json_lines(journal)]
    with pytest.raises(JournalError, match=r"e\.jsonl:3: 'minutes' must be number"):
        read_json_lines(lines, "e.jsonl")


def test_csv_runs_no_formula(journal: Journal) -> None:
    journal.add(Remark('=HYPERLINK("x")\n,'))
    rows: list[dict[str, Any]] = list(csv.DictReader(io.StringIO(csv_text(journal, Remark))))
    assert rows[0]["text"].startswith("'=HYPERLINK")
    assert rows[0]["id"] == "1"


@pytest.mark.parametrize("first", "=+-@\uff1d\uff0b\uff0d\uff20")
@pytest.mark.parametrize("before", ["", "a;", "a; ", ";;", "a;'", 'a;"', '"'])
def test_csv_runs_no_formula_wherever_its_cells_are_parted(journal: Journal, first: str, before: str) -> None:
    """A spreadsheet of some countries parts cells at semicolons, and takes signs in full width for plain ones."""
    journal.add(Remark(f"{before}{first}1+1", station=f"{before}{first}2"))
    text = csv_text(journal, Remark)
    assert all(line.startswith('"') and line.endswith('"') for line in text.split("\r\n")[:-1])
    (row,) = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    assert (row["text"], row["station"]) == (f"{before}'{first}1+1", f"{before}'{first}2")
    for cell in re.split(r"[;\t\r\n]", text):
        assert not cell.lstrip("\" '").startswith(first) or "'" in cell[: cell.index(first)]


def test_csv_leaves_other_signs_alone(journal: Journal) -> None:
    journal.add(Remark("5-3; pad + lead, -left, a@b"))
    (row,) = csv.DictReader(io.StringIO(csv_text(journal, Remark), newline=""))
    assert row["text"] == "5-3; pad + lead, -left, a@b"


def test_the_schema_tells_every_field() -> None:
    text = "\n".join(schema_lines())
    for kind in KINDS:
        assert f"{kind_name(kind)}: " in text
        assert all(f"  {field}: " in text for field in kind._fields)
