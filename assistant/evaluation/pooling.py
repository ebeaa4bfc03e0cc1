"""Candidates for a labeller: what any of the four rankings brings near the top, in an order that tells nothing."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Iterable, Mapping, Sequence

from assistant.evaluation.baselines import Ranking, baselines
from assistant.evaluation.compare import Ours
from assistant.evaluation.texts import texts_of_pack
from assistant.pack.reader import Pack

__all__ = ["MOST_CANDIDATES", "Candidates", "Including", "pool"]

MOST_CANDIDATES = 20


def pool(rankings: Sequence[Ranking], question_id: str, question: str, depth: int = 5) -> tuple[str, ...]:
    """Return the ids of the notes that any ranking has among its first ``depth``, shuffled by the question's id.

    The order is the same on every machine and says nothing of which ranking brought a note, nor of where it stood.
    Where there would be more than `MOST_CANDIDATES`, all rankings are cut at the depth that still fits.

    Source
    ------
    Pooling of the runs of several systems, as in TREC: Manning, Raghavan and Schuetze, Introduction to Information
    Retrieval, 2008, section 8.5 (from memory).
    """
    ranked = [[note for note, _ in ranking.rank(question, depth)] for ranking in rankings]
    pooled: set[str] = set()
    for place in range(depth):
        wider = pooled.union(notes[place] for notes in ranked if place < len(notes))
        if len(wider) > MOST_CANDIDATES:
            break
        pooled = wider
    return _shuffled(question_id, pooled)


def _shuffled(question_id: str, notes: Iterable[str]) -> tuple[str, ...]:
    seed = int.from_bytes(hashlib.sha256(question_id.encode("utf-8", "surrogatepass")).digest())
    order = sorted(notes)
    random.Random(seed).shuffle(order)  # noqa: S311 - an order to label in, the same for the same question
    return tuple(order)


class Candidates:
    """The notes of a pack as a labeller is offered them.

    Parameters
    ----------
    pack
        Read while candidates are asked for; keep it open.
    """

    def __init__(self, pack: Pack) -> None:
        self._ours = Ours(pack)
        self._rankings = [self._ours, *baselines(texts_of_pack(pack))]

    def pool(self, question_id: str, question: str) -> tuple[str, ...]:
        """Return the ids of the candidates of a question, shuffled."""
        return pool(self._rankings, question_id, question)

    def find(self, words: str, most: int) -> tuple[str, ...]:
        """Return the ids of the notes that fit some words, best first."""
        return tuple(note for note, _ in self._ours.rank(words, most))


class Including:
    """Candidates among which some notes always are, in an order that does not tell them apart."""

    def __init__(self, candidates: Candidates, notes: Mapping[str, Sequence[str]]) -> None:
        self._candidates = candidates
        self._notes = notes

    def pool(self, question_id: str, question: str) -> tuple[str, ...]:
        """Return the ids of the candidates of a question, shuffled."""
        pooled = self._candidates.pool(question_id, question)
        return _shuffled(question_id, {*pooled, *self._notes.get(question_id, ())})

    def find(self, words: str, most: int) -> tuple[str, ...]:
        """Return the ids of the notes that fit some words, best first."""
        return self._candidates.find(words, most)
