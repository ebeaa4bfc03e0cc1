"""Figures and tests of the evaluation on drawn input against independent programs, and further published examples."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from statistics import fmean
from typing import Any

import ir_measures
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ir_measures import AP, RR, P, nDCG
from scipy import stats
from sklearn.metrics import roc_auc_score
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa, to_table
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

from assistant.evaluation.calibration import calibrate
from assistant.evaluation.measures import MEASURES, per_query, ranking_measures
from assistant.evaluation.report import report_runs, report_text, score_notes
from assistant.evaluation.risk import risk_curve
from assistant.evaluation.statistics import Share, cluster_interval, cohen_kappa, holm, sign_flip, swap_test
from assistant.evaluation.texts import texts_of_folder
from assistant.evaluation.trec import QRELS_NAME, trec_files
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled

DRAWS = 4000
VALUES = st.lists(st.sampled_from((-1.0, -0.5, 0.0, 0.25, 1.0)), min_size=2, max_size=10)
LABELS = st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("abc")), min_size=2, max_size=40)
DOCUMENTS = tuple(f"d{n}" for n in range(12))
JUDGED = st.dictionaries(st.sampled_from(DOCUMENTS), st.integers(0, 1), min_size=1)
RANKED = st.permutations(DOCUMENTS).flatmap(lambda order: st.integers(0, len(order)).map(lambda end: order[:end]))


def five_errors(p: float, draws: int = DRAWS) -> float:
    """Return five standard errors of a share drawn so often, and what the draw that was seen adds."""
    return float(5 * np.sqrt(p * (1 - p) / draws) + 2 / draws)


@settings(max_examples=30, deadline=None)
@given(VALUES)
def test_the_paired_test_agrees_with_scipy(differences: list[float]) -> None:
    """SciPy goes through all sign patterns where there are few; ours draws from them."""
    found = np.asarray(differences)
    exact = stats.permutation_test((found,), np.sum, permutation_type="samples", n_resamples=np.inf).pvalue
    assert sign_flip(differences, [0.0] * len(differences), DRAWS) == pytest.approx(exact, abs=five_errors(exact))


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 2)] * 2, *[st.integers(1, 3)] * 2), min_size=2, max_size=7))
def test_the_swap_test_agrees_with_scipy(rows: list[tuple[int, int, int, int]]) -> None:
    """SciPy permutes the sides of each pair by an index; the statistic is the difference of the two ratios."""
    left, right = [(a, a + c) for a, _, c, _ in rows], [(b, b + d) for _, b, _, d in rows]
    pool = np.asarray([left, right], dtype=float)

    def gap(one: Any, other: Any) -> float:
        pairs = np.arange(len(rows))
        sums = [pool[side.astype(int), pairs].sum(axis=0) for side in (one, other)]
        return float(sums[0][0] / sums[0][1] - sums[1][0] / sums[1][1])

    sides = (np.zeros(len(rows)), np.ones(len(rows)))
    test = stats.permutation_test(sides, gap, permutation_type="samples", n_resamples=np.inf, vectorized=False)
    spread = np.abs(test.null_distribution)
    exact = float((spread >= abs(gap(*sides)) - 1e-12).mean())
    assert swap_test(left, right, DRAWS) == pytest.approx(exact, abs=five_errors(exact))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_holm_agrees_with_statsmodels(p_values: list[float]) -> None:
    _, adjusted, _, _ = multipletests(p_values, method="holm")
    assert holm(p_values) == pytest.approx(list(adjusted), abs=1e-12)


def test_the_worked_example_of_holm() -> None:
    """R manual, p.adjust, method "holm" (from memory): sorted p times n, n - 1, ... 1, never falling, 1 at most."""
    assert holm([0.01, 0.02, 0.03, 0.04, 0.05]) == pytest.approx([0.05, 0.08, 0.09, 0.09, 0.09])


@given(st.integers(1, 400), st.floats(0, 1), st.sampled_from((0.8, 0.9, 0.95, 0.99)))
def test_the_exact_interval_agrees_with_statsmodels(n: int, share: float, level: float) -> None:
    k = round(share * n)
    assert Share(k, n).interval(level) == pytest.approx(
        proportion_confint(k, n, alpha=1 - level, method="beta"), abs=1e-8
    )


@given(LABELS)
def test_kappa_agrees_with_statsmodels(pairs: list[tuple[str, str]]) -> None:
    first, second = [one for one, _ in pairs], [other for _, other in pairs]
    if len({*first, *second}) > 1:
        table, _ = to_table(np.asarray(pairs))
        theirs = cohens_kappa(table, return_results=False)
        assert cohen_kappa(first, second) == pytest.approx(theirs, abs=1e-12)


def test_kappa_lies_by_its_pooled_kin() -> None:
    """Manning, Raghavan and Schuetze, Introduction to Information Retrieval (2008), table 8.2: .776, marginals pooled.

    Fleiss, Measuring nominal scale agreement among many raters (1971) pools them too; Cohen's kappa is .00021 above.
    """
    counts = {("yes", "yes"): 300, ("yes", "no"): 20, ("no", "yes"): 10, ("no", "no"): 70}
    pairs = [pair for pair, count in counts.items() for _ in range(count)]
    pooled = fleiss_kappa([[pair.count("yes"), pair.count("no")] for pair in pairs])
    assert pooled == pytest.approx(0.77591, abs=5e-6)
    assert cohen_kappa([a for a, _ in pairs], [b for _, b in pairs]) - pooled == pytest.approx(0.00021, abs=5e-6)


def average_precision(order: list[str], right: set[str]) -> float:
    hits = [place for place, document in enumerate(order, start=1) if document in right]
    return sum(n / place for n, place in enumerate(hits, start=1)) / len(right) if right else 0.0


def discounted(order: list[str], right: set[str]) -> float:
    gain = sum(1 / np.log2(place + 1) for place, d in enumerate(order[:10], start=1) if d in right)
    best = sum(1 / np.log2(place + 1) for place in range(1, min(10, len(right)) + 1))
    return float(gain / best) if right else 0.0


BY_DEFINITION: Mapping[str, Callable[[list[str], set[str]], float]] = {
    "P@1": lambda order, right: float(bool(order) and order[0] in right),
    "P@3": lambda order, right: sum(d in right for d in order[:3]) / 3,
    "MRR": lambda order, right: next((1 / n for n, d in enumerate(order, start=1) if d in right), 0.0),
    "nDCG@10": discounted,
    "MAP": average_precision,
}


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(RANKED, JUDGED), min_size=1, max_size=4))
def test_measures_agree_with_their_definitions(topics: list[tuple[list[str], dict[str, int]]]) -> None:
    """Manning, Raghavan and Schuetze (2008), sections 8.4; Jarvelin and Kekalainen (2002) (from memory).

    A judged question without results counts 0; the mean is over all judged questions.
    """
    qrels = {f"q{n}": judged for n, (_, judged) in enumerate(topics)}
    run = {f"q{n}": {d: float(-place) for place, d in enumerate(order)} for n, (order, _) in enumerate(topics)}
    for name, by_definition in BY_DEFINITION.items():
        expected = [by_definition(order, {d for d, grade in judged.items() if grade}) for order, judged in topics]
        assert list(per_query(qrels, run, name).values()) == pytest.approx(expected, abs=1e-6), name
        assert ranking_measures(qrels, run, (name,))[name] == pytest.approx(fmean(expected), abs=1e-6), name


@given(st.lists(st.tuples(st.integers(0, 10), st.booleans()), min_size=2, max_size=40))
def test_the_stated_confidence_is_judged_as_by_definition(judged: list[tuple[int, bool]]) -> None:
    """Brier (1950) and the area under the ROC curve as the chance that a right one stands above a wrong one."""
    confidence, right = [c / 10 for c, _ in judged], [r for _, r in judged]
    found = calibrate(confidence, right)
    if found is None:
        assert len(set(right)) == 1
        return
    assert found.brier == pytest.approx(fmean((c - r) ** 2 for c, r in zip(confidence, right, strict=True)))
    above = [c for c, r in zip(confidence, right, strict=True) if r]
    below = [c for c, r in zip(confidence, right, strict=True) if not r]
    wins = fmean((one > other) + (one == other) / 2 for one in above for other in below)
    assert found.auroc == pytest.approx(wins)
    assert found.auroc == pytest.approx(float(roc_auc_score(right, confidence)))
    assert sum(b.right.n for b in found.bins) == len(judged)


def test_the_area_under_the_risk_curve_of_pure_guessing() -> None:
    """Geifman, Uziel and El-Yaniv (2019) (from memory): of a confidence that says nothing it is the error rate."""
    curve = risk_curve([(0.5, n % 4 > 0) for n in range(400)])
    assert curve is not None
    assert curve.aurc == pytest.approx(0.25)


def test_the_least_area_comes_near_its_closed_form() -> None:
    """Geifman, Uziel and El-Yaniv (2019), equation 2 (from memory): r + (1 - r) ln(1 - r) for an error rate of r."""
    n, r = 4000, 0.1
    curve = risk_curve([(1 - place / n, place < n * (1 - r)) for place in range(n)])
    assert curve is not None
    # The same terms summed in two ways, of which the rounding differs.
    assert curve.aurc == pytest.approx(curve.best, rel=1e-12)
    assert curve.aurc == pytest.approx(r + (1 - r) * np.log(1 - r), abs=1 / n)


@settings(max_examples=10, deadline=None)
@given(st.lists(st.tuples(st.booleans(), st.booleans()), min_size=20, max_size=60), st.integers(1, 50))
def test_the_bootstrap_agrees_with_scipy_where_each_question_is_its_own_cluster(
    pairs: list[tuple[bool, bool]], seed: int
) -> None:
    """Efron and Tibshirani, An Introduction to the Bootstrap (1993), chapter 13: the percentile interval."""
    change = np.asarray([float(other) - float(one) for one, other in pairs])
    ours = cluster_interval(
        [(float(one), 1) for one, _ in pairs],
        [(float(other), 1) for _, other in pairs],
        [str(n) for n in range(len(pairs))],
        seed=seed,
    )
    theirs = stats.bootstrap(
        (change,), np.mean, n_resamples=10_000, method="percentile", rng=np.random.default_rng(seed)
    ).confidence_interval
    assert ours is not None
    step = 1.5 / len(pairs)
    assert ours == pytest.approx((theirs.low, theirs.high), abs=step)


TIED = {"q1": {"d1": 3.0, "d2": 2.0, "d3": 1.0}, "q2": {"d3": 2.0, "d1": 1.0}}
TIED_QRELS = {"q1": {"d2": 1, "d9": 1}, "q2": {"d3": 1}, "q3": {"d1": 1}}


def scored_from_files(folder: Path, run: str, names: tuple[str, ...]) -> dict[str, float]:
    outside: Any = ir_measures
    qrels = list(outside.read_trec_qrels(str(folder / QRELS_NAME)))
    ranked = list(outside.read_trec_run(str(folder / run)))
    found = outside.pytrec_eval.calc_aggregate([MEASURES[name] for name in names], qrels, ranked)
    return {name: float(found[MEASURES[name]]) for name in names}


def written(folder: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        (folder / name).write_text(text, "utf-8")
    return folder


def test_files_keep_our_order_in_other_programs(tmp_path: Path) -> None:
    """pytrec_eval orders by score in single precision, then by id from the end of the alphabet (from memory).

    Scores as large as ours would tie there: 2**25 and 2**25 + 1 are one number in single precision.
    """
    large = {"q1": {"d1": 2.0**25 + 1, "d2": 2.0**25, "d3": 2.0**25 - 1}}
    folder = written(tmp_path, trec_files({"q1": {"d1": 1}}, {"ours": large}))
    assert scored_from_files(folder, "ours.run", ("MRR",)) == {"MRR": 1.0}


def test_files_are_scored_as_we_score(tmp_path: Path) -> None:
    folder = written(tmp_path, trec_files(TIED_QRELS, {"ours": TIED}))
    names = ("P@1", "P@3", "MRR", "nDCG@10", "MAP")
    assert scored_from_files(folder, "ours.run", names) == pytest.approx(ranking_measures(TIED_QRELS, TIED, names))
    assert ir_measures.pytrec_eval.supports(P @ 3)
    assert all(ir_measures.pytrec_eval.supports(measure) for measure in (AP, RR, nDCG @ 10))


@pytest.mark.parametrize("from_notes", [True, False])
def test_files_give_the_printed_figures(
    mini_pack_path: Path, mini_corpus_path: Path, tmp_path: Path, from_notes: bool
) -> None:
    """Whether the baselines rank what the notes say or, without them, what a pack holds of it."""
    questions = [
        labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
        labelled("q2", "wipe the sticky disc", notes=("disc-clean", "pad-stick-cap")),
        labelled("q3", "open the cabinet and wipe the disc", "noisy", ("power-strip-dead",)),
        labelled("q4", "battery swollen and hot", "long", ("disc-clean",), danger="safety-swollen-cell"),
        labelled("q5", "xylophone", "everyday", ("pad-stick-cap",)),
    ]
    with Pack(mini_pack_path) as pack:
        texts = texts_of_folder(mini_corpus_path if from_notes else None)
        report = score_notes(pack, questions, [], "tune", texts=texts)
    folder = written(tmp_path, trec_files(*report_runs(report)))
    names = ("P@1", "P@3", "MRR", "nDCG@10")
    printed = report_text(report)
    for ranking, file in (("this program", "this-program.run"), ("plain BM25, stems", "plain-bm25-stems.run")):
        cells = "  ".join(f"{value:>9.4f}" for value in scored_from_files(folder, file, names).values())
        (line,) = [line for line in printed.splitlines() if line.startswith(f"{ranking} ") and " = " not in line]
        assert line.endswith(cells)
    shown = ", ".join(f"{n} {value:.3f}" for n, value in scored_from_files(folder, "as-shown.run", names).items())
    assert f"as shown to the rep: {shown}\n" in printed
