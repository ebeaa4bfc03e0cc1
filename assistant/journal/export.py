"""A journal as JSON lines, there and back, and one kind of record as CSV."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar, cast

from assistant.analysis.tokens import json_line, printable
from assistant.errors import JournalError
from assistant.journal.checked import fault_of, in_words, type_of
from assistant.journal.fields import FIELDS
from assistant.journal.migrations import ADDED, MIGRATIONS
from assistant.journal.records import KINDS, Entry, Record, Undo, kind_name
from assistant.journal.store import Journal

__all__ = ["FORMAT", "Export", "csv_table", "csv_text", "json_lines", "read_json_lines", "schema_lines"]

FORMAT = 1
_HEADER = {
    "uid": "text; tells this journal from all others",
    "format": f"whole number; {FORMAT}",
    "migrations": "list of text; how the tables came to be",
}
_FORMULA = re.compile("(^|[;\t])([\" ']*)([=+\\-@\t\r\uff1d\uff0b\uff0d\uff20])")
"""Begins a formula, also in full width: the text, or what parting it at a semicolon or a tab would leave."""
_SHOWN = 60
R = TypeVar("R", bound=Record)


class Export(NamedTuple):
    """What the JSON lines of one journal hold."""

    uid: str
    records: Mapping[type[Record], Sequence[Record]]

    def all(self, kind: type[R]) -> list[R]:
        """Return the records of a kind, oldest first, without those that were taken back, as `Journal.all` does."""
        if kind is Undo:
            return self.every(kind)
        back = {undo.entry for undo in self.every(Undo)}
        field = "id" if kind is Entry else "entry"
        return [record for record in self.every(kind) if getattr(record, field, None) not in back]

    def every(self, kind: type[R]) -> list[R]:
        """Return all records of a kind, oldest first, also those that were taken back."""
        return cast("list[R]", list(self.records[cast("type[Record]", kind)]))


def json_lines(journal: Journal) -> Iterator[str]:
    """Yield a journal as lines of JSON without line ends, all as of one moment.

    The first line tells which journal it is; then comes one line a record, kind by kind in the order of `KINDS`, oldest
    first, with those that were taken back. Characters that a terminal could act on are written as escapes.
    """
    with journal.snapshot():
        records = [record for kind in KINDS for record in journal.every(kind)]
    names = [name for name, _ in MIGRATIONS]
    yield json_line({"kind": "journal", "uid": journal.uid, "format": FORMAT, "migrations": names})
    for record in records:
        yield json_line({"kind": kind_name(type(record)), **record._asdict()})


def read_json_lines(text_lines: Iterable[str], shown_name: str) -> Export:
    """Read what `json_lines` wrote, now or before a later migration: what a record has no field for is not told then.

    Parameters
    ----------
    text_lines
        With or without line ends. Open a file with ``errors="surrogateescape"``: then a line that is not UTF-8 is told
        by its number too.
    shown_name
        Stands in messages for the place that the lines come from.

    Raises
    ------
    JournalError
        At the first line that is not as `schema_lines` tells, as ``name:line: message``.
    """
    uid = ""
    lacking: Mapping[str, Collection[str]] = {}
    records: dict[type[Record], list[Record]] = {kind: [] for kind in KINDS}
    number = 0
    for number, line in enumerate(text_lines, start=1):
        try:
            data = _object(line)
            if number == 1:
                uid, lacking = _journal(data)
                continue
            record = _record(data, lacking)
            earlier = records[type(record)]
            if record.id <= (earlier[-1].id if earlier else 0):
                raise ValueError(f"'id' must be more than that of the {kind_name(type(record))} before")
            earlier.append(record)
        except ValueError as error:
            raise JournalError(f"{shown_name}:{number}: {error}") from error
    if not number:
        raise JournalError(f"{shown_name}:1: empty: the line that begins a journal is missing")
    return Export(uid, records)


def csv_text(journal: Journal, kind: type[Record]) -> str:
    """Return the records of a kind as CSV, oldest first, with those that were taken back and a header row."""
    return csv_table(kind._fields, journal.every(kind))


def csv_table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table as CSV (RFC 4180, lines end in CR LF).

    Every field stands in quotes. Text is made printable, and an apostrophe is put before what a spreadsheet would take
    for a formula, at its begin or, for those that part cells at another character, within it (OWASP, CSV Injection,
    from memory); numbers stay as they are; None is an empty cell.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n", quoting=csv.QUOTE_ALL)
    writer.writerows([_cell(value) for value in row] for row in (header, *rows))
    return stream.getvalue()


def schema_lines() -> Iterator[str]:
    """Yield what the JSON lines hold: each kind, its fields, their types and meanings."""
    yield "journal: The first line; which journal this is."
    yield from (f"  {name}: {told}" for name, told in _HEADER.items())
    for kind in KINDS:
        yield f"{kind_name(kind)}: {(kind.__doc__ or '').replace('``', '')}"
        yield from (f"  {name}: {in_words(type_of(kind, name))}; {FIELDS[name]}" for name in kind._fields)


def _cell(value: object) -> object:
    if not isinstance(value, str):
        return value
    return _FORMULA.sub(r"\1\2'\3", printable(value))


def _object(line: str) -> dict[str, Any]:
    try:
        data = json.loads(line.encode())
    except UnicodeEncodeError as error:
        raise ValueError("not valid UTF-8") from error
    except (ValueError, RecursionError) as error:
        raise ValueError("not a JSON object") from error
    if not isinstance(data, dict):
        raise ValueError("not a JSON object")
    return data


def _journal(data: dict[str, Any]) -> tuple[str, Mapping[str, Collection[str]]]:
    """Return the uid that the first line tells, and the fields that the lines of each kind lack."""
    if data.pop("kind", None) != "journal":
        raise ValueError("not an exported journal: the first line must be of the kind 'journal'")
    made, known = data.get("migrations"), [name for name, _ in MIGRATIONS]
    if data.get("format") != FORMAT or not isinstance(made, list) or made != known[: len(made)]:
        raise _newer("format")
    _check_names(data, tuple(_HEADER))
    uid = data["uid"]
    if not isinstance(uid, str) or not uid:
        raise ValueError("'uid' must be text that is not empty")
    return uid, _lacking(made)


def _lacking(made: Sequence[str]) -> Mapping[str, Collection[str]]:
    """Return the fields of each kind that a journal which was made by these migrations alone does not have."""
    lacking: dict[str, set[str]] = {}
    for migration, fields in ADDED.items():
        if migration not in made:
            for name, added in fields.items():
                lacking.setdefault(name, set()).update(added)
    return lacking


def _record(data: dict[str, Any], lacking: Mapping[str, Collection[str]]) -> Record:
    name = data.pop("kind", None)
    kind = next((kind for kind in KINDS if kind_name(kind) == name), None)
    if kind is None:
        raise _newer(f"kind {_shown(name)}") if isinstance(name, str) else ValueError("'kind' must be text")
    _check_names(data, kind._fields, lacking.get(kind_name(kind), ()))
    record = kind(**data)
    wrong = fault_of(kind, record)
    if wrong:
        raise ValueError(wrong)
    return record


def _check_names(data: dict[str, Any], known: tuple[str, ...], lacking: Collection[str] = ()) -> None:
    for name in data:
        if name not in known:
            raise _newer(f"field {_shown(name)}")
    for name in known:
        if name not in data and name not in lacking:
            raise ValueError(f"the field '{name}' is missing")


def _newer(what: str) -> ValueError:
    return ValueError(f"unknown {what}: this is of a newer format: update the program")


def _shown(name: str) -> str:
    return f"'{printable(name)[:_SHOWN]}'"
