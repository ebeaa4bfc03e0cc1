"""C301: a safety message has three parts."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.messages import PARTS
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import sentences
from assistant.checking.words import starts_with_command
from assistant.wording import counted

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for message in note.safety:
            parts = sentences(message.text)
            if len(parts) < PARTS:
                what = f"has {counted(len(parts), 'sentence')}: hazard, consequence and how to avoid it are wanted"
                yield Finding(note.path, message.line, what)
            elif not starts_with_command(parts[PARTS - 1]):
                yield Finding(note.path, message.line, "does not tell how to avoid the harm in its third sentence")


RULE = Rule(
    code="C301",
    name="message-complete",
    severity="error",
    summary="A safety message says the hazard, what it does and how to avoid it, a sentence each; more may follow.",
    reason="A warning without its consequence is not believed; without the way out it cannot be followed.",
    source="OASIS DITA 1.3, hazard statement (restated); IEC/IEEE 82079-1:2019 (restated)",
    good="> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.\n\n2. Look at the lead.",
    bad="> **WARNING** A cut lead has bare wires. They can burn a hand. The lead stays hot.\n\n2. Look at the lead.",
    find=_find,
)
