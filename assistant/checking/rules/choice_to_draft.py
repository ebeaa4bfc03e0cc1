"""C113: no choice leads to a draft."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_choice, choices
from assistant.notes.drafts import drafts

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    left_out = {note.id for note in drafts(book.corpus)}
    for note, step, branch in choices(book):
        if branch.note in left_out and not note.draft:
            told = f"sends a rep on to {branch.note}, a draft that is in no pack: finish it, or end the choice here"
            yield at_choice(book, note, step, branch, told)


RULE = Rule(
    code="C113",
    name="no-choice-to-draft",
    severity="error",
    summary="No choice of a note that is ready leads to a draft.",
    reason="A draft is in no pack for reps: whoever takes the choice gets nowhere.",
    source="common practice",
    good="2. Look at the lamp.\n   - If the lamp is lit: the work is done.\n   - If not: go to step 3.",
    bad="2. Look at the lamp.\n   - If the lamp is lit: go to [Pad is begun](../pad/pad-begun.md).\n"
    "   - If not: go to step 3.",
    find=_find,
    across=True,
)
