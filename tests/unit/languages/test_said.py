"""The words of the program: English as they stand, another language by its catalogue, filled in alike."""

from __future__ import annotations

import subprocess
import sys

import pytest

from assistant.languages import said, said_of, speak, spoken, to_say


def test_english_is_said_as_it_stands() -> None:
    assert spoken() == "en"
    assert said("Parts") == to_say("Parts") == "Parts"
    assert said("a {brace") == "a {brace"
    assert said("Step {n}: {text}", n=2, text="Press {it}") == "Step 2: Press {it}"


@pytest.mark.parametrize(("n", "english", "german"), [(1, "1 step.", "1 Schritt."), (2, "2 steps.", "2 Schritte.")])
def test_numbers_take_the_form_of_their_language(n: int, english: str, german: str) -> None:
    assert said_of("{n} step.", "{n} steps.", n) == english
    speak("de")
    assert said_of("{n} step.", "{n} steps.", n) == german


def test_another_language_is_said_until_another_is_spoken() -> None:
    speak("de")
    assert spoken() == "de"
    assert said("Step {n}: {text}", n=2, text="x") == "Schritt 2: x"
    assert said("this text is in no catalogue") == "this text is in no catalogue"
    speak("en")
    assert said("Parts") == "Parts"


def test_a_language_without_a_catalogue_is_english() -> None:
    speak("qq")
    assert said("Parts") == "Parts"
    assert said_of("{n} step.", "{n} steps.", 2) == "2 steps."


@pytest.mark.parametrize(("language", "loaded"), [("en", False), ("de", True)])
def test_no_catalogue_is_read_for_english(language: str, loaded: bool) -> None:
    asked = f"from assistant.languages import said, speak; speak({language!r}); said('Parts')"
    told = "import sys; print('gettext' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", f"{asked}; {told}"], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == str(loaded)
