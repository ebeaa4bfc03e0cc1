"""C509: a title is short and has no stop."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field

__all__ = ["RULE"]

_MOST = 9


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        words = len(note.title.split())
        if words > _MOST:
            yield at_field(book, note, "title", f"the title has {words} words, {_MOST} at most")
        if note.title.endswith((".", "!", "?")):
            yield at_field(book, note, "title", "the title ends in a stop")


RULE = Rule(
    code="C509",
    name="title-short",
    severity="warning",
    summary="A title has nine words at most and no full stop.",
    reason="Titles stand in lists, side by side, on a narrow screen.",
    source="the corpus's own style",
    good="title: Pad lamp stays dark",
    bad="title: Pad lamp stays dark.",
    find=_find,
    place="front",
)
