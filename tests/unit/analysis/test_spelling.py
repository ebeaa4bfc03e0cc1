"""Repair of unknown words, against a search through all words."""

from __future__ import annotations

import string
from collections.abc import Mapping

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.analysis.spelling import SpellingIndex, distance, pieces, repairs, slips_allowed

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
def test_a_piece_of_the_typed_word_survives_every_allowed_slip(pair: tuple[str, str]) -> None:
    word, known = pair
    assume(naive_distance(word, known) <= slips_allowed(word))
    limit = slips_allowed(word)
    assert any(piece in known[max(0, offset - limit) : offset + len(piece) + limit] for offset, piece in pieces(word))


@given(st.text(letters, min_size=3, max_size=20))
def test_pieces_make_up_the_word(word: str) -> None:
    found = pieces(word)
    assert "".join(piece for _, piece in found) == word
    assert all(piece and word[offset:].startswith(piece) for offset, piece in found)
    assert len(found) == 2 * slips_allowed(word) + 1


@pytest.mark.parametrize(
    ("word", "slips"), [("ab", 0), ("pad", 1), ("sticks", 1), ("display", 2), ("dr21", 0), ("2100000", 0), ("", 0)]
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
        ("pda", ["pad"]),
        ("pat", []),
        ("zzzzzzz", []),
        ("dr21", []),
    ],
)
def test_likeliest_first(word: str, expected: list[str]) -> None:
    assert repairs(word, KNOWN.items()) == expected


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
