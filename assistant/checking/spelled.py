"""Which words are right: those of an English list, of the trade, of most notes, and those kept beside the notes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from assistant.checking.asked import VOCABULARY
from assistant.checking.rule import Book
from assistant.checking.said import whole_text
from assistant.notes.trade import TRADE

__all__ = ["SPELLING", "known_words", "likeliest", "words_of"]

SPELLING = "spelling.txt"
"""Name of the file of words that are right, one a line, at the top of the corpus folder."""
_WORD = re.compile(r"(?<![\w'.])(?<!\d )[A-Za-z]+(?:'[a-z]+)?(?![\w']|\.\w)")
_ENOUGH_NOTES = 3
"""A word that stands in so many notes is meant, whatever a list says."""


def words_of(text: str) -> Iterator[str]:
    """Yield the words of running text in small letters; what is in capitals, holds a figure or is a unit is none."""
    return (word.lower() for word in _WORD.findall(text) if not (word.isupper() and len(word) > 1))


def known_words(book: Book) -> frozenset[str]:
    """Return the words that are right because the corpus says so: of the trade, of ids, and of three notes or more."""
    known = {part for note in book.corpus.notes for part in note.id.split("-")}
    for path in (TRADE, VOCABULARY, SPELLING):
        for line in book.texts.get(path, ()):
            known.update(words_of(line.partition("#")[0]))
    notes = Counter(word for note in book.corpus.notes for word in set(words_of(whole_text(note))))
    return frozenset(known | {word for word, count in notes.items() if count >= _ENOUGH_NOTES})


def likeliest(word: str) -> str | None:
    """Return the English word that a slip stands for, empty where none is near; None where it is a word itself."""
    words = _dictionary()
    if word in words or word.removesuffix("'s") in words:
        return None
    near = _speller().candidates(word) or ()
    return min(near, key=lambda other: (-words.get(other, 0), other), default="")


def _dictionary() -> Mapping[str, int]:
    words: Mapping[str, int] = _speller().word_frequency.dictionary
    return words


@cache
def _speller() -> Any:
    from spellchecker import SpellChecker

    return SpellChecker(language="en", distance=1)
