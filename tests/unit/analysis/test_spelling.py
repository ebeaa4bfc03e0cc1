"""Repair of unknown words, against a search through all words."""

from __future__ import annotations

import string
from collections.abc import Mapping
from itertools import combinations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.analysis.spelling import (
    SpellingIndex,
    deletion_keys,
    deletions,
    distance,
    is_repairable,
    repairs,
    slips_allowed,
    splits,
)

letters = st.sampled_from("abcde")
words = st.text(letters, min_size=1, max_size=10)
counts = st.dictionaries(words, st.integers(1, 9), max_size=30)


def naive_distance(left: str, right: str) -> int:
    """Optimal string alignment by its recursive definition."""
    table: dict[tuple[int, int], int] = {}
    for i in range(len(left) + 1):
        for j in range(len(right) + 1):
            best = max(i, j) if not i or not j else 10**6
            if i and j:
                same = left[i - 1] == right[j - 1]
                best = min(table[i - 1, j] + 1, table[i, j - 1] + 1, table[i - 1, j - 1] + (not same))
                if i > 1 and j > 1 and left[i - 1] == right[j - 2] and left[i - 2] == right[j - 1]:
                    best = min(best, table[i - 2, j - 2] + 1)
            table[i, j] = best
    return table[len(left), len(right)]


@given(words, words, st.integers(0, 3))
def test_distance_agrees_with_its_definition(left: str, right: str, limit: int) -> None:
    assert distance(left, right, limit) == min(naive_distance(left, right), limit + 1)


@given(words, words)
def test_distance_is_symmetric(left: str, right: str) -> None:
    assert distance(left, right, 3) == distance(right, left, 3)


@given(words, counts)
def test_index_finds_what_a_search_through_all_words_finds(word: str, known: Mapping[str, int]) -> None:
    assert SpellingIndex(known).near(word) == repairs(word, known.items())


@st.composite
def typed_and_meant(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a word and another that up to two slips made of it."""
    word = draw(st.text(letters, min_size=3, max_size=12))
    meant = word
    for _ in range(draw(st.integers(0, 2))):
        i = draw(st.integers(0, len(meant)))
        letter = draw(letters)
        meant = draw(
            st.sampled_from(
                [
                    meant[:i] + meant[i + 1 :],
                    meant[:i] + letter + meant[i:],
                    meant[:i] + letter + meant[i + 1 :],
                    meant[:i] + meant[i : i + 2][::-1] + meant[i + 2 :],
                ]
            )
        )
    return word, meant


@given(typed_and_meant())
def test_a_slip_is_found_by_the_index(pair: tuple[str, str]) -> None:
    word, known = pair
    others = {known: 1, "abcde": 2, "edcba": 3}
    assert SpellingIndex(others).near(word) == repairs(word, others.items())


@given(typed_and_meant())
def test_a_word_within_the_allowed_slips_shares_a_deletion_key(pair: tuple[str, str]) -> None:
    word, known = pair
    assume(is_repairable(known) and distance(word, known, 2) <= slips_allowed(word))
    assert deletions(word, slips_allowed(word)) & deletion_keys(known)


@given(st.text(letters, max_size=7), st.integers(0, 2))
def test_deletions_are_what_is_left_of_a_word(word: str, depth: int) -> None:
    kept = range(max(0, len(word) - depth), len(word) + 1)
    assert deletions(word, depth) == {"".join(left) for size in kept for left in combinations(word, size)}


@pytest.mark.parametrize(("form", "depth"), [("pad", 1), ("lead", 1), ("stick", 2), ("cabinet", 2)])
def test_deletion_keys_of_short_words_lack_one_letter_and_those_of_longer_words_two(form: str, depth: int) -> None:
    assert deletion_keys(form) == deletions(form, depth)


@given(st.text(letters, max_size=12))
def test_splits_make_up_the_word(word: str) -> None:
    found = splits(word)
    assert all(left + right == word and min(len(left), len(right)) >= 3 for left, right in found)
    assert len(found) == max(0, len(word) - 5)
    assert found == sorted(found, key=lambda pair: -len(pair[0]))


def test_splits_begin_with_the_longest_first_part() -> None:
    assert splits("thumbpad") == [("thumb", "pad"), ("thum", "bpad"), ("thu", "mbpad")]


def test_an_endless_word_is_neither_cut_nor_repaired() -> None:
    word = string.ascii_lowercase * 10
    assert splits(word) == []
    assert not is_repairable(word)
    assert SpellingIndex({word[1:]: 1}).near(word) == []


@pytest.mark.parametrize(("form", "yes"), [("pad", True), ("tv", False), ("dr21", False), ("%", False), ("", False)])
def test_slips_are_repaired_to_words_of_three_letters_or_more(form: str, yes: bool) -> None:
    assert is_repairable(form) is yes
    assert repairs(f"{form}xx", [(form, 9)]) == []
    assert (SpellingIndex({form: 1}).near(f"{form}xx"[:4]) == [form]) is yes


@pytest.mark.parametrize(
    ("word", "slips"),
    [
        ("ab", 0),
        ("pad", 0),
        ("lead", 1),
        ("sticks", 1),
        ("display", 2),
        ("dr21", 0),
        ("2100000", 0),
        ("", 0),
        ("z" * 30, 2),
        ("z" * 31, 0),
    ],
)
def test_slips_allowed(word: str, slips: int) -> None:
    assert slips_allowed(word) == slips


KNOWN = {
    "stick": 5,
    "stock": 9,
    "sticky": 2,
    "display": 4,
    "displace": 9,
    "lead": 3,
    "read": 8,
    "pad": 9,
    "pads": 1,
    "apd": 0,
}


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("stikc", ["stick"]),
        ("stck", ["stick", "stock"][::-1]),
        ("dispaly", ["display"]),
        ("dsplay", ["display"]),
        ("xead", ["read", "lead"]),
        ("leed", ["lead"]),
        ("pda", []),
        ("padd", ["pad", "pads"]),
        ("pat", []),
        ("zzzzzzz", []),
        ("dr21", []),
    ],
)
def test_likeliest_first(word: str, expected: list[str]) -> None:
    assert repairs(word, KNOWN.items()) == expected


@pytest.mark.parametrize(
    ("word", "known"),
    [
        ("unlocked", "locked"),
        ("locked", "unlocked"),
        ("disable", "able"),
        ("connect", "disconnect"),
        ("nonslip", "slip"),
        ("unplug", "plug"),
    ],
)
def test_no_negation_is_taken_away_or_added(word: str, known: str) -> None:
    assert repairs(word, [(known, 9)]) == []
    assert SpellingIndex({known: 9}).near(word) == []


def test_a_slip_in_a_negated_word_is_repaired() -> None:
    assert repairs("unloked", [("unlocked", 1), ("locked", 9)]) == ["unlocked"]


@given(words, counts)
def test_order_of_the_candidates_does_not_matter(word: str, known: Mapping[str, int]) -> None:
    forward = repairs(word, known.items())
    assert forward == repairs(word, reversed(list(known.items())))
    assert len(forward) <= 3
    assert len({distance(word, found, 2) for found in forward}) <= 1


def test_every_single_slip_in_a_long_word_is_repaired() -> None:
    index = SpellingIndex({"cabinet": 1})
    word = "cabinet"
    slips = {word[:i] + word[i + 1 :] for i in range(7)}
    slips |= {word[:i] + c + word[i:] for i in range(8) for c in string.ascii_lowercase}
    slips |= {word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(6)}
    assert all(index.near(slip) == ["cabinet"] for slip in slips if len(slip) >= 7)
