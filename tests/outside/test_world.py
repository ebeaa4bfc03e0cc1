"""The helpers themselves: what counts as advice, as a sentence and as a word."""

from __future__ import annotations

import pytest

from tests.outside.broken import broken_note
from tests.outside.flow import has_power, powered_steps
from tests.outside.world import (
    advises,
    all_notes,
    count_words,
    figures,
    minutes_in,
    names,
    said,
    sentences,
    waits,
    without_titles,
)
from tests.shipped import CORPUS

CIRCLES = r"\b(?:wipe|rub)\b[^.]*\bcircles?\b"


@pytest.mark.parametrize(
    "text",
    [
        "Wipe the disc in circles.",
        "Blow the dust off. Rub it in small circles.",
        "Do not press hard, and wipe in circles.",
        "Never hurry: wipe in circles.",
        "If the disc does not play, wipe it in circles.",
        "With no clean cloth at hand, rub it in circles.",
        "The disc does not play, so wipe it in circles.",
        "Wipe in circles until the dirt is not seen.",
        "Do not use paper but wipe in circles with a cloth.",
    ],
)
def test_advice_is_found(text: str) -> None:
    assert advises(text, CIRCLES)


@pytest.mark.parametrize(
    "text",
    [
        "Never wipe in circles.",
        "Do not wipe the disc in circles.",
        "Don't rub it in circles.",
        "You must not wipe in circles.",
        "No rep may wipe in circles.",
        "Wipe straight outward instead of in circles.",
        "Wipe straight outward rather than in circles.",
        "To wipe in circles is wrong.",
        "The data run round the disc. Wipe straight outward.",
    ],
)
def test_what_is_forbidden_is_not_advice(text: str) -> None:
    assert not advises(text, CIRCLES)


def test_sentences_end_at_stops_and_not_inside_numbers_or_clauses() -> None:
    """Common practice."""
    text = "Rule 29 CFR 1910.334(a) asks for 4.75 V. Look! Is it dry? Yes."
    assert sentences(text) == ["Rule 29 CFR 1910.334(a) asks for 4.75 V.", "Look!", "Is it dry?", "Yes."]


@pytest.mark.parametrize(
    ("sentence", "words"),
    [
        ("Pull the plug.", 3),
        ("Use a lint-free cloth.", 4),
        ("Leave 36 in (915 mm) of walkway.", 5),
        ("It rests for 10 minutes.", 4),
        ("Wait (two or three turns of the lamp).", 2),
        ("Check the store's outlet.", 4),
        ('Do "Making a station dead" first.', 3),
    ],
)
def test_words_are_counted_as_simplified_technical_english_does(sentence: str, words: int) -> None:
    """ASD-STE100 Issue 9 (2025), rules 8.4 to 8.7 (restated)."""
    assert count_words(sentence) == words


def test_minutes_and_titles_are_read() -> None:
    """Common practice."""
    assert minutes_in("for at least twenty minutes, and after 5 minutes more") == [20, 5]
    assert names('Do "safety-isolate" now.', "safety-isolate")
    assert names(f'Do "{next(n.title for n in all_notes() if n.id == "safety-isolate")}" now.', "safety-isolate")
    assert not names("Do safety-isolate now.", "safety-isolate")
    assert without_titles('Do "Fire" now.') == "Do  now."


def test_figures_and_waits_are_read_with_their_units() -> None:
    """Common practice."""
    assert figures("from 15 to 48 in (380 to 1220 mm)", "in") == [15, 48]
    assert figures("below 0 C or above 45 C", "C") == [0, 45]
    assert waits("Wait ten minutes. Leave it for 5 minutes.") == [10, 5]


@pytest.mark.parametrize(("otherwise", "live"), [("go to step 4", [1, 4]), ("go to step 2", [1, 2, 3, 4])])
def test_power_is_followed_along_every_way(otherwise: str, live: list[int]) -> None:
    """29 CFR 1910.147(a)(2)(iii)(A) (restated): a hand goes in only where every way there pulled the plug."""
    isolate = "do [Making a station dead](../safety/safety-isolate.md), then go to step 2"
    steps = (
        f"Look.\n- If it is dark: {isolate}.\n- If not: {otherwise}.\nPush the lead home.\nPlug the station in.\nWait."
    )
    note = broken_note(steps=steps)
    assert [step.n for step in powered_steps(note)] == live
    assert [step.n for step in note.steps if has_power(note, step)] == live


def test_every_note_is_read_and_every_sentence_has_a_line() -> None:
    """Common practice."""
    on_disk = {path.stem for path in CORPUS.glob("*/*.md")}
    assert {note.id for note in all_notes()} == on_disk
    assert all(one.line > 1 for one in said(all_notes()))
