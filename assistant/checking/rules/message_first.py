"""C303: a known hazard has its message before the step where it arises."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, has, steps

__all__ = ["RULE"]


class _Hazard(NamedTuple):
    name: str
    step: str
    message: str
    unless: str = r"(?!)"


_HAZARDS = (
    _Hazard("the vapour of alcohol", r"\balcohol\b", r"\b(?:vapour|fire|flame)\b"),
    _Hazard("a fall", r"^climb\b", r"\bfall\b"),
    _Hazard(
        "the laser or the spinning disc",
        r"^(?:sweep|brush|blow|wipe|lift|look|press)\b[^.]*\b(?:well|inside of the lid|hub|disc compartment)\b",
        r"\blaser\b|\bfly apart\b",
    ),
    _Hazard("a loud sound at the ear", r"^(?:plug in|put on|set|try|wear)\b[^.]*\bheadphones?\b", r"\blowest\b"),
    _Hazard(
        "a seizure",
        r"\b(?:try|put|fit|set|place)\b[^.]*\bheadset on\b|\b(?:wear|put on) the headset\b",
        r"\bseizure\b",
        unless=r"\bpicture off\b",
    ),
)


def _find(book: Book) -> Iterator[Finding]:
    for hazard in _HAZARDS:
        for note, step in steps(book, hazard.step):
            warned = any(m.before_step <= step.n and has(m.text, hazard.message) for m in note.safety)
            if not warned and not has(step.text, hazard.unless):
                yield at_step(note, step, f"no safety message on {hazard.name} stands before step {step.n}")


RULE = Rule(
    code="C303",
    name="message-before-step",
    severity="error",
    summary="Before a step with alcohol, a ladder, a disc compartment, headphones or a headset stands its message.",
    reason="A warning that is read after the deed is of no use.",
    source="IEC/IEEE 82079-1:2019, warnings where the hazard arises (restated)",
    good="> **WARNING** Alcohol gives off vapour. It can catch fire and burn skin. Keep flames away.\n\n"
    "2. Wipe the rim with an alcohol wipe.",
    bad="2. Wipe the rim with an alcohol wipe.",
    find=_find,
)
