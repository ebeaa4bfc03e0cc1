"""A published fact, the check that the notes agree with it, and a note that gets it wrong."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field

from assistant.model import Note
from tests.outside.broken import broken_note
from tests.outside.world import (
    TELLING,
    Notes,
    Rule,
    Said,
    advises,
    all_notes,
    at,
    choices_like,
    figures,
    has,
    said,
    steps_like,
    whole_text,
    without_titles,
)

ORDERS = ("before", "steps", "choices", "fails")


@dataclass(frozen=True, slots=True)
class Fact:
    """What is held, the publication that says so and how it is known, the check, and a note in which it finds a fault.

    Where there are several checks, each has to find one. ``wrong`` are changes to a plain note, as `broken_note` takes
    them.
    """

    name: str
    source: str
    rule: Rule | tuple[Rule, ...]
    wrong: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return self.name

    @property
    def rules(self) -> tuple[Rule, ...]:
        """Return the checks, one or several."""
        return self.rule if isinstance(self.rule, tuple) else (self.rule,)


def agrees(fact: Fact) -> None:
    """Assert that no note contradicts the fact."""
    found = [one for rule in fact.rules for one in rule(all_notes())]
    assert found == [], f"{fact.name}: {fact.source}"


def can_fail(fact: Fact) -> None:
    """Assert that each check finds the fault of the wrong note, and that its source says how it is known."""
    note = broken_note(**fact.wrong)
    assert [number for number, rule in enumerate(fact.rules) if not rule([note])] == []
    assert has(fact.source, r"\((?:read|restated|from memory|computed|inference)\b|common practice")


def never(pattern: str, *sections: str) -> Rule:
    """Return the rule that no note says to do what ``pattern`` describes."""

    def rule(notes: Notes) -> list[str]:
        told = said(notes, *(sections or ORDERS))
        return [_place(one) for one in told if advises(without_titles(one.text), pattern)]

    return rule


def unsaid(pattern: str, unless: str = r"(?!)") -> Rule:
    """Return the rule that no sentence holds ``pattern``, forbidden or not, but one that holds ``unless`` as well."""
    return lambda notes: [_place(one) for one in said(notes) if has(one.text, pattern) and not has(one.text, unless)]


def only(topic: str, unit: str, values: Collection[float], *sections: str) -> Rule:
    """Return the rule that sentences on ``topic`` name no other figure of ``unit`` than ``values``."""
    return lambda notes: [
        _place(one)
        for one in said(notes, *sections)
        if has(one.text, topic) and set(figures(one.text, unit)) - set(values)
    ]


def says(id: str, pattern: str, *sections: str) -> Rule:
    """Return the rule that the note ``id`` says ``pattern``."""

    def rule(notes: Notes) -> list[str]:
        return _each(notes, id, lambda note: has(whole_text(note, *(sections or TELLING)), pattern), f"no {pattern}")

    return rule


def order(id: str, *stages: str) -> Rule:
    """Return the rule that the steps of the note ``id`` come to the ``stages`` in this order."""

    def in_order(note: Note) -> bool:
        text = "\n".join(step.text for step in note.steps)
        found = [m.start() for stage in stages if (m := re.search(stage, text, re.IGNORECASE | re.MULTILINE))]
        return len(found) == len(stages) and found == sorted(found)

    return lambda notes: _each(notes, id, in_order, f"not in the order {' < '.join(stages)}")


def leads(condition: str, targets: Collection[str], own: Collection[str] = ()) -> Rule:
    """Return the rule that choices that hold ``condition`` lead to one of ``targets``, but in the notes ``own``."""
    return lambda notes: [
        at(note, branch.text, step)
        for note, step, branch in choices_like(notes, condition)
        if branch.note not in targets and note.id not in {*targets, *own}
    ]


def wherever(step: str, needed: str, unless: str = r"(?!)") -> Rule:
    """Return the rule that each step that holds ``step`` holds ``needed`` as well, in its text or in a choice."""
    return lambda notes: [
        at(note, one.text, one)
        for note, one in steps_like(notes, step)
        if not has(" ".join((one.text, *(b.text for b in one.branches))), needed) and not has(one.text, unless)
    ]


def _each(notes: Notes, id: str, holds: Callable[[Note], bool], fault: str) -> list[str]:
    wanted = [note for note in notes if note.id == id]
    if not wanted:
        return [f"there is no note {id}"]
    return [at(note, fault) for note in wanted if not holds(note)]


def _place(one: Said) -> str:
    return f"{one.place}: {one.text}"
