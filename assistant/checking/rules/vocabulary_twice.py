"""C705: a form stands once under its word, and a word once."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.asked import VOCABULARY, entries
from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    first: dict[str, int] = {}
    seen: set[tuple[str, str]] = set()
    for entry in entries(book):
        if first.setdefault(entry.word, entry.word_line) != entry.word_line:
            yield Finding(
                VOCABULARY, entry.word_line, f"'{entry.word}' stands twice, first in line {first[entry.word]}"
            )
        elif (entry.word, entry.form) in seen:
            yield Finding(VOCABULARY, entry.line, f"'{entry.form}' stands twice under '{entry.word}'")
        seen.add((entry.word, entry.form))


RULE = Rule(
    code="C705",
    name="vocabulary-once",
    severity="warning",
    summary="A form stands once under its word, and every word once, whatever the case of its letters.",
    reason="Of two entries the first is silently lost.",
    source="common practice",
    good='"pad": {"joypad": 1.0}',
    bad='"pad": {"joypad": 1.0, "Joypad": 0.5}',
    find=_find,
    place="vocabulary",
)
