"""C201: every step can be reached."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.flow import next_steps
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        seen, waiting = {1}, [1]
        while waiting:
            for n in next_steps(note, waiting.pop()) - seen:
                seen.add(n)
                waiting.append(n)
        for step in note.steps:
            if step.n not in seen:
                yield at_step(note, step, f"step {step.n} is never reached: the choices before it lead past it")


RULE = Rule(
    code="C201",
    name="step-reachable",
    severity="error",
    summary="Every step is reached by the step before it or by a choice.",
    reason="A step that nobody comes to is work that is never done.",
    source="common practice",
    good="2. Look at the lamp.\n   - If the lamp is lit: go to step 4.\n3. Restart the console.\n4. Look again.",
    bad="2. Look at the lamp.\n   - If the lamp is lit: go to step 4.\n   - If not: go to step 4.\n"
    "3. Restart the console.\n4. Look again.",
    find=_find,
)
