"""C102: links lead to notes that exist."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.notes.corpus import link_faults

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for fault in link_faults(book.corpus.notes, book.texts, book.faults):
        yield Finding(fault.path, fault.line, fault.message)


RULE = Rule(
    code="C102",
    name="links-resolve",
    severity="error",
    summary="Every link and every id under see_also names a note that exists.",
    reason="A link to nothing leaves the rep alone in front of the station.",
    source="common practice",
    good="see_also: [pad-other]",
    bad="see_also: [pad-nowhere]",
    find=_find,
    place="front",
    across=True,
)
