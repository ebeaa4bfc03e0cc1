"""C202: no endless circle of steps."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.flow import ends_here, next_steps
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        good = {step.n for step in note.steps if ends_here(note, step.n)}
        for _ in note.steps:
            good |= {step.n for step in note.steps if next_steps(note, step.n) & good}
        for step in note.steps:
            if step.n not in good:
                yield at_step(note, step, f"no way leads on from step {step.n}: its choices go round for ever")


RULE = Rule(
    code="C202",
    name="no-endless-steps",
    severity="error",
    summary="From every step a way leads to the end of the work or to another note.",
    reason="A circle of steps without a way out never ends.",
    source="IEC/IEEE 82079-1:2019, fault location ends in a remedy (restated)",
    good="2. Look at the lamp.\n   - If the lamp is lit: the work is done.\n   - If not: go to step 3.",
    bad="2. Look at the lamp.\n   - If the lamp is lit: go to step 1.\n   - If not: go to step 1.",
    find=_find,
)
