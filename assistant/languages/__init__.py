"""The words that belong to one language, a module each, and what the program says in the language of the notes.

What is worded in the code is English. Whoever shows something of a pack says first in whose language with `speak`; the
catalogue of another language is read when its first word is needed, and for English nothing is read at all. All of it
is one module, since a new process answers each question and every module takes its time to load.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

TYPE_CHECKING = False
if TYPE_CHECKING:
    from gettext import NullTranslations
    from typing import Any

__all__ = [
    "CODES",
    "DEFAULT",
    "DOMAIN",
    "FOLDER",
    "Language",
    "language_of",
    "said",
    "said_of",
    "severity",
    "speak",
    "spoken",
    "to_say",
]

DEFAULT = "en"
CODES: Mapping[str, str] = {"en": "english", "de": "german"}
"""The languages that notes may be written in: code of ISO 639-1 -> module of its words."""
DOMAIN = "assistant"
"""The name of the catalogues."""
FOLDER = "locale"
"""Where they lie, beside this module."""
_read: dict[str, Language] = {}
_catalogues: dict[str, NullTranslations] = {}
_spoken = DEFAULT


class Language:
    """The words of one language; each is compared as the very thing that it is.

    Attributes
    ----------
    code
        That of ISO 639-1, under which the catalogue of what a rep reads lies too.
    stemmer
        The name of its Snowball algorithm.
    folds
        Letter -> how it is written where that letter is not at hand (``{"ü": "ue"}``); both spellings are one word.
    kept, question_words, contractions
        Function words that tell faults apart; words that say how a question is asked; forms that mean another word.
    negations
        Beginnings that turn a word's meaning round: no slip is repaired across one.
    joints
        What may stand between the two words of a compound.
    parting
        Words that part the sentences of a story, as one regular expression.
    common
        A word of this frequency in the speller's list of the language is no slip, though the notes lack it.
    picks, places, numbers
        Words that pick an option, that name a step by its place, and numbers.
    counting, alone
        Only after the words of ``counting`` is the word ``alone`` a number; it may mean ``the last one`` as well.
    pick_filler, other, last
        What a turn that picks an option says beside it; words for another option, and for the last one.
    before, again, end
        Words of a turn for the step before, for the same step, and for the last one.
    counted, wait
        Regular expressions: a turn asks how many steps there are; a text names a wait.
    amounts, units
        Numbers in words, as a step that tells to wait has them, and units of time in seconds.
    waits
        Regular expressions of such a step: what leads to the amount, what may stand before it, the end of a unit in the
        plural, and what tells no wait after all.
    all_steps, untried
        Regular expressions: what did not help was all of the note; it was not tried at all.
    permission, never
        Regular expressions: a turn asks whether something may be done; a sentence forbids something.
    asking
        Words of a question about one thing that do not name it.
    practice
        What stands among the sources for a fact of the trade without a publication.
    signals
        The signal words, most severe first, in the order of `assistant.model.SIGNALS`.
    sections
        Heading of a note -> the name of that section in English.
    choice
        How a choice under a step is worded: how it begins, regular expressions of its four ends, and of a condition
        that holds in all other cases.
    """

    code: str
    stemmer: str
    folds: Mapping[str, str]
    kept: Set[str]
    question_words: Set[str]
    contractions: Mapping[str, str]
    negations: Sequence[str]
    joints: Sequence[str]
    parting: str
    common: int
    picks: Mapping[str, int]
    places: Mapping[str, int]
    numbers: Mapping[str, int]
    counting: Set[str]
    alone: str
    pick_filler: Set[str]
    other: Set[str]
    last: Set[str]
    before: frozenset[str]
    again: frozenset[str]
    end: frozenset[str]
    counted: str
    wait: str
    amounts: Mapping[str, float]
    units: Mapping[str, int]
    waits: Mapping[str, str]
    all_steps: str
    untried: str
    permission: str
    never: str
    asking: Set[str]
    practice: str
    signals: tuple[str, str, str, str]
    sections: Mapping[str, str]
    choice: Mapping[str, str]

    def __init__(self, **words: Any) -> None:
        self.__dict__.update(words)
        self.letters = str.maketrans(dict(self.folds))
        """Writes each letter of ``folds`` out."""


def language_of(code: str = DEFAULT) -> Language:
    """Return the language of a code; of the others nothing is loaded.

    Raises
    ------
    KeyError
        If the program has no such language.
    """
    if code not in _read:
        name = f"{__name__}.{CODES[code]}"
        _read[code] = __import__(name, fromlist=["LANGUAGE"]).LANGUAGE
    return _read[code]


def severity(signal: str) -> int:
    """Return the place of a signal word among those of its language, 0 for the most severe.

    Raises
    ------
    ValueError
        If it is none of a language whose notes this process has read.
    """
    for language in _read.values():
        if signal in language.signals:
            return language.signals.index(signal)
    return language_of().signals.index(signal)


def speak(language: str) -> None:
    """Say everything from now on in the language of this code."""
    global _spoken
    _spoken = language


def spoken() -> str:
    """Return the code of the language that is spoken."""
    return _spoken


def said(text: str, /, **values: object) -> str:
    """Return an English text of the program in the language that is spoken, ``{name}`` in it filled from ``values``.

    A text that its catalogue lacks stays English.
    """
    if _spoken != DEFAULT:
        text = _catalogue().gettext(text)
    return text.format(**values) if values else text


def to_say(text: str) -> str:
    """Return ``text`` as it is: it stands in the catalogues, and is said later."""
    return text


def said_of(one: str, many: str, n: int, /, **values: object) -> str:
    """Return the text for ``n`` things in the language that is spoken, ``{n}`` and ``values`` filled in."""
    text = (one if n == 1 else many) if _spoken == DEFAULT else _catalogue().ngettext(one, many, n)
    return text.format(n=n, **values)


def _catalogue() -> NullTranslations:
    if _spoken not in _catalogues:
        import gettext
        import os

        folder = os.path.join(os.path.dirname(__file__), FOLDER)  # noqa: PTH118, PTH120
        _catalogues[_spoken] = gettext.translation(DOMAIN, folder, [_spoken], fallback=True)
    return _catalogues[_spoken]
