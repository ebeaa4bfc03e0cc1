"""A question against an open pack: what was understood, the ranking, and the signs that the decision looks at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from assistant.analysis.analyzer import AnalysisSettings, ReadQuery, Stems, read_query
from assistant.analysis.cues import cues
from assistant.errors import PackError
from assistant.model import ScoredNote
from assistant.pack.reader import Pack
from assistant.ranking.score import FULL, NONE, Scores, TermRow, explain, quotient, score_terms

__all__ = ["FEATURES", "Retrieval", "Retriever"]

FEATURES = (
    "gap",
    "gap_to_third",
    "learned_gap",
    "learned_share",
    "chunk_share",
    "covered",
    "unknown",
    "over_none",
    "nearest",
    "nearest_over_rival",
    "nearest_over_none",
    "agree",
    "few_terms",
    "repaired",
)
"""Names of the signs, in the order in which `Retrieval.features` gives them; all in thousandths."""

_MOST_TERMS = 1000
_FEWEST_TERMS = 3


class Retrieval(NamedTuple):
    """What one question led to; note numbers index ``pack.note_ids``.

    ``alarm`` is how far the turns of phrase tell of harm, in thousandths of a logit before its bias; ``kin`` the notes
    that questions fit as well which fit the first, with their weight in thousandths.
    """

    query: ReadQuery
    terms: tuple[tuple[str, int], ...]
    pairs: tuple[tuple[str, int], ...]
    rows: dict[str, TermRow]
    scores: Scores
    features: tuple[int, ...]
    alarm: int = 0
    kin: Sequence[tuple[int, int]] = ()


class Retriever:
    """Reads and ranks questions against one pack.

    Parameters
    ----------
    pack
        An open pack; it must stay open as long as the retriever is used.
    """

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        try:
            self._settings = AnalysisSettings(**pack.analysis)
        except TypeError as error:
            raise PackError(f"{pack.path}:1: pack of another version: {error}; compile it again") from error
        self._stems = Stems()

    def __call__(self, question: str) -> Retrieval:
        """Read and rank one question."""
        return self.rank(question, read_query(question, self.pack, self._stems, self._settings))

    def rank(self, question: str, query: ReadQuery) -> Retrieval:
        """Rank one question that was read before, by this pack or by one with the same words."""
        terms = tuple((term.term, term.weight) for term in query.terms[:_MOST_TERMS])
        pairs = tuple((pair, FULL) for pair in query.pairs[:_MOST_TERMS])
        rows = self.pack.term_rows(term for term, _ in (*terms, *pairs))
        scores = score_terms((*terms, *pairs), rows, self.pack.chunk_note, self.pack.example_note)
        features = _features(query, terms, pairs, rows, scores, self.pack.rarest)
        kin = self.pack.kin(scores.order[0]) if scores.order else ()
        return Retrieval(query, terms, pairs, rows, scores, features, self.pack.tells("harm", cues(question)), kin)

    def explain(self, retrieval: Retrieval, note: int) -> ScoredNote:
        """Return the score of note number ``note`` with its reasons."""
        return explain(
            note,
            self.pack.note_ids[note],
            (*retrieval.terms, *retrieval.pairs),
            retrieval.rows,
            retrieval.scores,
            self.pack.fields,
        )


def _features(
    query: ReadQuery,
    terms: tuple[tuple[str, int], ...],
    pairs: tuple[tuple[str, int], ...],
    rows: dict[str, TermRow],
    scores: Scores,
    rarest: int,
) -> tuple[int, ...]:
    if not scores.order:
        return (0,) * len(FEATURES)
    first = scores.order[0]
    totals = [scores.total[note] for note in scores.order[:3]] + [0, 0]
    learned = scores.learned
    rival_learned = max((v for n, v in learned.items() if n >= 0 and n != first), default=0)
    best_learned = sum(
        max((w for n, w in rows[t].learned if n >= 0), default=0) * p // FULL for t, p in (*terms, *pairs) if t in rows
    )
    best_chunk = sum(max((w for _, w, _ in rows[t].chunks), default=0) * p // FULL for t, p in terms if t in rows)
    asked = [(t, p) for t, p in terms if p >= FULL // 2]
    strange = [(t, p) for t, p in asked if t not in rows or not rows[t].chunks]
    unknown = sum(p for _, p in strange)
    mass = sum(rows[t].mass * p for t, p in asked if t in rows and rows[t].chunks) + rarest * unknown
    chunk_number = scores.chunk.get(first, (0, None))[1]
    held = sum(rows[t].mass * p for t, p in asked if t in rows and any(n == chunk_number for n, _, _ in rows[t].chunks))
    near = scores.example.get(first, (0, 0))[0]
    rival = max((v[0] for n, v in scores.example.items() if n >= 0 and n != first), default=0)
    none = scores.example.get(NONE, (0, 0))[0]
    best_by_chunk = min(scores.chunk, key=lambda n: (-scores.chunk[n][0], n), default=NONE)
    best_by_learned = min((n for n in learned if n >= 0), key=lambda n: (-learned[n], n), default=NONE)
    count = max(1, sum(p for _, p in asked) // FULL)
    return (
        _share(totals[0] - totals[1], totals[0]),
        _share(totals[0] - totals[2], totals[0]),
        _share(learned.get(first, 0) - rival_learned, best_learned),
        _share(learned.get(first, 0), best_learned),
        _share(scores.chunk.get(first, (0, 0))[0], best_chunk),
        _share(held, mass),
        _share(unknown, sum(p for _, p in asked)),
        _share(learned.get(first, 0) - learned.get(NONE, 0), best_learned),
        near,
        near - rival,
        near - none,
        1000 * (best_by_chunk == first) // 2 + 1000 * (best_by_learned == first) // 2,
        1000 // max(_FEWEST_TERMS, count),
        _share(len(query.repaired), len(query.words)),
    )


def _share(part: int, whole: int) -> int:
    """Return part / whole in thousandths, towards zero; 0 when there is no whole."""
    return quotient(1000 * part, whole) if whole > 0 else 0
