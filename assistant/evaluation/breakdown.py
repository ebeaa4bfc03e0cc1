"""First place right by what a question is about: the area and the stations of its note."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion
from assistant.evaluation.run import Outcome, Tally, right_first
from assistant.pack.reader import Pack

__all__ = ["area_of", "by_area", "by_station", "cluster_of", "gold_note", "stations_of"]

NO_STATION = "unknown"
"""Of a labelled note that the pack does not hold."""


def gold_note(question: LabelledQuestion) -> str:
    """Return the note that must come first, the first labelled where several may; empty where no note covers it."""
    return next(iter(question.right_first), "")


def cluster_of(question: LabelledQuestion) -> str:
    """Return the note that a question is drawn with; one without a note stands alone."""
    return gold_note(question) or f"? {question.id}"


def area_of(note: str) -> str:
    """Return the first part of a note's id."""
    return note.partition("-")[0]


def stations_of(pack: Pack) -> dict[str, tuple[str, ...]]:
    """Return the stations of every note."""
    notes = (pack.note(note_id) for note_id in pack.note_ids)
    return {note.id: note.station for note in notes if note}


def by_area(found: Sequence[Outcome]) -> dict[str, Tally]:
    """Return first place right for each area of the answerable questions, by name."""
    return _sorted(found, lambda note: (area_of(note),))


def by_station(found: Sequence[Outcome], stations: Mapping[str, Sequence[str]]) -> dict[str, Tally]:
    """Return first place right for each kind of station; a note for several counts under each."""
    return _sorted(found, lambda note: stations.get(note, (NO_STATION,)))


def _sorted(found: Sequence[Outcome], names: Callable[[str], Sequence[str]]) -> dict[str, Tally]:
    parts: dict[str, dict[str, tuple[int, int]]] = {}
    for outcome in found:
        if outcome.question.manner in ANSWERABLE:
            for name in names(gold_note(outcome.question)):
                parts.setdefault(name, {})[outcome.question.id] = (int(right_first(outcome)), 1)
    return {name: parts[name] for name in sorted(parts)}
