"""Our ranking beside the three baselines, on labelled questions or on a collection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assistant.answering.retrieve import Retriever
from assistant.evaluation.baselines import Ranking, baselines
from assistant.evaluation.measures import Run, per_query
from assistant.evaluation.statistics import sign_flip
from assistant.evaluation.texts import Texts, texts_of_pack
from assistant.pack.reader import Pack
from assistant.progress import Progress, counted, silent

__all__ = ["OURS", "Comparison", "Ours", "Ranked", "compare"]

OURS = "this program"


@dataclass(frozen=True, slots=True)
class Comparison:
    """``values`` maps ranking -> measure -> value of each question, in the order of ``queries``; ``p`` is the
    p of a paired randomization test of the first measure against the best baseline. ``runs`` are what was scored, by
    ranking: each document of a question with its place counted from the end, so that no two are equal.
    """

    queries: tuple[str, ...]
    values: Mapping[str, Mapping[str, tuple[float, ...]]]
    best_baseline: str
    p: float
    runs: Mapping[str, Run] = field(default_factory=dict)

    @property
    def direction(self) -> str:
        """How the first measure stands to that of the best baseline: higher or lower, and by how much."""
        measure = next(iter(next(iter(self.values.values()))))
        gained = self.mean(OURS, measure) - self.mean(self.best_baseline, measure)
        return f"{'lower' if gained < 0 else 'higher'} by {abs(gained):.4f}"

    def mean(self, ranking: str, measure: str) -> float:
        """Return the mean over all judged questions."""
        values = self.values[ranking][measure]
        return sum(values) / len(values) if values else 0.0


class Ours:
    """The ranking of a pack as a `Ranking`, without the decision."""

    name = OURS

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self._retriever = Retriever(pack)

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        """Return (note id, score), best first."""
        scores = self._retriever(question).scores
        return [(self._pack.note_ids[n], float(scores.total[n])) for n in scores.order[:depth]]


class Ranked:
    """The same, of questions that were asked before.

    Parameters
    ----------
    ranked
        (note id, score) of each question, best first; as many as are asked for.
    """

    name = OURS

    def __init__(self, ranked: Mapping[str, Sequence[tuple[str, float]]]) -> None:
        self._ranked = ranked

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        """Return (note id, score), best first."""
        return list(self._ranked[question][:depth])


def compare(
    pack: Pack,
    questions: Mapping[str, str],
    qrels: Mapping[str, Mapping[str, int]],
    measures: Sequence[str],
    *,
    texts: Texts | None = None,
    ours: Ranking | None = None,
    depth: int = 10,
    progress: Progress = silent,
) -> Comparison:
    """Rank every judged question four ways over the same chunks and score the runs.

    Parameters
    ----------
    questions
        Text by question id.
    qrels
        Judged documents by question id; a grade above 0 is relevant.
    measures
        Names of `assistant.evaluation.measures.MEASURES`; the first decides which baseline is best.
    texts
        What the baselines rank; what the pack holds of its notes where it is left out.
    ours
        The pack's own ranking; the pack is asked where it is left out.
    """
    rankings: list[Ranking] = [ours or Ours(pack), *baselines(texts_of_pack(pack) if texts is None else texts)]
    judged = tuple(sorted(qrels))
    values: dict[str, dict[str, tuple[float, ...]]] = {}
    runs: dict[str, Run] = {}
    for ranking in rankings:
        run: dict[str, dict[str, float]] = {}
        for query in counted(judged, progress, f"ranking with {ranking.name}"):
            found = ranking.rank(questions[query], depth)
            run[query] = {document: float(depth - place) for place, (document, _) in enumerate(found)}
        runs[ranking.name] = run
        values[ranking.name] = {}
        for measure in measures:
            scored = per_query(qrels, run, measure)
            values[ranking.name][measure] = tuple(scored[query] for query in judged)
    first = measures[0]
    best = max((r.name for r in rankings[1:]), key=lambda name: sum(values[name][first]))
    return Comparison(judged, values, best, sign_flip(values[OURS][first], values[best][first]), runs)
