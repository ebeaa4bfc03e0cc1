"""Languages: each has all words that the program asks for, and one is loaded without the others."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
import Stemmer

from assistant.languages import CODES, Language, language_of, severity
from assistant.model import SIGNALS
from assistant.notes.reader import SECTIONS

LANGUAGES = [language_of(code) for code in CODES]
PATTERNS = ("counted", "wait")


@pytest.mark.parametrize("language", LANGUAGES, ids=CODES)
def test_a_language_has_every_word_that_is_asked_for_and_no_other(language: Language) -> None:
    assert vars(language).keys() == {*Language.__annotations__, "letters"}


@pytest.mark.parametrize("language", LANGUAGES, ids=CODES)
def test_words_are_written_as_they_are_compared(language: Language) -> None:
    numbered = (language.picks, language.places, language.numbers)
    sets = (language.kept, language.question_words, language.counting, language.pick_filler, language.asking)
    words = {word for group in (*numbered, *sets) for word in group} | set(language.contractions)
    assert all(word == word.lower().translate(language.letters) for word in words)
    assert all(n > 0 for group in numbered for n in group.values())


@pytest.mark.parametrize("language", LANGUAGES, ids=CODES)
def test_a_language_names_what_a_note_is_made_of(language: Language) -> None:
    assert tuple(language.sections.values()) == SECTIONS
    assert len(set(language.signals)) == len(SIGNALS)
    assert [severity(signal) for signal in language.signals] == [0, 1, 2, 3]
    for pattern in (*(getattr(language, name) for name in PATTERNS), *language.choice.values()):
        re.compile(pattern)


def test_signal_words_are_those_of_the_standards() -> None:
    """ANSI Z535.6 (from memory) has the English four; ISO 3864-2 (from memory) the German of the first three."""
    assert language_of("en").signals == SIGNALS
    assert language_of("de").signals == ("GEFAHR", "WARNUNG", "VORSICHT", "HINWEIS")
    with pytest.raises(ValueError, match="tuple"):
        severity("PERIL")


@pytest.mark.parametrize("language", LANGUAGES, ids=CODES)
def test_the_stemmer_of_a_language_is_there(language: Language) -> None:
    assert language.stemmer in Stemmer.algorithms()


@pytest.mark.parametrize("code", CODES)
def test_a_language_is_loaded_alone(code: str) -> None:
    told = f"from assistant.languages import language_of; language_of({code!r})"
    listed = "import sys; print(*(name for name in sys.modules if name.startswith('assistant.languages')))"
    found = subprocess.run([sys.executable, "-c", f"{told}; {listed}"], capture_output=True, text=True, check=True)
    assert set(found.stdout.split()) == {"assistant.languages", f"assistant.languages.{CODES[code]}"}
