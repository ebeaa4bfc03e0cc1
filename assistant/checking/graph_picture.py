"""The graph of the notes as a picture: one box a note, grouped by area, and lines for where they lead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from assistant.checking.graph import Graph, Way
from assistant.model import Trade
from assistant.webpage.templates import picture_of

__all__ = ["graph_svg"]

_COLUMNS = 5
_BOX_WIDTH, _BOX_HEIGHT, _ROW = 176, 18, 24
_GAP, _EDGE, _TOP = 150, 24, 64
_HEAD = 30
_LABEL = 28
_LINES = {"go": "goes to", "do": "is done on the way", "fails": "is named when it still fails"}
_MARKED = ("withdraw", "escalate")
"""Actions whose boxes have a colour of their own."""


class _Box(NamedTuple):
    column: int
    x: int
    y: int


class _Line(NamedTuple):
    kind: str
    curve: str
    what: str


class _Shown(NamedTuple):
    box: _Box
    kind: str
    title: str
    label: str


def graph_svg(graph: Graph, trade: Trade) -> str:
    """Return a picture that stands alone: it needs no other file and runs nothing.

    A box shows the id of a note and, when pointed at, its title; a line, when pointed at, the choices that it stands
    for. Lines of one kind between the same two notes are one line.
    """
    boxes, heads = _places(_areas(graph, trade), trade)
    return picture_of(
        "graph.svg.j2",
        width=2 * _EDGE + _COLUMNS * (_BOX_WIDTH + _GAP),
        height=max((box.y for box in boxes.values()), default=_TOP) + _ROW + _EDGE,
        kinds=_LINES,
        marked=_MARKED,
        edge=_EDGE,
        wide=_BOX_WIDTH,
        high=_BOX_HEIGHT,
        lines=list(_lines(graph, boxes)),
        heads=heads,
        boxes=list(_boxes(graph, boxes)),
    )


def _areas(graph: Graph, trade: Trade) -> dict[str, list[str]]:
    """Return the notes of each area, in the order of the trade."""
    found: dict[str, list[str]] = {area: [] for area in trade.areas}
    for note in sorted(graph.notes):
        found.setdefault(note.partition("-")[0], []).append(note)
    return {area: notes for area, notes in found.items() if notes}


def _places(areas: Mapping[str, list[str]], trade: Trade) -> tuple[dict[str, _Box], list[tuple[str, int, int]]]:
    """Return the place of each box, and of the name of each area; an area is never cut."""
    boxes: dict[str, _Box] = {}
    heads: list[tuple[str, int, int]] = []
    fair = sum(_HEAD + _ROW * len(notes) for notes in areas.values()) / _COLUMNS
    column, y = 0, _TOP
    for area, notes in areas.items():
        tall = _HEAD + _ROW * len(notes)
        if column < _COLUMNS - 1 and y > _TOP and y - _TOP + tall / 2 > fair:
            column, y = column + 1, _TOP
        x = _EDGE + column * (_BOX_WIDTH + _GAP)
        heads.append((trade.areas.get(area, area), x, y + 14))
        for place, note in enumerate(notes):
            boxes[note] = _Box(column, x, y + _HEAD - 6 + place * _ROW)
        y += tall
    return boxes, heads


def _lines(graph: Graph, boxes: Mapping[str, _Box]) -> Iterator[_Line]:
    merged: dict[tuple[str, str, str], list[Way]] = {}
    for way in graph.of_kind("go", "do", "fails"):
        merged.setdefault((way.kind, way.start.note, way.to.note), []).append(way)
    for (kind, start, to), ways in merged.items():
        told = "; ".join(f"step {way.start.step}: {way.condition}" for way in ways if way.condition)
        what = f"{graph.notes[start].title} -> {graph.notes[to].title}{f' ({told})' if told else ''}"
        yield _Line(kind, _curve(boxes[start], boxes[to]), what)


def _curve(start: _Box, to: _Box) -> str:
    """Return a curve between the sides that face each other, round the right side within a column."""
    y1, y2 = start.y + _BOX_HEIGHT // 2, to.y + _BOX_HEIGHT // 2
    if start.column == to.column:
        x, bend = start.x + _BOX_WIDTH, 20 + min(100, abs(y2 - y1) // 4)
        return f"M{x} {y1}C{x + bend} {y1} {x + bend} {y2} {x} {y2}"
    right = start.column < to.column
    x1, x2 = (start.x + _BOX_WIDTH, to.x) if right else (start.x, to.x + _BOX_WIDTH)
    bend = (_GAP // 2) if right else -(_GAP // 2)
    return f"M{x1} {y1}C{x1 + bend} {y1} {x2 - bend} {y2} {x2} {y2}"


def _boxes(graph: Graph, boxes: Mapping[str, _Box]) -> Iterator[_Shown]:
    for name, box in boxes.items():
        note = graph.notes[name]
        label = name if len(name) <= _LABEL else f"{name[: _LABEL - 3]}..."
        yield _Shown(box, f"note {note.action}" if note.action in _MARKED else "note", note.title, label)
