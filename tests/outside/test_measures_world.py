"""Measures and statistics of the evaluation against published worked examples."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import accumulate

import numpy as np
import pytest
from scipy import stats
from sklearn.metrics import roc_auc_score

from assistant.evaluation.measures import per_query, ranking_measures
from assistant.evaluation.statistics import Share, cohen_kappa, sign_flip

MAIZE = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
"""Crossed minus self-fertilised plants in eighths of an inch."""
GAINS = [3, 2, 3, 0, 0, 1, 2, 2, 3, 0]


def judged(ranking: str, relevant: int) -> tuple[dict[str, dict[str, int]], dict[str, dict[str, float]]]:
    """Return judgements and run of a ranking of R(elevant) and N(ot relevant); what was not found follows by name."""
    documents = [f"d{place}" for place in range(len(ranking))]
    missed = [f"m{n}" for n in range(relevant - ranking.count("R"))]
    right = [document for document, sign in zip(documents, ranking, strict=True) if sign == "R"]
    run = {document: float(len(ranking) - place) for place, document in enumerate(documents)}
    return {"q": dict.fromkeys([*right, *missed], 1)}, {"q": run}


def cumulated(gains: Sequence[int], discount: Callable[[int], float]) -> list[float]:
    """Return the discounted cumulated gain at each place from 1."""
    return list(accumulate(gain / discount(place) for place, gain in enumerate(gains, start=1)))


def test_kappa_of_the_textbook() -> None:
    """Manning, Raghavan and Schuetze, Introduction to Information Retrieval (2008), table 8.2: .776.

    The book pools the marginals (.77591), Cohen keeps them apart (.77612); they agree to the book's three places.
    """
    counts = {("yes", "yes"): 300, ("yes", "no"): 20, ("no", "yes"): 10, ("no", "no"): 70}
    pairs = [pair for pair, count in counts.items() for _ in range(count)]
    kappa = cohen_kappa([first for first, _ in pairs], [second for _, second in pairs])
    assert kappa == pytest.approx(0.77612, abs=5e-6)
    assert round(kappa, 3) == 0.776


def test_kappa_of_the_manual() -> None:
    """scikit-learn manual, cohen_kappa_score: .42857 (from memory)."""
    assert cohen_kappa(list("202201"), list("002202")) == pytest.approx(0.42857, abs=5e-6)


@pytest.mark.parametrize(("ranking", "value"), [("RNRNNNNNRR", 0.6), ("NRNNRRRNNN", 0.492857)])
def test_average_precision_of_the_textbook_exercise(ranking: str, value: float) -> None:
    """Manning, Raghavan and Schuetze (2008), exercise in chapter 8, four relevant documents (from memory)."""
    qrels, run = judged(ranking, relevant=4)
    assert ranking_measures(qrels, run, ("MAP",))["MAP"] == pytest.approx(value, abs=5e-7)


def test_average_precision_counts_what_was_not_found() -> None:
    """Manning, Raghavan and Schuetze (2008), section 8.4: a document that is not found has precision 0."""
    qrels, run = judged("RN", relevant=2)
    assert ranking_measures(qrels, run, ("MAP",))["MAP"] == pytest.approx(0.5)


def test_cumulated_gain_of_the_article() -> None:
    """Jarvelin and Kekalainen, ACM TOIS 20(4), 2002 (from memory): CG, and DCG with base 2."""
    assert cumulated(GAINS, lambda _: 1) == [3, 5, 8, 8, 8, 9, 11, 13, 16, 16]
    published = [3, 5, 6.89, 6.89, 6.89, 7.28, 7.99, 8.66, 9.61, 9.61]
    assert cumulated(GAINS, lambda place: max(1.0, math.log2(place))) == pytest.approx(published, abs=0.006)


def test_ndcg_is_the_cumulated_gain_over_the_best_order() -> None:
    """Jarvelin and Kekalainen (2002) (from memory): the same gains, discounted by log2(place + 1) as in trec_eval."""

    def discount(place: int) -> float:
        return math.log2(place + 1)

    qrels = {"q": {f"d{place}": gain for place, gain in enumerate(GAINS)}}
    run = {"q": {f"d{place}": float(-place) for place in range(len(GAINS))}}
    best = cumulated(sorted(GAINS, reverse=True), discount)[-1]
    expected = cumulated(GAINS, discount)[-1] / best
    assert ranking_measures(qrels, run, ("nDCG@10",))["nDCG@10"] == pytest.approx(expected, rel=1e-6)


def test_the_readme_example_of_pytrec_eval() -> None:
    """pytrec_eval README: map .3333 and .583333, ndcg .5 and .6934264."""
    qrels = {"q1": {"d1": 0, "d2": 1}, "q2": {"d2": 1, "d3": 1}}
    run = {"q1": {"d1": 1.0, "d2": 0.0, "d3": 1.5}, "q2": {"d1": 1.5, "d2": 0.2, "d3": 0.5}}
    assert per_query(qrels, run, "MAP") == pytest.approx({"q1": 1 / 3, "q2": 0.583333}, abs=5e-7)
    assert per_query(qrels, run, "nDCG@10") == pytest.approx({"q1": 0.5, "q2": 0.6934264}, abs=5e-8)


def test_the_paired_test_on_darwins_maize() -> None:
    """Fisher, The Design of Experiments (1935), section 21: 1726 of the 32768 sign patterns (from memory).

    scipy goes through all patterns; ours draws, so it may be off by four standard errors.
    """
    exact = stats.permutation_test((np.array(MAIZE),), np.sum, permutation_type="samples", n_resamples=np.inf)
    assert exact.pvalue == pytest.approx(1726 / 32768, abs=1e-12)
    draws = 10_000
    p = 1726 / 32768
    error = math.sqrt(p * (1 - p) / draws)
    assert sign_flip(MAIZE, [0] * len(MAIZE), draws) == pytest.approx(p, abs=4 * error)


def test_the_interval_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1: 4 of 20, 90 %; its last place is solved for."""
    assert Share(4, 20).interval(0.9) == pytest.approx((0.071354, 0.401029), abs=1e-6)


def test_the_interval_of_mendels_plants() -> None:
    """R manual, binom.test(682, 925), after Conover (1971): 95 % (from memory)."""
    assert Share(682, 925).interval() == pytest.approx((0.7076683, 0.7654066), abs=5e-8)


@pytest.mark.parametrize(("errors", "percent"), [(0, 1.5), (1, 2.3), (2, 3.1), (5, 5.2), (10, 8.3)])
def test_what_few_errors_in_two_hundred_still_allow(errors: int, percent: float) -> None:
    """Clopper and Pearson, Biometrika 26 (1934) (from memory): one-sided 95 % bound, the upper end of two-sided 90 %.

    At the bound so few errors or fewer have a chance of .05.
    """
    bound = Share(errors, 200).interval(0.9)[1]
    assert round(100 * bound, 1) == percent
    assert stats.binom.cdf(errors, 200, bound) == pytest.approx(0.05, rel=1e-6)


@pytest.mark.parametrize(("errors", "n"), [(0, 59), (1, 93), (2, 124), (3, 153)])
def test_how_many_questions_show_at_most_five_percent(errors: int, n: int) -> None:
    """Clopper and Pearson (1934) (from memory): the least n whose one-sided 95 % bound is at most .05."""
    assert Share(errors, n).interval(0.9)[1] <= 0.05 < Share(errors, n - 1).interval(0.9)[1]


def test_the_area_under_the_curve_of_the_manual() -> None:
    """scikit-learn manual, roc_auc_score: .75 (from memory)."""
    assert roc_auc_score([0, 0, 1, 1], [0.1, 0.4, 0.35, 0.8]) == pytest.approx(0.75)
