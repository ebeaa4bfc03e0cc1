"""Telling a closed circle of notes from notes that send a rep on to one another for different findings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import combinations

from assistant.checking.graph import Graph, Place, Way
from assistant.checking.said import has
from assistant.checking.stems import stems
from assistant.checking.words import command_of
from assistant.model import Note, Step

__all__ = ["closed_circles"]

_LOOKING = frozenset(
    """
    ask check choose compare count examine feel find follow go inspect judge light listen look measure name note open
    photograph read record see sort support tell test trace try unlock walk watch weigh
    """.split()  # noqa: SIM905
)
"""Commands that change nothing about a fault."""
_STATE = stems(
    "wrong bad damaged broken loose cracked crack bare hurt ill whole sound faulty missing gone dead clear clean right "
    "cut flat frayed crushed pinched bent marked chipped if see hear smell find feel show say look lie come stay"
)
"""How a thing is and that it is noticed; what is treated is the thing."""
_ASIDE = r" (?:of|with|for|at|in|on|from|beside|between|by|as|before|after|until|while|whether|that)\b"
_POINTING = r"\b(?:it|they|them|one|there|any|something)\b"
_HISTORY = r"\b(?:was|were|has been|have been|had)\b"
_NEGATED = r"\b(?:no|not|none|never|neither|nor|nothing|without)\b"


def closed_circles(graph: Graph, circles: Iterable[Sequence[Way]]) -> list[tuple[Way, ...]]:
    """Return the circles that a rep cannot leave while the findings last that lead round.

    Every note of a circle is entered at its first step, and leaves for the next one by a choice. The circle is closed
    where all its findings can hold at once and last: none of them says the contrary of another, and no step that
    changes something, and no choice that leads elsewhere, deals with one before another note of the circle is left.
    What has happened ("was changed") always lasts. What a finding is about is told by its words alone: a step that
    cures it in other words is not seen, so that some circles are reported that a rep does leave, and one that only the
    sense of the words closes is not found.

    Not reported are a choice that does a note and comes back, which is no part of a circle; a note whose last resort
    is a person, a part or a withdrawal, as far as it is the way for the case that it still fails that leads on; and two
    notes that send on to each other at their first step, which sort the same trouble by its kind.
    """
    return [tuple(circle) for circle in circles if _closed(graph, circle) and any(way.start.step > 1 for way in circle)]


def _closed(graph: Graph, circle: Sequence[Way]) -> bool:
    findings = [_finding(graph, way) for way in circle]
    if any(_contrary(one, other) for one, other in combinations([w.condition for w in circle], 2)):
        return False
    for finding, way in zip(findings, circle, strict=True):
        if has(way.condition, _HISTORY):
            continue
        others = [other for other in circle if other is not way]
        if finding and any(_deals_with(graph, other, finding) for other in others):
            return False
    return True


def _finding(graph: Graph, way: Way) -> tuple[frozenset[str], ...]:
    """Return what a way is taken for, as stems: of each alternative, or of its step where the choice only points."""
    if way.kind == "fails":
        return ()
    step = graph.notes[way.start.note].steps[way.start.step - 1]
    if re.fullmatch(r"if not", way.condition, re.IGNORECASE):
        said = [branch.condition for branch in step.branches if branch.condition != way.condition] or [step.text]
    else:
        said = re.split(r", | or ", way.condition)
    found = [found for text in said if (found := stems(text) - _STATE)]
    if not found or has(way.condition, _POINTING):
        thing = re.split(_ASIDE, step.text)[0]
        found.append(stems(thing) - _STATE - stems(command_of(thing)))
    return tuple(one for one in found if one)


def _contrary(one: str, other: str) -> bool:
    """Tell whether two conditions speak of the same thing, and one of them denies it."""
    same = (stems(one) & stems(other)) - _STATE
    return bool(same) and has(one, _NEGATED) != has(other, _NEGATED)


def _deals_with(graph: Graph, way: Way, finding: tuple[frozenset[str], ...]) -> bool:
    """Tell whether the note that a way leaves deals with a finding before it is left."""
    note = graph.notes[way.start.note]
    for step in _before(graph, note, way.start):
        cures = command_of(step.text) not in _LOOKING and any(one <= stems(step.text) for one in finding)
        routes = any(
            (branch.note or branch.step is None) and any(one <= stems(branch.condition) for one in finding)
            for branch in step.branches
            if branch.note != way.to.note
        )
        if cures or (routes and step.n != way.start.step):
            return True
    return False


def _before(graph: Graph, note: Note, leaving: Place) -> list[Step]:
    """Return the steps that lie on a way from the first to the one that is left, this one last."""
    if leaving.step > len(note.steps):
        return list(note.steps)
    to = {leaving.step}
    for _ in note.steps:
        to |= {step.n for step in note.steps if _follow(graph, note, step.n) & to}
    seen, waiting = {1}, [1]
    while waiting:
        here = waiting.pop()
        if here != leaving.step:
            new = (_follow(graph, note, here) & to) - seen
            seen |= new
            waiting += new
    return [step for step in note.steps if step.n in seen]


def _follow(graph: Graph, note: Note, n: int) -> set[int]:
    ways = graph.ways.get(Place(note.id, n), ())
    return {
        place.step
        for way in ways
        if way.kind in {"step", "do"} and (place := way.back or way.to).step <= len(note.steps)
    }
