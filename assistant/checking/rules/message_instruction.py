"""C304: a safety message holds no instruction but the avoidance."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, sentences
from assistant.checking.words import starts_with_command

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for message in note.safety:
            for part in sentences(message.text)[:2]:
                if starts_with_command(part, strict=True):
                    what = f"an instruction stands where the hazard or its consequence belongs: {clip(part)}"
                    yield Finding(note.path, message.line, what)


RULE = Rule(
    code="C304",
    name="message-no-instruction",
    severity="warning",
    summary="Hazard and consequence are told, not commanded: work belongs into a step.",
    reason="Readers skip boxes when they follow steps, and a step in a box is lost.",
    source="DOE-STD-1029-92 (1998), no action step in a warning (from memory)",
    good="> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.\n\n2. Look at the lead.",
    bad="> **WARNING** Open the cabinet. Bare wires can burn a hand. Unplug it first.\n\n2. Look at the lead.",
    find=_find,
)
