"""The mathematics of ranking and analysis against published worked examples and independent programs."""

from __future__ import annotations

import math

import bm25s
import numpy as np
import pytest
from rank_bm25 import BM25Okapi
from sklearn.preprocessing import normalize

from assistant.analysis.spelling import distance
from assistant.ranking.bm25f import Bm25fSettings, bm25f_postings, idf

K1, B = 1.5, 0.75
ONE_FIELD = Bm25fSettings(k1=K1, weight={"text": 1.0}, b={"text": B})
README = ["Hello there good man!", "It is quite windy in London", "How is the weather today?"]
STATIONS = [
    "disc dirty wipe disc from centre to edge",
    "pad stick torn replace pad",
    "display dark check lead",
    "disc stuck in drive",
    "lead cut replace lead",
]


def scores(texts: list[str], question: str) -> list[float]:
    """Score texts by BM25F with one field of weight 1."""
    postings = bm25f_postings([{"text": text.split()} for text in texts], ONE_FIELD)
    totals = [0.0] * len(texts)
    for term in question.split():
        for posting in postings.get(term, []):
            totals[posting.chunk] += posting.weight
    return totals


@pytest.mark.parametrize(
    ("documents", "frequency", "value"),
    [(3, 1, math.log(8 / 3)), (3, 3, math.log(8 / 7)), (10, 5, math.log(2)), (1, 1, math.log(4 / 3))],
)
def test_idf_by_hand(documents: int, frequency: int, value: float) -> None:
    """Robertson and Zaragoza, The Probabilistic Relevance Framework (2009), eq. 3.3, with 1 added (from memory)."""
    assert idf(documents, frequency) == pytest.approx(value, rel=1e-12)


def test_idf_stays_above_zero_and_falls_with_frequency() -> None:
    """Robertson and Zaragoza (2009) (from memory): with 1 added no term counts against a text."""
    values = [idf(20, n) for n in range(1, 21)]
    assert values == sorted(values, reverse=True)
    assert min(values) > 0


def test_one_field_by_hand() -> None:
    """Robertson, Zaragoza and Taylor, Simple BM25 extension to multiple weighted fields (2004), one field."""
    texts = ["a a b", "b"]
    # lengths 3 and 1, average 2; norm of the first is 0.25 + 0.75 * 3 / 2 = 1.375
    tf = 2 / 1.375
    expected = math.log(1 + 1.5 / 1.5) * tf * (K1 + 1) / (tf + K1)
    assert scores(texts, "a") == pytest.approx([expected, 0.0], rel=1e-12)


@pytest.mark.parametrize("question", ["disc", "replace pad", "disc lead replace", "edge wipe disc", "unknown"])
def test_one_field_agrees_with_bm25s(question: str) -> None:
    """Lucene's BM25 leaves out the constant factor k1 + 1: Kamphuis and others, Which BM25 do you mean? (2020)."""
    index = bm25s.BM25(k1=K1, b=B, method="lucene", dtype="float64")
    index.index([text.split() for text in STATIONS], show_progress=False)
    known = {term for text in STATIONS for term in text.split()}
    terms = [term for term in question.split() if term in known]
    theirs = index.get_scores(terms) if terms else np.zeros(len(STATIONS))
    assert scores(STATIONS, question) == pytest.approx([(K1 + 1) * value for value in theirs], rel=1e-6)


@pytest.mark.parametrize("term", ["disc", "pad", "edge", "cut"])
def test_one_field_saturates_as_in_rank_bm25(term: str) -> None:
    """Robertson and Zaragoza (2009), eq. 3.15 (from memory): the same but for the idf, to which nothing is added."""
    okapi = BM25Okapi([text.split() for text in STATIONS], k1=K1, b=B)
    frequency = sum(term in text.split() for text in STATIONS)
    factor = idf(len(STATIONS), frequency) / okapi.idf[term]
    assert scores(STATIONS, term) == pytest.approx(list(okapi.get_scores([term]) * factor), rel=1e-12)


def test_the_readme_example_of_rank_bm25() -> None:
    """rank_bm25 README: scores 0, 0.93729472, 0 for the question "windy London"."""
    okapi = BM25Okapi([text.split(" ") for text in README])
    assert list(okapi.get_scores(["windy", "London"])) == pytest.approx([0, 0.93729472, 0], abs=5e-9)
    plain = math.log(2.5 / 1.5) / idf(3, 1)
    assert [plain * value for value in scores(README, "windy London")] == pytest.approx([0, 0.93729472, 0], abs=5e-9)


def test_a_second_field_adds_before_the_saturation() -> None:
    """Robertson, Zaragoza and Taylor (2004): weighted frequencies are summed, then saturated once."""
    settings = Bm25fSettings(k1=K1, weight={"title": 2.0, "text": 1.0}, b={"title": 0.0, "text": 0.0})
    chunks = [{"title": ["disc"], "text": ["disc", "pad"]}, {"title": ["pad"], "text": ["lead"]}]
    (posting,) = bm25f_postings(chunks, settings)["disc"]
    assert posting.weight == pytest.approx(idf(2, 1) * 3 * (K1 + 1) / (3 + K1), rel=1e-12)
    assert posting.field == "title"


def test_the_lnc_ltc_example_of_the_textbook() -> None:
    """Manning, Raghavan and Schuetze, Introduction to Information Retrieval (2008), example 6.4: 0.8 when rounded."""
    frequency = np.array([5_000, 50_000, 10_000, 1_000])  # auto, best, car, insurance in a million texts
    question, text = np.array([0, 1, 1, 1]), np.array([1, 0, 1, 2])
    damped = np.where(text > 0, 1 + np.log10(np.maximum(text, 1)), 0)
    weighted = question * np.log10(1_000_000 / frequency)
    cosine = (normalize(weighted.reshape(1, -1)) @ normalize(damped.reshape(1, -1)).T).item()
    assert cosine == pytest.approx(0.8014162, abs=5e-8)


@pytest.mark.parametrize(
    ("left", "right", "steps"),
    [
        ("ca", "abc", 3),
        ("ab", "ba", 1),
        ("kitten", "sitting", 3),
        ("flaw", "lawn", 2),
        ("abcd", "badc", 2),
        ("disc", "disc", 0),
        ("", "pad", 3),
    ],
)
def test_optimal_string_alignment(left: str, right: str, steps: int) -> None:
    """Boytsov, Indexing methods for approximate dictionary searching (2011), restricted swaps (from memory)."""
    assert distance(left, right, 9) == steps
    assert distance(right, left, 9) == steps


def test_alignment_breaks_the_triangle_where_the_unrestricted_distance_does_not() -> None:
    """Boytsov, Indexing methods for approximate dictionary searching (2011): ca, ac, abc (from memory)."""
    assert distance("ca", "ac", 9) + distance("ac", "abc", 9) == 2
    assert distance("ca", "abc", 9) == 3


def test_a_distance_over_the_limit_is_reported_as_one_more() -> None:
    """Ukkonen's cut-off (1985) (from memory): beyond the limit the exact number does not matter."""
    assert distance("kitten", "sitting", 2) == 3
    assert distance("a", "abcdef", 2) == 3
