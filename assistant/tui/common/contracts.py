"""What the screens are given, as they see it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol, runtime_checkable

from assistant.answering.converse import Conversation
from assistant.model import Answer, Note

__all__ = ["Asks", "Interruptible", "NoteById", "ToText"]

ToText = Callable[[Answer], str]
NoteById = Callable[[str], Note | None]


class Asks(Protocol):
    """Whatever answers questions."""

    def ask(
        self, question: str, conversation: Conversation | None = None, *, id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Answer one turn."""

    def show(
        self, note_id: str, *, question: str = "", others: Sequence[str] = (), id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Show one note."""


@runtime_checkable
class Interruptible(Protocol):
    """A screen that takes Ctrl+C."""

    def interrupt(self) -> None:
        """Close the program at the second time in a row."""
