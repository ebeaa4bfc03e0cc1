"""The words of the documents while they are compiled: which are trusted, which are slips to repair."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Set
from functools import cache

from spellchecker import SpellChecker

from assistant.analysis.spelling import SpellingIndex
from assistant.analysis.tokens import tokenize
from assistant.model import Vocabulary
from assistant.ranking.documents import Documents

__all__ = ["CompileLexicon", "build_lexicon"]

TRUSTED_EXAMPLES = 3
"""A word that stands in phrases and questions alone is trusted from so many on; rarer ones may be slips."""
TRUSTED_SLIPS = 12
"""So many where no list of English words has it either: a slip that many make is still a slip."""


COMMON_WORD = 1000
"""An English word of this frequency in the word list is taken as meant, though the corpus lacks it."""


class CompileLexicon:
    """Word forms with counts, in memory; what reading example questions needs of a `Lexicon`.

    ``plain`` holds words that the corpus lacks and that are no slips of others: common English ones, and ``lifting``.
    """

    def __init__(self, counts: Mapping[str, int], vocabulary: Vocabulary, lifting: Set[str] = frozenset()) -> None:
        self.counts = counts
        self.plain = (_common_words() | lifting) - counts.keys()
        self._vocabulary = vocabulary
        self._spelling = SpellingIndex(counts)
        self._near: dict[str, list[str]] = {}

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        return form in self.counts or form in self.plain

    def near(self, form: str) -> list[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        if form not in self._near:
            self._near[form] = self._spelling.near(form)
        return self._near[form]

    def meanings(self, phrase: str) -> tuple[tuple[str, int], ...]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        return self._vocabulary.forms.get(phrase, ())


@cache
def _dictionary() -> Mapping[str, int]:
    words: Mapping[str, int] = SpellChecker(language="en").word_frequency.dictionary
    return words


def _common_words() -> set[str]:
    return {w for w, count in _dictionary().items() if count >= COMMON_WORD and w.isalpha() and w.isascii()}


def build_lexicon(documents: Documents) -> CompileLexicon:
    """Count the word forms of documents, vocabulary and alarms, and those that phrases and questions use often.

    Words that lift an alarm are known as they stand: one that was taken for a slip of an alarm word would ring.
    """
    trusted: Counter[str] = Counter()
    for chunk in documents.chunks:
        for name, text in chunk.fields.items():
            if name != "examples":
                trusted.update(tokenize(text))
    for form, meanings in documents.vocabulary.forms.items():
        for text in (form, *(word for word, _ in meanings)):
            trusted.update(tokenize(text))
    for alarm in documents.alarms:
        for text in alarm.words:
            trusted.update(set(tokenize(text)))
    asked: Counter[str] = Counter()
    for text in {chunk.document: chunk.fields.get("examples", "") for chunk in documents.chunks}.values():
        asked.update(tokenize(text))
    words = _dictionary()
    counts = {
        form: trusted[form] + asked[form]
        for form in trusted.keys() | asked.keys()
        if form in trusted or asked[form] >= (TRUSTED_EXAMPLES if form in words else TRUSTED_SLIPS)
    }
    lifting = {form for alarm in documents.alarms for text in alarm.lifted_by for form in tokenize(text)}
    return CompileLexicon(counts, documents.vocabulary, lifting)
