"""C204: "If not" closes a list of choices."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_choice, choices, has

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note, step, branch in choices(book):
        if has(branch.condition, r"^if not$") and (branch != step.branches[-1] or len(step.branches) == 1):
            message = "'If not' stands last, after another choice"
            yield at_choice(book, note, step, branch, message)


RULE = Rule(
    code="C204",
    name="otherwise-last",
    severity="warning",
    summary="The choice 'If not' is the last one and follows another.",
    reason="'If not' has no sense before the choices that it excludes.",
    source="DOE-STD-1029-92 (1998), alternatives in one step (restated)",
    good="2. Look at the lamp.\n   - If the lamp is lit: the work is done.\n   - If not: go to step 3.",
    bad="2. Look at the lamp.\n   - If not: go to step 3.\n   - If the lamp is lit: the work is done.",
    find=_find,
)
