"""C115: the revision of a note rises when what a rep sees of it changes."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.as_seen import seen_lines
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield notes that have changed since the book of earlier notes; a draft has no revision that anybody knows."""
    earlier = book.earlier or {}
    for note in book.corpus.notes:
        before = earlier.get(note.id)
        if before is None or before.draft or note.revision > before.revision:
            continue
        if note.revision < before.revision:
            yield at_field(book, note, "revision", f"was {before.revision} before: a revision never falls")
        elif seen_lines(note, book.corpus.trade) != seen_lines(before, book.corpus.trade):
            told = f"what a rep sees has changed since revision {before.revision}: make it {before.revision + 1}"
            yield at_field(book, note, "revision", told)


RULE = Rule(
    code="C115",
    name="revision-rises",
    severity="warning",
    summary="The revision of a note is higher than before where what a rep sees of it has changed.",
    reason="By the revision a rep, a report and a signature tell which text was followed.",
    source="IEC/IEEE 82079-1:2019, identification of the issue of information for use (restated, from memory)",
    good="revision: 4",
    bad="revision: 3",
    find=_find,
    place="front",
)
