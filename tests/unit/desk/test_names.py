"""Names of people: masked where something before them tells of a person, and never a word of the trade."""

from __future__ import annotations

import pytest

from assistant.desk.names import Names
from assistant.pack.reader import Pack


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("ask for Tomasz at the till", "ask for (somebody) at the till"),
        ("mrs Kowalski says the pad is dead", "(somebody) says the pad is dead"),
        ("Mrs. kowalski says the pad is dead", "(somebody) says the pad is dead"),
        ("my name is Ina Bergrot, no picture", "my name is (somebody), no picture"),
        ("spoke to Mr Novak-Li about it", "spoke to (somebody) about it"),
        ("I talked with Dr. O'Dell and Ina", "I talked with (somebody) and Ina"),
        ("Ask for Tomasz or meet with Ina", "Ask for (somebody) or meet with (somebody)"),
    ],
)
def test_a_name_after_a_word_that_tells_of_a_person_is_masked(mini_pack: Pack, text: str, shown: str) -> None:
    assert Names(mini_pack).masked(text) == shown


@pytest.mark.parametrize(
    "text",
    [
        "ask for Display lead",
        "looking for Stick caps",
        "ask for the manager",
        "spoke to somebody, Pad still dead",
        "pad with Kowalski written on it",
        "mr",
        "miss the disc",
        "dr 21 flickers",
        "call for What",
        "",
    ],
)
def test_words_of_the_trade_and_all_others_stay(mini_pack: Pack, text: str) -> None:
    assert Names(mini_pack).masked(text) == text
