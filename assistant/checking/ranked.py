"""Which note a compiled pack ranks first, for the rule that needs one."""

from __future__ import annotations

from collections.abc import Callable

from assistant.answering.retrieve import Retriever
from assistant.pack.reader import Pack

__all__ = ["first_note_of"]


def first_note_of(pack: Pack) -> Callable[[str], str | None]:
    """Return a function from a question to the id of the note ranked first, None where no note is ranked.

    ``pack`` must stay open as long as the function is used.
    """
    retrieve = Retriever(pack)

    def first_note(question: str) -> str | None:
        order = retrieve(question).scores.order
        return pack.note_ids[order[0]] if order else None

    return first_note
