"""C203: no choice leads to its own step."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_choice, choices

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note, step, branch in choices(book):
        if branch.step == step.n:
            yield at_choice(book, note, step, branch, f"the choice leads back to its own step {step.n}")


RULE = Rule(
    code="C203",
    name="no-choice-to-itself",
    severity="error",
    summary="A choice leads to another step than its own.",
    reason="Doing the same step again, without a word on how often, is no way on.",
    source="common practice",
    good="2. Look at the lamp.\n   - If the lamp is lit: the work is done.",
    bad="2. Look at the lamp.\n   - If the lamp is dark: go to step 2.",
    find=_find,
)
