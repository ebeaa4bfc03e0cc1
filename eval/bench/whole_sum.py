"""The sum of all postings of a question, added up plainly: what any faster ranking must equal."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from assistant.answering.retrieve import Retrieval
from assistant.compiling.settings import CompileSettings
from assistant.compiling.words import chunk_weights, read_words
from assistant.ranking.documents import Documents
from assistant.ranking.score import FULL, scaled, sum_up

__all__ = ["WholeSum", "first_of_all"]

_AT_ONCE = 1000


def first_of_all(retrieval: Retrieval, size: int, most: int) -> list[int]:
    """Return the first ``most`` of ``size`` documents of one chunk each, by all postings that the pack holds."""
    sums = np.zeros(size, np.int64)
    held = np.zeros(size, bool)
    for term, percent in retrieval.terms:
        for part in retrieval.rows[term].parts() if term in retrieval.rows else ():
            chunks = np.frombuffer(part.chunks, np.uint32)
            sums[chunks] += np.frombuffer(part.weights, np.uint16).astype(np.int64) * percent // FULL
            held[chunks] = True
    found = np.flatnonzero(held)
    if len(found) > most:
        found = found[sums[found] >= np.partition(sums[found], -most)[-most]]
    return [int(chunk) for chunk in found[np.lexsort((found, -sums[found]))][:most]]


class WholeSum:
    """Weighs the documents anew, without a pack, and keeps the weights of the terms of some questions."""

    def __init__(self, documents: Documents, settings: CompileSettings, asked: Sequence[Retrieval]) -> None:
        self.asked = asked
        number = {document: place for place, document in enumerate(documents.ids)}
        self._owner = [number[chunk.document] for chunk in documents.chunks]
        words = read_words(documents, settings)
        wanted = {term for retrieval in asked for term, _ in retrieval.terms}
        self._weights: dict[str, list[tuple[int, int]]] = {term: [] for term in wanted}
        for first in range(0, len(words.chunks), _AT_ONCE):
            weights = chunk_weights(words.chunks[first : first + _AT_ONCE], settings, words.statistics)
            for term in wanted & weights.keys():
                numbers, points, _ = weights[term]
                self._weights[term] += [(first + number, value) for number, value in zip(numbers, points, strict=True)]

    def first(self, retrieval: Retrieval, share: int, most: int) -> list[int]:
        """Return the first ``most`` notes of a question; points of the linear model are taken as they were found."""
        sums: dict[int, int] = {}
        for term, percent in retrieval.terms:
            for chunk, weight in self._weights[term]:
                sums[chunk] = sums.get(chunk, 0) + scaled(weight, percent)
        best: dict[int, tuple[int, int]] = {}
        for chunk, value in sorted(sums.items()):
            note = self._owner[chunk]
            if note not in best or value > best[note][0]:
                best[note] = (value, chunk)
        return list(sum_up(best, retrieval.scores.model, share).order[:most])
