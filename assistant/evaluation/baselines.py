"""The three rankings that ours is held against, over the same chunks."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from rank_bm25 import BM25Okapi
from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.ranking.bm25f import Bm25fSettings, bm25f_postings

__all__ = ["Ranking", "baselines"]

_WORD = re.compile(r"\w+")
_PLAIN_BM25 = Bm25fSettings(1.2, {"text": 1.0}, {"text": 0.75})


class Ranking(Protocol):
    """Anything that orders documents for a question."""

    name: str

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        """Return (document id, score), best first, at most ``depth``."""
        ...


def baselines(chunks: Sequence[tuple[str, str]]) -> list[Ranking]:
    """Return the baselines over (document id, text) of every chunk; the best chunk counts for its document."""
    return [_Okapi(chunks), _PlainBm25(chunks), _Cosine(chunks)]


@dataclass
class _ByChunk:
    """Turns chunk scores into a total order of documents: score descending, then id."""

    owners: Sequence[str]

    def order(self, scores: Sequence[float], depth: int) -> list[tuple[str, float]]:
        best: dict[str, float] = {}
        for owner, score in zip(self.owners, scores, strict=True):
            if score > best.get(owner, 0.0):
                best[owner] = float(score)
        return sorted(best.items(), key=lambda pair: (-pair[1], pair[0]))[:depth]


class _Okapi:
    name = "rank_bm25 BM25Okapi, plain tokens"

    def __init__(self, chunks: Sequence[tuple[str, str]]) -> None:
        self._chunks = _ByChunk([owner for owner, _ in chunks])
        self._model = BM25Okapi([_plain_tokens(text) for _, text in chunks])

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        return self._chunks.order(self._model.get_scores(_plain_tokens(question)), depth)


class _PlainBm25:
    name = "plain BM25, stems"

    def __init__(self, chunks: Sequence[tuple[str, str]]) -> None:
        self._stems = Stems()
        self._chunks = _ByChunk([owner for owner, _ in chunks])
        self._postings = bm25f_postings([{"text": self._terms(text)} for _, text in chunks], _PLAIN_BM25)

    def _terms(self, text: str) -> list[str]:
        return [self._stems(form) for form in tokenize(text)]

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        scores = np.zeros(len(self._chunks.owners))
        for term, count in Counter(self._terms(question)).items():
            for posting in self._postings.get(term, ()):
                scores[posting.chunk] += count * posting.weight
        return self._chunks.order(scores.tolist(), depth)


class _Cosine:
    name = "TF-IDF cosine, stems"

    def __init__(self, chunks: Sequence[tuple[str, str]]) -> None:
        stems = Stems()
        self._chunks = _ByChunk([owner for owner, _ in chunks])
        self._vectorizer = TfidfVectorizer(
            analyzer=lambda text: [stems(form) for form in tokenize(text)], sublinear_tf=True
        )
        self._matrix = self._vectorizer.fit_transform([text for _, text in chunks])

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        query = self._vectorizer.transform([question])
        return self._chunks.order((self._matrix @ query.T).toarray().ravel().tolist(), depth)


def _plain_tokens(text: str) -> list[str]:
    return _WORD.findall(text.lower())
