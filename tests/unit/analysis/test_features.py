"""What a linear model reads in a text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.features import GRAM, features, grams, sentences, word_features
from assistant.analysis.tokens import tokenize


def test_runs_of_letters_have_the_borders_of_their_word() -> None:
    assert grams("cap") == [
        *("~ c", "~ca", "~ap", "~p "),
        *("~ ca", "~cap", "~ap "),
        *("~ cap", "~cap "),
        "~ cap ",
    ]


@pytest.mark.parametrize(
    ("word", "expected"),
    [("", ["~  "]), ("a", ["~ a", "~a ", "~ a "]), ("tv", ["~ t", "~tv", "~v ", "~ tv", "~tv ", "~ tv "])],
)
def test_short_words_give_no_run_longer_than_themselves(word: str, expected: list[str]) -> None:
    assert grams(word) == expected


@given(st.text(min_size=1))
def test_runs_are_all_those_of_two_to_five_letters(word: str) -> None:
    edged = f" {word} "
    found = [gram.removeprefix(GRAM) for gram in grams(word)]
    assert all(gram.startswith(GRAM) for gram in grams(word))
    assert all(run in edged and 2 <= len(run) <= 5 for run in found)
    assert len(found) == sum(max(0, len(edged) - length + 1) for length in range(2, 6))
    assert edged[:2] in found
    assert edged[-2:] in found


def test_words_stand_before_their_pairs() -> None:
    assert word_features(["no", "signal", "no"]) == ["no", "signal", "no", "no signal", "signal no"]
    assert word_features(["no"]) == ["no"]
    assert word_features([]) == []


def test_features_are_words_pairs_and_runs_each_as_often_as_it_stands_there() -> None:
    found = features("TV, tv!")
    assert found == ["tv", "tv", "tv tv", *grams("tv"), *grams("tv")]
    assert features("?!") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The pad is hot.", ["The pad is hot."]),
        ("The pad is hot. It smells!", ["The pad is hot.", "It smells!"]),
        ("pad was fine; now it smokes", ["pad was fine;", "now it smokes"]),
        ("it was fine but the pad smokes", ["it was fine", "the pad smokes"]),
        ("IT WAS FINE BUT THE PAD SMOKES", ["IT WAS FINE", "THE PAD SMOKES"]),
        ("lamp lit and then it burst", ["lamp lit", "it burst"]),
        ("a butter knife and thenar pain", ["a butter knife and thenar pain"]),
        ("version 1.5 is on it", ["version 1.5 is on it"]),
        ("", [""]),
        ("hot", ["hot"]),
    ],
)
def test_a_story_is_parted_at_full_stops_and_turns(text: str, expected: list[str]) -> None:
    assert sentences(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Smoke! The disc is dirty. What now?", ["Smoke! The disc is dirty.", "What now?"]),
        ("The disc is dirty. What now? Smoke!", ["The disc is dirty.", "What now? Smoke!"]),
        ("Smoke! Help!", ["Smoke! Help!"]),
        ("Smoke! Help! What now?", ["Smoke! Help!", "What now?"]),
        ("Smoke! What now?", ["Smoke! What now?"]),
    ],
)
def test_a_sentence_of_one_word_goes_with_another_and_is_not_lost(text: str, expected: list[str]) -> None:
    assert sentences(text) == expected


@given(st.lists(st.sampled_from(["smoke", "pad", "hot.", "no!", "is;", "it?"]), max_size=12))
def test_no_word_of_a_story_is_lost(words: list[str]) -> None:
    parts = sentences(" ".join(words))
    assert [word for part in parts for word in tokenize(part)] == tokenize(" ".join(words))
    assert all(len(part.split()) >= 2 for part in parts) or len(parts) == 1
