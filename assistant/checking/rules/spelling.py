"""C516: words are spelled as words are."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, found, said
from assistant.checking.spelled import SPELLING, known_words, likeliest, words_of

__all__ = ["RULE"]

_FEWEST_WORDS = 4
"""A sentence of so many words, half of them no English ones, is of another language."""


def _find(book: Book) -> Iterator[Finding]:
    """Yield a finding a word, once a note; of a sentence in another language one for them all."""
    known = known_words(book)
    told: set[tuple[str, str]] = set()
    for one in said(book):
        words = list(words_of(one.text))
        wrong = {word: near for word in words if word not in known and (near := likeliest(word)) is not None}
        if len(words) >= _FEWEST_WORDS and 2 * sum(word in wrong for word in words) >= len(words):
            yield found(book, one, f"reads like another language than English: {clip(one.text)}")
            continue
        for word, near in wrong.items():
            if (one.note.id, word) not in told:
                told.add((one.note.id, word))
                meant = f"did you mean '{near}'? " if near else ""
                yield found(book, one, f"'{word}' is no word: {meant}What is right goes into {SPELLING}")


RULE = Rule(
    code="C516",
    name="plain-spelling",
    severity="note",
    summary="The words of a note are English ones, of the trade, of spelling.txt, or stand in three notes or more.",
    reason="A rep stumbles over a slip, and a search for the right word does not find it.",
    source="common practice",
    good="The table is worn. Nobody sees it.",
    bad="The tabel is worn. Nobody sees it.",
    find=_find,
    place="why",
    across=True,
)
