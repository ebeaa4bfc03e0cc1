"""The words of the documents while they are compiled: which are trusted, which are slips to repair."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence, Set
from functools import cache
from types import MappingProxyType

from spellchecker import SpellChecker

from assistant.analysis.analyzer import Spelling
from assistant.analysis.spelling import SpellingIndex
from assistant.analysis.tokens import spellings, tokenize
from assistant.languages import Language, language_of
from assistant.model import Vocabulary
from assistant.ranking.chunks import Chunk
from assistant.ranking.documents import Documents
from assistant.values import Protocol

__all__ = ["CompileLexicon", "GrownWords", "KnownWords", "build_lexicon"]

TRUSTED_EXAMPLES = 3
"""A word that stands in phrases and questions alone is trusted from so many on; rarer ones may be slips."""
TRUSTED_SLIPS = 12
"""So many where no list of words has it either: a slip that many make is still a slip."""


class KnownWords(Spelling, Protocol):
    """What reading the texts of notes asks: words, slips, and the language that they are of."""

    @property
    def language(self) -> Language:
        """The language of the notes."""
        ...


class GrownWords:
    """The words of all notes, with the forms that changed notes have brought.

    Attributes
    ----------
    forms
        What was brought.
    """

    def __init__(self, base: KnownWords) -> None:
        self.base = base
        self.language = base.language
        self.forms: set[str] = set()

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        return form in self.forms or self.base.known(form)

    def near(self, form: str) -> Sequence[str]:
        """Return the words of the notes as they were that a misspelt ``form`` may stand for, likeliest first."""
        return self.base.near(form)

    def bring(self, chunks: Iterable[Chunk]) -> set[str]:
        """Take in the words of the texts of a note, but for those of its questions; return which are new."""
        texts = [text for chunk in chunks for name, text in chunk.fields.items() if name != "examples"]
        forms = {form for text in texts for form in tokenize(text, self.language) if not self.known(form)}
        self.forms |= forms
        return forms


class CompileLexicon:
    """Word forms with counts, in memory; what reading example questions needs of a `Lexicon`.

    ``plain`` holds words that the corpus lacks and that are no slips of others: common ones of the language, and
    ``lifting``. ``spelled`` tells of a form how the notes spell it, where that is otherwise.
    """

    def __init__(
        self,
        counts: Mapping[str, int],
        vocabulary: Vocabulary,
        lifting: Set[str] = frozenset(),
        language: Language | None = None,
        spelled: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        self.counts = counts
        self.language = language or language_of()
        self.plain = (_common_words(self.language) | lifting) - counts.keys()
        self.spelled = spelled
        self._vocabulary = vocabulary
        self._spelling = SpellingIndex(counts, self.language)
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
def _dictionary(language: Language) -> Mapping[str, int]:
    """Return how often words of a language are written; nothing where the speller ships no list of it."""
    try:
        words: Mapping[str, int] = SpellChecker(language=language.code).word_frequency.dictionary
    except ValueError:
        return {}
    return {word.translate(language.letters): count for word, count in words.items()} if language.folds else words


def _common_words(language: Language) -> set[str]:
    words = _dictionary(language).items()
    return {w for w, count in words if count >= language.common and w.isalpha() and w.isascii()}


def build_lexicon(documents: Documents) -> CompileLexicon:
    """Count the word forms of documents, vocabulary and alarms, and those that phrases and questions use often.

    Words that lift an alarm are known as they stand: one that was taken for a slip of an alarm word would ring.
    """
    language = language_of(documents.language)
    trusted: Counter[str] = Counter()
    for chunk in documents.chunks:
        for name, text in chunk.fields.items():
            if name != "examples":
                trusted.update(tokenize(text, language))
    for form, meanings in documents.vocabulary.forms.items():
        for text in (form, *(word for word, _ in meanings)):
            trusted.update(tokenize(text, language))
    for alarm in documents.alarms:
        for text in alarm.words:
            trusted.update(set(tokenize(text, language)))
    asked: Counter[str] = Counter()
    for text in {chunk.document: chunk.fields.get("examples", "") for chunk in documents.chunks}.values():
        asked.update(tokenize(text, language))
    words = _dictionary(language)
    counts = {
        form: trusted[form] + asked[form]
        for form in trusted.keys() | asked.keys()
        if form in trusted or asked[form] >= (TRUSTED_EXAMPLES if form in words else TRUSTED_SLIPS)
    }
    lifting = {form for alarm in documents.alarms for text in alarm.lifted_by for form in tokenize(text, language)}
    return CompileLexicon(counts, documents.vocabulary, lifting, language, _spelled(documents, language))


def _spelled(documents: Documents, language: Language) -> dict[str, str]:
    """Return how the texts spell each form in which letters are written out."""
    if not language.folds:
        return {}
    texts = (text for chunk in documents.chunks for text in chunk.fields.values())
    return {form: word for text in texts for form, word in spellings(text, language).items()}
