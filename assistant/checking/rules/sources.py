"""C106: sources are publications that can be found."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.publishers import publishers_in
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field
from assistant.languages import language_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    if not book.has_trade():
        return
    practice = language_of(book.corpus.trade.language).practice
    for note in book.corpus.notes:
        for source in note.sources:
            if source != practice and not publishers_in(source, book.corpus.trade):
                yield at_field(book, note, "sources", f"'{source}' is neither a known publication nor {practice}")


RULE = Rule(
    code="C106",
    name="source-known",
    severity="warning",
    summary="A source is a publication with its number by one of the publishers of `trade.yaml`, or common practice.",
    reason="Whoever doubts a step must be able to look it up.",
    source="common practice",
    good="sources: [NIST SP 500-252, common practice]",
    bad="sources: [a friend]",
    find=_find,
    place="front",
)
