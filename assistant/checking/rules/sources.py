"""C106: sources are publications that can be found."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.publishers import COMMON, publishers_in
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for source in note.sources:
            if source != COMMON and not publishers_in(source, book.corpus.trade):
                yield at_field(book, note, "sources", f"'{source}' is neither a known publication nor common practice")


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
