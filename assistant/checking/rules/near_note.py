"""C706: no two notes say nearly the same."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.alike import alike
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, whole_text
from assistant.notes.drafts import TO_WRITE

__all__ = ["RULE"]

_LEAST = 0.5


def _find(book: Book) -> Iterator[Finding]:
    """Yield pairs of notes that somebody has written: two that are begun are alike by their form alone."""
    notes = [note for note in book.corpus.notes if TO_WRITE not in whole_text(note)]
    for i, j, cosine in alike([whole_text(note) for note in notes], _LEAST):
        yield at_field(book, notes[j], "title", f"says nearly the same as {notes[i].path} ({cosine:.2f} alike)")


RULE = Rule(
    code="C706",
    name="no-near-note",
    severity="warning",
    summary="Two notes do not say nearly the same: their words are less than half alike.",
    reason="Of two notes for one fault only one is kept up to date.",
    source="common practice",
    good="Pad lamp stays dark",
    bad="Other pad lamp stays dark",
    find=_find,
    place="note",
    across=True,
)
