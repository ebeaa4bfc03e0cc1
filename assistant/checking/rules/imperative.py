"""C502: a step is a command."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip, sentences, steps
from assistant.checking.words import COMMANDS, command_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note, step in steps(book):
        word = command_of(sentences(step.text)[0])
        if word not in COMMANDS:
            yield at_step(note, step, f"begins with '{word}' and not with a known command: {clip(step.text)}")


RULE = Rule(
    code="C502",
    name="imperative",
    severity="warning",
    summary="A step begins with a command, after a condition at most.",
    reason="A command says who does it and what to do in the fewest words.",
    source="ASD-STE100 Issue 9 (2025), rule 5.3 (restated)",
    good="2. Look at the lamp.",
    bad="2. The lamp should be looked at.",
    find=_find,
)
