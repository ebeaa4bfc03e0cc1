"""C105: a note was looked through within 400 days, and not in the future."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field

__all__ = ["RULE"]

_MOST_DAYS = 400


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        age = (book.today - date.fromisoformat(note.reviewed)).days
        if age > _MOST_DAYS:
            yield at_field(book, note, "reviewed", f"was last looked through {age} days ago, {_MOST_DAYS} at most")
        elif age < 0:
            yield at_field(book, note, "reviewed", f"lies {-age} days in the future")


RULE = Rule(
    code="C105",
    name="review-date",
    severity="warning",
    summary="The review of a note is at most 400 days old and not in the future.",
    reason="Parts, rules and demo content change; a yearly look with a month to spare finds it.",
    source="common practice",
    good="reviewed: 2026-11-02",
    bad="reviewed: 2024-11-02",
    find=_find,
    place="front",
)
