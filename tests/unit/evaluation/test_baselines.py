"""The three baselines against their libraries used directly."""

from __future__ import annotations

import re
from pathlib import Path

import bm25s
import pytest
import Stemmer
from rank_bm25 import BM25Okapi
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.metrics.pairwise import cosine_similarity

from assistant.analysis.tokens import tokenize
from assistant.evaluation.baselines import baselines
from assistant.evaluation.texts import texts_of_pack
from assistant.pack.reader import Pack

QUESTIONS = [
    "the display is black and shows no signal",
    "Which cloth do I wipe the disc with? The disc is sticky!",
    "a pad, a pad, the lead of the pad",
    "unheard-of gibberish",
]
STEM = Stemmer.Stemmer("english").stemWord


@pytest.fixture(scope="module")
def chunks(mini_pack_path: Path) -> list[tuple[str, str]]:
    with Pack(mini_pack_path) as pack:
        return texts_of_pack(pack)


def order(chunks: list[tuple[str, str]], scores: list[float]) -> list[tuple[str, float]]:
    """Return each document with the score of its best chunk, best first, then by id; what scores 0 is left out."""
    documents = {owner for owner, _ in chunks}
    best = {d: max(s for (owner, _), s in zip(chunks, scores, strict=True) if owner == d) for d in documents}
    return sorted(((d, s) for d, s in best.items() if s > 0), key=lambda pair: (-pair[1], pair[0]))


def same(ours: list[tuple[str, float]], theirs: list[tuple[str, float]]) -> None:
    assert [d for d, _ in ours] == [d for d, _ in theirs]
    assert [s for _, s in ours] == pytest.approx([s for _, s in theirs], rel=1e-5)


@pytest.mark.parametrize("question", QUESTIONS)
def test_okapi_is_rank_bm25_on_plain_tokens(chunks: list[tuple[str, str]], question: str) -> None:
    model = BM25Okapi([re.findall(r"\w+", text.lower()) for _, text in chunks])
    scores = model.get_scores(re.findall(r"\w+", question.lower())).tolist()
    same(baselines(chunks)[0].rank(question, 100), order(chunks, scores))


@pytest.mark.parametrize("question", QUESTIONS)
def test_plain_bm25_is_lucenes_on_stems(chunks: list[tuple[str, str]], question: str) -> None:
    stems = [[STEM(form) for form in tokenize(text)] for _, text in chunks]
    index = bm25s.BM25(k1=1.2, b=0.75, method="lucene", dtype="float64")
    index.index(stems, show_progress=False)
    known = {term for terms in stems for term in terms}
    asked = [term for term in map(STEM, tokenize(question)) if term in known]
    scores = [2.2 * float(s) for s in index.get_scores(asked)] if asked else [0.0] * len(chunks)
    same(baselines(chunks)[1].rank(question, 100), order(chunks, scores))


@pytest.mark.parametrize("question", QUESTIONS)
def test_cosine_is_scikit_learns_on_stems(chunks: list[tuple[str, str]], question: str) -> None:
    stems = [" ".join(map(STEM, tokenize(text))) for _, text in chunks]
    vectorizer = TfidfVectorizer(token_pattern=r"\S+", lowercase=False, sublinear_tf=True)  # noqa: S106
    matrix = vectorizer.fit_transform(stems)
    query = vectorizer.transform([" ".join(map(STEM, tokenize(question)))])
    same(baselines(chunks)[2].rank(question, 100), order(chunks, cosine_similarity(matrix, query).ravel().tolist()))


def test_the_names_tell_the_baselines_apart(chunks: list[tuple[str, str]]) -> None:
    assert len({ranking.name for ranking in baselines(chunks)}) == 3


def test_equal_scores_come_by_id_and_the_depth_cuts_after_that() -> None:
    """Three documents are one text; the filler keeps the word rare enough for rank_bm25 to give it points."""
    alike = [("c", "torn cap"), ("a", "torn cap"), ("b", "torn cap"), ("b", "torn cap and a dark display")]
    filler = [(f"z{n}", f"filler text number{n}") for n in range(9)]
    for ranking in baselines([*alike, *filler]):
        found = ranking.rank("torn cap", 100)
        assert [document for document, _ in found] == ["a", "b", "c"]
        assert len({score for _, score in found}) == 1
        assert ranking.rank("torn cap", 2) == found[:2]


def test_nothing_in_common_gives_nothing(chunks: list[tuple[str, str]]) -> None:
    assert [ranking.rank("xylophone", 10) for ranking in baselines(chunks)] == [[], [], []]
