"""Texts that say nearly the same are found as by holding each against each."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations, pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.analysis.tokens import tokenize
from assistant.checking.alike import alike
from assistant.checking.rule import Book
from assistant.checking.said import steps, whole_text

WORDS = st.sampled_from(["lamp", "pad", "dark", "the", "wipe", "lead", "cap", "of"])
TEXTS = st.lists(st.lists(WORDS, max_size=7).map(" ".join), max_size=14)


def each_against_each(texts: list[str]) -> dict[tuple[int, int], float]:
    """Return the cosine of every pair, by the formula alone."""
    counts = []
    for text in texts:
        words = tokenize(text)
        counts.append(Counter([*words, *(f"{a} {b}" for a, b in pairwise(words))]))
    spread = Counter(term for count in counts for term in count)
    vectors = []
    for count in counts:
        weights = {
            term: (1 + math.log(times)) * (1 + math.log((1 + len(texts)) / (1 + spread[term])))
            for term, times in count.items()
        }
        length = math.sqrt(math.fsum(weight**2 for weight in weights.values()))
        vectors.append({term: weight / length for term, weight in weights.items()})
    return {
        (i, j): math.fsum(weight * vectors[j].get(term, 0.0) for term, weight in vectors[i].items())
        for i, j in combinations(range(len(texts)), 2)
    }


@given(TEXTS, st.sampled_from([0.1, 0.3, 0.5, 0.6, 0.9, 1.0]))
def test_the_same_pairs_as_by_holding_each_against_each(texts: list[str], least: float) -> None:
    plain = each_against_each(texts)
    assume(all(value == pytest.approx(1.0, abs=1e-9) or abs(value - least) > 1e-5 for value in plain.values()))
    found = {(i, j): cosine for i, j, cosine in alike(texts, least)}
    assert found == pytest.approx({pair: value for pair, value in plain.items() if value >= least - 1e-9}, abs=2e-6)
    assert list(found) == sorted(found)


@given(TEXTS, st.sampled_from([0.3, 0.6, 0.9]))
def test_pairs_of_the_very_same_words_can_be_left_out(texts: list[str], least: float) -> None:
    apart = [(i, j, c) for i, j, c in alike(texts, least) if tokenize(texts[i]) != tokenize(texts[j])]
    assert alike(texts, least, same=False) == apart


@pytest.mark.parametrize("least", [0.5, 0.9])
def test_the_steps_of_the_shipped_notes(shipped_book: Book, least: float) -> None:
    texts = [step.text for _, step in steps(shipped_book)][:500]
    plain = {pair for pair, value in each_against_each(texts).items() if round(value, 6) >= least}
    assert {(i, j) for i, j, _ in alike(texts, least)} == plain
    assert plain


def test_more_texts_than_are_looked_up_at_a_time() -> None:
    """Each text has one twin far behind it, and shares its common words with all."""
    texts = [f"the lamp of the pad number{n % 700} word{n % 700} is dark" for n in range(1400)]
    assert [(i, j) for i, j, _ in alike(texts, 0.9)] == [(n, n + 700) for n in range(700)]


def test_a_text_without_words_is_like_none() -> None:
    assert alike(["", "?", "dark", ""], 0.1) == []
    assert alike([], 0.5) == []


def test_the_whole_of_two_notes_that_are_one(shipped_book: Book) -> None:
    text = whole_text(shipped_book.corpus.notes[0])
    assert alike([text, "something else", text], 0.5) == [(0, 2, 1.0)]
    assert alike([text, "something else", text], 0.5, same=False) == []
