"""C701: no question leads to two notes."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.asked import Asked, asked, phrased
from assistant.checking.rule import Book, Edit, Finding, Rule

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    first: dict[str, Asked] = {}
    for one in asked(book):
        other = first.setdefault(one.same, one)
        if other is one:
            continue
        twice = other.path == one.path
        if twice and other.text.lower() != one.text.lower():
            continue
        raw = book.texts[one.path][one.line - 1]
        edit = Edit(one.path, one.line, raw, None) if twice and raw == book.texts[one.path][other.line - 1] else None
        yield Finding(one.path, one.line, f"the same question stands in {other.path}:{other.line}", edit)
    for one in phrased(book, "plain"):
        other = first.setdefault(one.same, one)
        if other.note.id != one.note.id:
            yield Finding(one.path, one.line, f"the same question stands in {other.path}:{other.line}")


RULE = Rule(
    code="C701",
    name="question-once",
    severity="warning",
    summary="An example question stands once, under one note, and so does a plain line.",
    reason="A question that teaches two notes teaches neither; what fits several stands in ambiguous.txt.",
    source="common practice",
    good="lamp of the pad is off",
    bad="is the other pad dead",
    find=_find,
    place="questions",
    across=True,
)
