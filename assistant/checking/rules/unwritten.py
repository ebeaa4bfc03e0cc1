"""C109: nothing is left to write."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]

_MARK = "(to write)"


def _find(book: Book) -> Iterator[Finding]:
    for path, lines in book.texts.items():
        if path.endswith(".md"):
            for number, line in enumerate(lines, start=1):
                if _MARK in line:
                    yield Finding(path, number, f"is still to be written: {line.strip()[:60]}")


RULE = Rule(
    code="C109",
    name="nothing-left-to-write",
    severity="error",
    summary="No line of a note says '(to write)', as a new note's lines do.",
    reason="A rep in front of a station can do nothing with a line that nobody has written.",
    source="common practice",
    good="2. Lay the old pad aside.",
    bad="2. Do the second thing (to write).",
    find=_find,
)
