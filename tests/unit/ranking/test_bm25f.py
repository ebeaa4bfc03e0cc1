"""BM25F against a plain reading of its formula and against bm25s."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import bm25s
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ranking.bm25f import Bm25fSettings, bm25f_postings, idf

FIELDS = {"title": 2.0, "body": 0.5}
B = {"title": 0.3, "body": 0.75}
K1 = 1.2
Chunks = list[dict[str, list[str]]]

field_terms = st.lists(st.sampled_from("abcdef"), max_size=6)
chunk_lists = st.lists(
    st.fixed_dictionaries({}, optional={"title": field_terms, "body": field_terms}), min_size=1, max_size=6
)


def naive(term: str, chunk: Mapping[str, Sequence[str]], chunks: Chunks) -> float:
    holding = sum(any(term in terms for terms in other.values()) for other in chunks)
    tf = 0.0
    for name, weight in FIELDS.items():
        average = sum(len(other.get(name, [])) for other in chunks) / len(chunks) or 1
        length = len(chunk.get(name, []))
        tf += weight * list(chunk.get(name, [])).count(term) / (1 - B[name] + B[name] * length / average)
    return math.log(1 + (len(chunks) - holding + 0.5) / (holding + 0.5)) * tf * (K1 + 1) / (tf + K1)


@given(chunk_lists)
def test_weights_agree_with_the_formula(chunks: Chunks) -> None:
    postings = bm25f_postings(chunks, Bm25fSettings(K1, FIELDS, B))
    for term in "abcdef":
        expected = {
            number: naive(term, chunk, chunks)
            for number, chunk in enumerate(chunks)
            if any(term in terms for terms in chunk.values())
        }
        assert {p.chunk: p.weight for p in postings.get(term, [])} == pytest.approx(expected)


@given(chunk_lists)
def test_postings_rise_by_chunk_and_name_the_strongest_field(chunks: Chunks) -> None:
    for term, postings in bm25f_postings(chunks, Bm25fSettings(K1, FIELDS, B)).items():
        numbers = [posting.chunk for posting in postings]
        assert numbers == sorted(set(numbers))
        assert all(term in chunks[posting.chunk][posting.field] for posting in postings)
        assert all(posting.weight > 0 for posting in postings)


@given(chunk_lists, st.randoms(use_true_random=False))
def test_order_of_chunks_and_of_words_does_not_matter(chunks: Chunks, random: object) -> None:
    settings = Bm25fSettings(K1, FIELDS, B)
    shuffled = [{name: sorted(terms) for name, terms in chunk.items()} for chunk in reversed(chunks)]
    first, second = bm25f_postings(chunks, settings), bm25f_postings(shuffled, settings)
    for term, postings in first.items():
        turned = {len(chunks) - 1 - p.chunk: p.weight for p in second[term]}
        assert {p.chunk: p.weight for p in postings} == pytest.approx(turned)


@pytest.mark.parametrize("question", ["a", "b", "c", "e"])
def test_one_field_agrees_with_bm25s(question: str) -> None:
    texts = [list("aab"), list("bcd"), list("aaabbbccc"), list("d"), list("eeeea")]
    ours = bm25f_postings([{"body": terms} for terms in texts], Bm25fSettings(1.5, {"body": 1}, {"body": 0.6}))
    index = bm25s.BM25(k1=1.5, b=0.6, method="lucene", dtype="float64")
    index.index(texts, show_progress=False)
    theirs = index.get_scores([question])
    scores = {posting.chunk: posting.weight / (1.5 + 1) for posting in ours[question]}
    assert [scores.get(number, 0.0) for number in range(len(texts))] == pytest.approx(list(theirs))


@given(st.integers(1, 1000), st.integers(0, 1000))
def test_idf_is_above_zero_and_falls(documents: int, frequency: int) -> None:
    frequency = min(frequency, documents)
    assert idf(documents, frequency) > 0
    assert frequency == 0 or idf(documents, frequency) < idf(documents, frequency - 1)


def test_nothing_to_weigh() -> None:
    settings = Bm25fSettings(K1, FIELDS, B)
    assert bm25f_postings([], settings) == {}
    assert bm25f_postings([{}], settings) == {}
    assert bm25f_postings([{"unweighed": ["a"]}], settings) == {}
    assert bm25f_postings([{"title": ["a"]}], Bm25fSettings(K1, {"title": 0.0}, B)) == {}
