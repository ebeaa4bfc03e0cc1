"""C707: an action that several notes share has the same words in all of them."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.alike import alike
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip, steps
from assistant.notes.drafts import TO_WRITE

__all__ = ["RULE"]

_LEAST = 0.9


def _find(book: Book) -> Iterator[Finding]:
    """Yield steps that are nearly alike; steps with the very same words, such as switching off, are meant to be."""
    listed = [(note, step) for note, step in steps(book) if TO_WRITE not in step.text]
    for i, j, _ in alike([step.text for _, step in listed], _LEAST, same=False):
        (note, step), (other, twin) = listed[i], listed[j]
        if note.id != other.id:
            yield at_step(other, twin, f"nearly the words of {note.path}:{step.line}, {clip(step.text)}: make them one")


RULE = Rule(
    code="C707",
    name="no-near-step",
    severity="note",
    summary="Steps of two notes are either the same or different: nearly the same wording is made the same.",
    reason="Two wordings of one action look like two actions.",
    source="ASD-STE100 Issue 9 (2025), rules of section 1 (from memory)",
    good="2. Lay the old pad aside.",
    bad="2. Carry the old spare pad out to the van with help of the duty manager.",
    find=_find,
    across=True,
)
