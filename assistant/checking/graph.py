"""The notes as one directed graph: from step to step, on the way through other notes, and off to them for good."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, NamedTuple

from assistant.checking.flow import falls_through
from assistant.checking.said import sentences
from assistant.model import Corpus, Note

__all__ = ["Graph", "Kind", "Place", "Way", "build", "circles", "has_another_way"]

Kind = Literal["step", "do", "go", "fails", "end"]
_LONGEST_CIRCLE = 4
_LED_ON = re.compile(r'"[^"]+"')
"""The title of a note that a sentence leads to."""


class Place(NamedTuple):
    """A step of a note; one more than the last stands for its end."""

    note: str
    step: int


class Way(NamedTuple):
    """What may follow a step.

    ``step`` goes on in the same note, ``do`` does another note first and comes back at ``back``, ``go`` leaves for
    another note, ``fails`` is a note named for the case that it still fails, ``end`` ends the work, where ``to`` is the
    place behind the last step. ``condition`` is that of the choice, empty where there is none.
    """

    kind: Kind
    start: Place
    to: Place
    condition: str = ""
    back: Place | None = None


class Graph(NamedTuple):
    """The notes by id, and the ways from each place in the order in which they are written."""

    notes: Mapping[str, Note]
    ways: Mapping[Place, tuple[Way, ...]]

    def of_kind(self, *kinds: Kind) -> Iterator[Way]:
        """Yield all ways of some kinds."""
        for ways in self.ways.values():
            yield from (way for way in ways if way.kind in kinds)


def build(corpus: Corpus) -> Graph:
    """Return the graph of a corpus; what leads to a note that is not there is left out."""
    notes = {note.id: note for note in corpus.notes}
    ways: dict[Place, list[Way]] = {}
    for note in corpus.notes:
        for way in _ways_of(note):
            if way.to.note in notes:
                ways.setdefault(way.start, []).append(way)
    return Graph(notes, {start: tuple(found) for start, found in ways.items()})


def _ways_of(note: Note) -> Iterator[Way]:
    end = Place(note.id, len(note.steps) + 1)
    for step in note.steps:
        start, after = Place(note.id, step.n), Place(note.id, step.n + 1)
        for branch in step.branches:
            on = Place(note.id, branch.step) if branch.step else None
            if branch.note and on:
                yield Way("do", start, Place(branch.note, 1), branch.condition, on)
            elif branch.note:
                yield Way("go", start, Place(branch.note, 1), branch.condition)
            elif on:
                yield Way("step", start, on, branch.condition)
            else:
                yield Way("end", start, end, branch.condition)
        if falls_through(step):
            yield Way("end" if after == end else "step", start, after)
    for target in note.on_failure:
        yield Way("fails", end, Place(target, 1))


def circles(graph: Graph) -> list[tuple[Way, ...]]:
    """Return the circles of two to four notes that leave for one another for good, each once, from its first note on.

    A way for the case that it still fails counts only where that section of the note is nothing but links.
    """
    leaving: dict[str, list[Way]] = {}
    for way in graph.of_kind("go", "fails"):
        if way.kind == "go" or not has_another_way(graph.notes[way.start.note]):
            leaving.setdefault(way.start.note, []).append(way)
    found: list[tuple[Way, ...]] = []
    for first in sorted(leaving):
        _search(leaving, first, (), found)
    return found


def _search(
    leaving: Mapping[str, Iterable[Way]], first: str, path: tuple[Way, ...], found: list[tuple[Way, ...]]
) -> None:
    here = path[-1].to.note if path else first
    for way in leaving.get(here, ()):
        if way.to.note == first:
            found.append((*path, way))
        elif (
            way.to.note > first
            and len(path) + 1 < _LONGEST_CIRCLE
            and way.to.note not in {step.start.note for step in path}
        ):
            _search(leaving, first, (*path, way), found)


def has_another_way(note: Note) -> bool:
    """Tell whether a sentence of "If it still fails" leads to no other note: to a person, a part or a withdrawal."""
    return not all(_LED_ON.search(sentence) for sentence in sentences(note.if_it_still_fails))
