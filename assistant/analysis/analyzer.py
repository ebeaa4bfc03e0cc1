"""From text to weighted terms: one value that compiling and asking share."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType

import Stemmer

from assistant.analysis.tokens import CODE, spellings, tokenize
from assistant.languages import DEFAULT, Language, language_of
from assistant.values import NamedTuple, Protocol

__all__ = [
    "FULL",
    "MOST_REPAIRED",
    "MOST_WORDS",
    "AnalysisSettings",
    "Lexicon",
    "QueryTerm",
    "ReadQuery",
    "Spelling",
    "Stems",
    "is_question_word",
    "read_query",
]

FULL = 100
"""Weight in percent of a term that was asked for in so many words."""
MOST_REPAIRED = 30
"""Unknown words of a question that are repaired; more of them are no question."""
MOST_WORDS = 300
"""Words of a question that are read; a story of four thousand characters has some seven hundred."""
_LONGEST_PHRASE = 3


class Stems:
    """Form -> term by the Snowball stemmer of a language; codes and numbers stay as they are.

    Parameters
    ----------
    language
        English where none is told.
    """

    def __init__(self, language: Language | None = None) -> None:
        self.language = language or language_of()
        self._stem: Callable[[str], str] = Stemmer.Stemmer(self.language.stemmer).stemWord

    def __call__(self, form: str) -> str:
        """Return the term of a form."""
        return form if CODE.match(form) or form.isdigit() else self._stem(form)


class Spelling(Protocol):
    """What tells slips from words."""

    def known(self, form: str) -> bool:
        """Tell whether this word form is to be taken as it stands."""
        ...

    def near(self, form: str) -> Sequence[str]:
        """Return the corpus words that a misspelt ``form`` may stand for, likeliest first."""
        ...


class Lexicon(Spelling, Protocol):
    """What reading a question needs to know of the corpus."""

    def look_up(self, forms: Sequence[str], phrases: Sequence[str]) -> None:
        """Make ready to be asked for these: a question is read in few looks into a file."""
        ...

    def parts(self, form: str) -> Sequence[str]:
        """Return the two corpus words of which an unknown compound is made, or nothing."""
        ...

    def meanings(self, phrase: str) -> Sequence[tuple[str, int]]:
        """Return (corpus word, percent) of a form of the vocabulary."""
        ...

    def spelled(self, form: str) -> str:
        """Return how the notes spell a form of a language that writes letters out."""
        ...


class QueryTerm(NamedTuple):
    """A term of a question with its weight in percent and the word that it came from."""

    term: str
    weight: int
    origin: str


class ReadQuery(NamedTuple):
    """A question as it was understood.

    ``terms`` are in order of first appearance, each once; ``words`` the words searched for; ``repaired`` pairs a word
    as typed with the first word it was taken for. ``spelled`` says how a word is spelt where letters are written out in
    it.
    """

    terms: tuple[QueryTerm, ...]
    words: tuple[str, ...]
    repaired: tuple[tuple[str, str], ...]
    spelled: Mapping[str, str] = MappingProxyType({})

    @property
    def read_as(self) -> str:
        """What was searched for, in the asker's order."""
        return " ".join(self.spelled.get(word, word) for word in self.words) if self.spelled else " ".join(self.words)


class AnalysisSettings(NamedTuple):
    """How a question is read; weights in percent.

    ``repair_weight`` is for the likeliest repair of a word, ``second_repair_weight`` for the others.
    """

    vocabulary_weight: int = 40
    repair_weight: int = 90
    second_repair_weight: int = 60
    question_words: bool = True
    repair: bool = True

    def digest(self, language: Language) -> str:
        """Return a short hash over the settings and the words; packs with the same one read a question alike."""
        import hashlib
        import json

        state: list[object] = [self._asdict(), sorted(language.question_words), sorted(language.kept)]
        if language.code != DEFAULT:
            state.append(language.code)
        return hashlib.sha256(json.dumps(state).encode()).hexdigest()[:16]


def read_query(text: str, lexicon: Lexicon, stems: Stems, settings: AnalysisSettings) -> ReadQuery:
    """Read a question: codes, question words, repair, stems, vocabulary.

    Parameters
    ----------
    text
        Anything a person typed.

    Returns
    -------
    ReadQuery
        Without terms when the text holds nothing to search for.
    """
    language = stems.language
    forms = tokenize(text, language)[:MOST_WORDS]
    asked = [form for form in forms if not (settings.question_words and is_question_word(form, language))]
    looked_up = dict.fromkeys([*_phrases(asked), *forms])
    lexicon.look_up([*forms, *_code_pairs(forms)], list(looked_up))
    forms = _join_codes(forms, lexicon)
    weights: dict[str, QueryTerm] = {}
    words: list[str] = []
    repaired: list[tuple[str, str]] = []
    unknown: set[str] = set()
    for form in _without_compounds(forms, lexicon):
        if settings.question_words and is_question_word(form, language):
            continue
        near: Sequence[str] = ()
        if settings.repair and not lexicon.known(form) and not lexicon.meanings(form):
            unknown.add(form)
            near = lexicon.near(form) if len(unknown) <= MOST_REPAIRED else ()
        for place, word in enumerate(near):
            weight = settings.second_repair_weight if place else settings.repair_weight
            _add(weights, QueryTerm(stems(word), weight, form))
        if near:
            repaired.append((form, near[0]))
            words.append(near[0])
        else:
            words.append(form)
            _add(weights, QueryTerm(stems(form), FULL, form))
    phrases = _phrases(words)
    if not looked_up.keys() >= set(phrases):
        lexicon.look_up((), phrases)
    for phrase in phrases:
        for meaning, percent in lexicon.meanings(phrase):
            for part in tokenize(meaning, language):
                _add(weights, QueryTerm(stems(part), percent * settings.vocabulary_weight // FULL, phrase))
    read = ReadQuery(tuple(weights.values()), tuple(words), tuple(repaired))
    return read._replace(spelled=_spelled(text, words, lexicon, language)) if language.folds else read


def is_question_word(form: str, language: Language | None = None) -> bool:
    """Tell whether a form says how a question is asked and not what it is about."""
    language = language or language_of()
    return form in language.question_words and form not in language.kept


def _spelled(text: str, words: Sequence[str], lexicon: Lexicon, language: Language) -> dict[str, str]:
    """Return how words are spelt: as the asker spelt them, else as the notes do."""
    typed = spellings(text, language)
    return {word: typed.get(word) or lexicon.spelled(word) for word in words}


def _phrases(words: list[str]) -> list[str]:
    return [
        " ".join(words[start : start + length])
        for start in range(len(words))
        for length in range(1, _LONGEST_PHRASE + 1)
        if start + length <= len(words)
    ]


def _add(weights: dict[str, QueryTerm], new: QueryTerm) -> None:
    old = weights.get(new.term)
    if new.weight and (old is None or old.weight < new.weight):
        weights[new.term] = new


def _without_compounds(forms: Sequence[str], lexicon: Lexicon) -> list[str]:
    """Cut the first unknown words that are made of two corpus words (``thumbpad``) in their parts."""
    found: list[str] = []
    left = MOST_REPAIRED
    for form in forms:
        parts: Sequence[str] = ()
        if left and form.isalpha() and not lexicon.known(form) and not lexicon.meanings(form):
            left -= 1
            parts = lexicon.parts(form)
        found += parts or [form]
    return found


def _code_pairs(forms: Sequence[str]) -> list[str]:
    return [left + right for left, right in pairwise(forms) if left.isalpha() and right.isdigit()]


def _join_codes(forms: list[str], lexicon: Lexicon) -> list[str]:
    """Write ``dr 21`` as the code ``dr21`` where the corpus knows that code."""
    joined: list[str] = []
    i = 0
    while i < len(forms):
        pair = forms[i] + forms[i + 1] if i + 1 < len(forms) else ""
        if pair and forms[i].isalpha() and forms[i + 1].isdigit() and lexicon.known(pair):
            joined += [pair, forms[i], forms[i + 1]]
            i += 2
        else:
            joined.append(forms[i])
            i += 1
    return joined
