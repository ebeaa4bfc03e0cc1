"""What the graph of the notes comes to: how many ways of each kind, circles, dead ends without power."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from assistant.analysis.tokens import json_line, printable
from assistant.checking.circles import closed_circles
from assistant.checking.graph import Graph, Way, build, circles
from assistant.checking.power import Power
from assistant.checking.trade_words import TradeWords
from assistant.model import Corpus

__all__ = ["GraphReport", "graph_json", "graph_report", "graph_text"]

_MOST_ENTERED = 5
_KIND_WORDS = {
    "step": "ways from step to step",
    "end": "ways to the end of the work",
    "go": "choices that leave for another note",
    "do": "choices that do another note and come back",
    "fails": "notes named for the case that it still fails",
}


class GraphReport(NamedTuple):
    """Counts of notes, steps and each kind of way; the rest is what an author looks at.

    ``circles`` are closed ones (see `closed_circles`), ``open_circles`` how many others there are. ``left_off`` are
    ways that end or leave without power, ``unentered`` the notes to which no choice leads, ``entered`` those to which
    most do.
    """

    counts: Mapping[str, int]
    circles: tuple[tuple[Way, ...], ...]
    open_circles: int
    left_off: tuple[Way, ...]
    unentered: tuple[str, ...]
    entered: tuple[tuple[str, int], ...]


def graph_report(corpus: Corpus, words: TradeWords) -> GraphReport:
    """Return what the graph of a corpus comes to, whose trade has these words for power."""
    graph = build(corpus)
    kinds = Counter[str](way.kind for ways in graph.ways.values() for way in ways)
    entered = Counter(way.to.note for way in graph.of_kind("go", "do", "fails"))
    all_circles = circles(graph)
    closed = closed_circles(graph, all_circles)
    return GraphReport(
        {
            "notes": len(graph.notes),
            "steps": sum(len(note.steps) for note in corpus.notes),
            **{kind: kinds[kind] for kind in _KIND_WORDS},
        },
        tuple(closed),
        len(all_circles) - len(closed),
        tuple(_left_off(graph, corpus, words)),
        tuple(sorted(set(graph.notes) - set(entered))),
        tuple(sorted(entered.items(), key=lambda pair: (-pair[1], pair[0]))[:_MOST_ENTERED]),
    )


def _left_off(graph: Graph, corpus: Corpus, words: TradeWords) -> Iterator[Way]:
    power = Power(graph, words)
    for note in corpus.notes:
        yield from power.left_off(note)


def graph_text(report: GraphReport) -> Iterator[str]:
    """Yield the lines of a report."""
    yield f"{report.counts['notes']} notes, {report.counts['steps']} steps"
    yield from (f"  {report.counts[kind]:>5} {words}" for kind, words in _KIND_WORDS.items())
    yield f"Closed circles: {len(report.circles) or 'none'}; {report.open_circles} other circles can be left"
    for circle in report.circles:
        yield "  " + printable(f"{' -> '.join(_way_text(way) for way in circle)} -> {circle[0].start.note}")
    yield f"Dead ends without power: {len(report.left_off) or 'none'}"
    for way in report.left_off:
        to = "ends" if way.kind == "end" else way.to.note
        yield "  " + printable(f"{_way_text(way)} -> {to}")
    yield f"Notes that no choice leads to: {', '.join(report.unentered) or 'none'}"
    yield f"Led to most often: {', '.join(f'{note} ({times})' for note, times in report.entered) or 'none'}"


def _way_text(way: Way) -> str:
    if way.kind == "fails":
        return f"{way.start.note} when it still fails"
    return f"{way.start.note} step {way.start.step}{f' ({way.condition})' if way.condition else ''}"


def graph_json(report: GraphReport) -> str:
    """Return one line of JSON."""
    return json_line(
        {
            "counts": dict(report.counts),
            "circles": [[_way_json(way) for way in circle] for circle in report.circles],
            "open_circles": report.open_circles,
            "left_without_power": [_way_json(way) for way in report.left_off],
            "unentered": list(report.unentered),
            "entered": dict(report.entered),
        }
    )


def _way_json(way: Way) -> dict[str, object]:
    ends = way.kind == "end"
    return {
        "kind": way.kind,
        "note": way.start.note,
        "step": None if way.kind == "fails" else way.start.step,
        "to": None if ends else way.to.note,
        "condition": printable(way.condition),
    }
