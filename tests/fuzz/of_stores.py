"""Packs, journals and all that is written out of a journal."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from assistant.answering.assistant import Assistant
from assistant.cli.output import answer_line
from assistant.desk.sources import read_sources
from assistant.errors import AssistantError
from assistant.journal.export import csv_text, json_lines, read_json_lines
from assistant.journal.records import KINDS
from assistant.journal.store import Journal
from assistant.pack.blocks import block_number, decode_block, encode_block
from assistant.pack.reader import Pack
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import period_report, visit_report
from assistant.visiting.report_forms import report_json, report_markdown
from assistant.visiting.report_message import handoff_text
from assistant.visiting.report_page import report_html
from tests.fuzz.bench import QUESTIONS, Bench, Target, attempt, shown, told
from tests.fuzz.drawing import changed_values, odd_texts, odd_values, raw
from tests.fuzz.of_texts import talk
from tests.making import TRADE
from tests.unit.visiting.conftest import Clock

__all__ = ["TARGETS"]


def _told_by(path: Path) -> list[str] | None:
    """Return what a pack answers, None where it is refused."""
    try:
        with Pack(path) as pack:
            said = talk(Assistant(pack), QUESTIONS)
            for note in pack.note_ids:
                said.append(answer_line(Assistant(pack).show(note)[0]))
            return said
    except AssistantError as error:
        told(error)
        return None


_told_by_whole = lru_cache(maxsize=1)(_told_by)


def _pack_bytes(bench: Bench, drawn: list[dict[str, Any]]) -> None:
    content = bytearray(bench.pack.read_bytes())
    for change in drawn:
        place = int(change["at"] * len(content))
        length, new = change["out"], change["in"].encode("latin-1")
        content[place : place + length] = new if change["moves"] else (new * length)[:length]
    path = bench.fresh("bytes.pack")
    path.write_bytes(content)
    assert _told_by(path) in (None, _told_by_whole(bench.pack)), "an altered pack gives another answer"


_CHANGES_OF_BYTES = st.lists(
    st.fixed_dictionaries(
        {
            "at": st.floats(0, 1, exclude_max=True),
            "out": st.sampled_from((1, 1, 1, 2, 4, 16, 512, 4096, 10**6)),
            "in": st.binary(min_size=1, max_size=4).map(lambda b: b.decode("latin-1")),
            "moves": st.sampled_from((False, False, False, True)),
        }
    ),
    min_size=1,
    max_size=3,
)
_TABLES = {
    "manifest": ("fields", "analysis", "decision", "harm", "emergency", "trade", "sizes", "bias", "notes"),
    **dict.fromkeys(("note", "alarm", "step", "meaning", "term", "form", "slip", "id", "title", "first"), ()),
}


def _pack_rows(bench: Bench, drawn: dict[str, Any]) -> None:
    """Change an entry and seal its block again, as somebody would who means harm."""
    path, table = bench.fresh("rows.pack"), drawn["table"]
    shutil.copy(bench.pack, path)
    with closing(sqlite3.connect(path)) as db:
        blocks = [
            decode_block(table, *row) for row in db.execute(f"SELECT number, content FROM {table} ORDER BY number")
        ]
        keys = sorted(key for block in blocks for key in block)
        if not keys:
            return
        key = drawn["key"] or keys[int(drawn["at"] * len(keys))]
        number = block_number(key, len(blocks))
        blocks[number][key] = _changed_entry(blocks[number][key], drawn)
        content = encode_block(table, number, blocks[number])
        db.execute(f"UPDATE {table} SET content = ? WHERE number = ?", (content, number))
        db.commit()
    _told_by(path)


def _changed_entry(held: bytes, drawn: dict[str, Any]) -> bytes:
    if not drawn["whole"]:
        with suppress(ValueError):
            return _put_into(json.loads(held), drawn["at"], drawn["value"])
    return raw(drawn["text"])


def _put_into(value: Any, at: float, new: Any) -> bytes:
    """Return a JSON value as bytes with one of the values in it, chosen by a share of them all, replaced."""
    places: list[tuple[Any, Any]] = []

    def walk(inner: Any) -> None:
        for key, held in list(inner.items()) if isinstance(inner, dict) else list(enumerate(inner)):
            places.append((inner, key))
            if isinstance(held, (dict, list)):
                walk(held)

    if isinstance(value, (dict, list)):
        walk(value)
    if not places:
        return json.dumps(new).encode()
    inner, key = places[int(at * len(places))]
    inner[key] = new
    return json.dumps(value).encode()


@st.composite
def _changes_of_rows(draw: st.DrawFn) -> dict[str, Any]:
    table = draw(st.sampled_from([*("manifest",) * 4, *("note",) * 3, *_TABLES]))
    return {
        "table": table,
        "key": draw(st.sampled_from(_TABLES[table])) if _TABLES[table] else "",
        "at": draw(st.floats(0, 1, exclude_max=True)),
        "whole": draw(st.sampled_from((False, False, False, True))),
        "text": draw(odd_texts.map(lambda text: raw(text).decode("utf-8", "replace"))),
        "value": draw(odd_values),
    }


def _journal_lines(bench: Bench, drawn: dict[str, Any]) -> None:
    lines = list(bench.lines)
    lines[int(drawn["at"] * len(lines))] = drawn["line"] or _changed_line(lines[int(drawn["at"] * len(lines))], drawn)
    path = bench.fresh("lines.jsonl")
    path.write_bytes(b"".join(raw(f"{line}\n") for line in lines))
    attempt(lambda: read_sources([path]))


def _changed_line(line: str, drawn: dict[str, Any]) -> str:
    record = json.loads(line)
    record[list(record)[int(drawn["field"] * len(record))]] = drawn["value"]
    return json.dumps(record)


_CHANGES_OF_LINES = st.fixed_dictionaries(
    {
        "at": st.floats(0, 1, exclude_max=True),
        "field": st.floats(0, 1, exclude_max=True),
        "line": st.just("")
        | st.just("")
        | odd_texts
        | changed_values([{"kind": "remark", "id": 1, "at": "", "text": "t"}]),
        "value": odd_values,
    }
)


def _journal_rows(bench: Bench, drawn: dict[str, Any]) -> None:
    path = bench.fresh("rows.db")
    shutil.copy(bench.journal, path)
    with closing(sqlite3.connect(path)) as db:
        tables = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        table = tables[int(drawn["table"] * len(tables))]
        columns = [row[1] for row in db.execute(f"PRAGMA table_info({table})")]
        column = columns[int(drawn["column"] * len(columns))]
        value: Any = drawn["value"]
        try:
            changed = "CAST(? AS TEXT)" if drawn["bytes"] else "?"
            value = raw(value) if drawn["bytes"] else value
            db.execute(f"UPDATE {table} SET {column} = {changed}", (value,))
            db.commit()
        except (sqlite3.Error, OverflowError):
            return
    attempt(lambda: _read_all(path))
    attempt(lambda: read_sources([path]))


def _read_all(path: Path) -> None:
    with Journal(path) as journal:
        for report in (lambda: visit_report(journal), lambda: period_report(journal, "2020-01-01", "2030-01-01")):
            attempt(lambda report=report: _outputs(report()))  # type: ignore[misc]
        attempt(lambda: read_json_lines(json_lines(journal), "journal"))
        for kind in KINDS:
            attempt(lambda kind=kind: csv_text(journal, kind))  # type: ignore[misc]


@st.composite
def _changes_of_tables(draw: st.DrawFn) -> dict[str, Any]:
    as_bytes = draw(st.booleans())
    plain = st.none() | st.integers(-(2**63), 2**63 - 1) | st.floats() | st.sampled_from((0, -1, 2, 10**9))
    return {
        "table": draw(st.floats(0, 1, exclude_max=True)),
        "column": draw(st.floats(0, 1, exclude_max=True)),
        "bytes": as_bytes,
        "value": draw(odd_texts if as_bytes else plain),
    }


def _outputs(report: Any) -> None:
    """Check every written form of a report."""
    for full in (False, True):
        shown(report_markdown(report, full=full))
        shown(report_html(report, full=full))
        text = report_json(report, full=full)
        shown(text)
        json.loads(text, parse_constant=_no_number)
    shown(handoff_text(report))


def _no_number(name: str) -> float:
    raise AssertionError(f"{name} is not JSON")


def _exports(bench: Bench, texts: list[str]) -> None:
    """Type odd texts into every field, then write everything out."""
    clock = Clock()
    one, two, three, four = texts
    with Journal(bench.fresh("typed.db"), clock=clock) as journal:
        recorder = Recorder(journal, TRADE, clock=clock)
        acts: list[Callable[[], object]] = [
            lambda: recorder.open_visit(one, two),
            lambda: recorder.open_visit("S-1", two),
            lambda: recorder.arrive(three, four),
            lambda: recorder.see(one, "fault", condition=two),
            lambda: recorder.see("A-1", "fault", condition=four),
            lambda: recorder.switched_off(two, one),
            lambda: recorder.part(three, "wanted", station=one),
            lambda: recorder.count(three, 1),
            lambda: recorder.hand_over(one, station=two, number=three, taken_by=four),
            lambda: recorder.swap("A-1", one, taken_out=two, put_in=three),
            lambda: recorder.incident("spill", four, station=three, told=two),
            lambda: recorder.arrange("A-1", "fault", owner=one),
            lambda: recorder.remark(four, station=one),
            lambda: recorder.close_visit(one, taken_by=two, next_visit=three),
        ]
        for act in acts:
            attempt(act)
        _outputs(visit_report(journal))
        lines = list(json_lines(journal))
        for line in lines:
            shown(line, lines=False)
        held = read_json_lines(lines, "journal")
        for kind in KINDS:
            assert held.every(kind) == journal.every(kind)
            shown(csv_text(journal, kind).replace("\r\n", "\n"))


TARGETS = (
    Target("pack-bytes", _CHANGES_OF_BYTES, _pack_bytes),
    Target("pack-rows", _changes_of_rows(), _pack_rows),
    Target("journal-lines", _CHANGES_OF_LINES, _journal_lines),
    Target("journal-rows", _changes_of_tables(), _journal_rows),
    Target("exports", st.lists(odd_texts, min_size=4, max_size=4), _exports),
)
