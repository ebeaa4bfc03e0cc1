"""Ranking measures, all by ir_measures."""

from __future__ import annotations

from collections.abc import Mapping

import ir_measures
from ir_measures import AP, RR, P, Success, nDCG

__all__ = ["MEASURES", "Qrels", "Run", "per_query", "ranking_measures"]

MEASURES = {
    "P@1": P @ 1,
    "P@3": P @ 3,
    "P@5": P @ 5,
    "MRR": RR,
    "nDCG@10": nDCG @ 10,
    "MAP": AP,
    "success@1": Success @ 1,
    "success@3": Success @ 3,
    "success@5": Success @ 5,
}
Qrels = Mapping[str, Mapping[str, int]]
Run = Mapping[str, Mapping[str, float]]


def ranking_measures(
    qrels: Qrels, run: Run, names: tuple[str, ...] = ("P@1", "P@3", "MRR", "nDCG@10")
) -> dict[str, float]:
    """Return the mean of each named measure; a judged question without results counts 0."""
    found = ir_measures.calc_aggregate([MEASURES[name] for name in names], _qrels(qrels), _run(run))
    return {name: float(found[MEASURES[name]]) for name in names}


def per_query(qrels: Qrels, run: Run, name: str) -> dict[str, float]:
    """Return one measure for each judged question; 0 where there is no result."""
    values = dict.fromkeys(qrels, 0.0)
    for metric in ir_measures.iter_calc([MEASURES[name]], _qrels(qrels), _run(run)):
        values[metric.query_id] = float(metric.value)
    return values


def _qrels(qrels: Qrels) -> list[ir_measures.Qrel]:
    return [ir_measures.Qrel(q, d, grade) for q, judged in qrels.items() for d, grade in judged.items()]


def _run(run: Run) -> list[ir_measures.ScoredDoc]:
    return [ir_measures.ScoredDoc(q, d, score) for q, found in run.items() for d, score in found.items()]
