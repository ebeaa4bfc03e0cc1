"""C807: a file begins with its first line."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for path in sorted(book.marked):
        yield Finding(path, 1, "begins with a byte order mark (BOM), which is read over: save it as UTF-8 without one")


RULE = Rule(
    code="C807",
    name="no-byte-order-mark",
    severity="note",
    summary="No file begins with a byte order mark.",
    reason="It is not seen, and a comparison shows the first line as changed.",
    source="The Unicode Standard, chapter 23.8, byte order mark: not recommended for UTF-8 (from memory)",
    good="---",
    bad="\ufeff---",
    find=_find,
    place="start",
)
