"""Rules that read English words, figures as English writes them or the length of English sentences."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.checking.rule import Book, Rule
from assistant.languages import DEFAULT

__all__ = ["ENGLISH", "readable", "unread"]

ENGLISH = frozenset(
    f"C{number}"
    for number in (
        *(204, 206, 207, 208, 209, 210, 211),
        *(301, 302, 303, 304, 305),
        *(410, 413, 415, 416),
        *(501, 502, 503, 504, 505, 507, 508, 511, 513, 514, 515, 516),
        *(601, 602, 603, 604, 605, 606, 607),
    )
)
"""Codes of the rules that say nothing of notes in another language."""


def readable(book: Book, rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Return the rules that can read the language of the notes."""
    english = book.corpus.trade.language == DEFAULT
    return tuple(rule for rule in rules if english or rule.code not in ENGLISH)


def unread(book: Book) -> str:
    """Say which rules are off for the language of the notes; empty where none is."""
    language = book.corpus.trade.language
    if language == DEFAULT:
        return ""
    codes = ", ".join(sorted(ENGLISH))
    return f"{len(ENGLISH)} rules read English alone and are off for notes in '{language}': {codes}"
