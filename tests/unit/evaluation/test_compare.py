"""Our ranking beside the baselines over the same chunks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.answering.retrieve import Retriever
from assistant.evaluation.baselines import baselines
from assistant.evaluation.compare import OURS, Comparison, Ours, compare
from assistant.evaluation.statistics import sign_flip
from assistant.evaluation.texts import texts_of_pack
from assistant.pack.reader import Pack
from tests.making import Told
from tests.unit.evaluation.making import comparison

QUESTIONS = {
    "q3": "display shows no signal",
    "q1": "wipe the sticky disc",
    "q2": "qqqq zzzz",
    "q4": "outlet strip has no power",
}
QRELS = {
    "q3": {"screen-no-signal": 1},
    "q1": {"disc-clean": 1},
    "q2": {"pad-stick-cap": 1},
    "q4": {"pad-stick-cap": 1},
}
NAMES = ("MRR", "P@1")


@pytest.fixture(scope="module")
def pack(mini_pack_path: Path) -> Iterator[Pack]:
    with Pack(mini_pack_path) as opened:
        yield opened


@pytest.fixture(scope="module")
def found(pack: Pack) -> Comparison:
    return compare(pack, QUESTIONS, QRELS, NAMES)


def test_ours_ranks_as_the_retriever_does(pack: Pack) -> None:
    scores = Retriever(pack)("display shows no signal").scores
    expected = [(pack.note_ids[n], float(scores.total[n])) for n in scores.order]
    assert expected[0][0] == "screen-no-signal"
    assert Ours(pack).rank("display shows no signal", 100) == expected
    assert Ours(pack).rank("display shows no signal", 2) == expected[:2]


def test_four_rankings_are_scored_on_every_judged_question(pack: Pack, found: Comparison) -> None:
    assert found.queries == ("q1", "q2", "q3", "q4")
    assert list(found.values) == [OURS, *(ranking.name for ranking in baselines(texts_of_pack(pack)))]
    for ranking, measures in found.values.items():
        assert list(measures) == list(NAMES)
        assert measures["P@1"][0] == measures["P@1"][2] == 1.0, ranking


def test_a_question_without_results_scores_nothing(found: Comparison) -> None:
    assert [measures["MRR"][1] for measures in found.values.values()] == [0.0] * 4


def test_a_wrong_label_is_not_rewarded(found: Comparison) -> None:
    assert [measures["P@1"][3] for measures in found.values.values()] == [0.0] * 4


def test_the_best_baseline_is_the_best_by_the_first_measure(found: Comparison) -> None:
    means = {name: found.mean(name, "MRR") for name in found.values if name != OURS}
    assert means[found.best_baseline] == max(means.values())
    assert found.p == sign_flip(found.values[OURS]["MRR"], found.values[found.best_baseline]["MRR"])


def test_a_shallow_depth_cuts_the_rankings(pack: Pack) -> None:
    """The label is wrong on purpose: no ranking puts it first, so at depth 1 it is not reached."""
    questions, qrels = {"q1": "open the cabinet and wipe the disc"}, {"q1": {"power-strip-dead": 1}}
    deep = compare(pack, questions, qrels, ("MRR",))
    shallow = compare(pack, questions, qrels, ("MRR",), depth=1)
    assert all(deep.mean(name, "MRR") > 0 for name in deep.values)
    assert all(shallow.mean(name, "MRR") == 0 for name in shallow.values)


def test_baselines_rank_the_texts_that_they_are_given(pack: Pack, found: Comparison) -> None:
    """Only where a text says so does a baseline find the strange word; ours ranks the pack whatever they are given."""
    texts = [*texts_of_pack(pack), ("pad-stick-cap", "qqqq zzzz")]
    given = compare(pack, QUESTIONS, QRELS, NAMES, texts=texts)
    for name in found.values:
        if name == OURS:
            assert given.values[name] == found.values[name]
        else:
            assert (found.values[name]["MRR"][1], given.values[name]["MRR"][1]) == (0.0, 1.0)


def test_the_direction_of_the_first_measure_is_told() -> None:
    known = comparison()
    assert known.direction == "higher by 0.3333"
    turned = replace(known, values={OURS: known.values["other"], "other": known.values[OURS]})
    assert turned.direction == "lower by 0.3333"
    even = replace(known, values=dict.fromkeys((OURS, "other"), known.values[OURS]))
    assert even.direction == "higher by 0.0000"


def test_progress_names_each_ranking(pack: Pack, found: Comparison) -> None:
    told = Told()
    compare(pack, QUESTIONS, QRELS, ("MRR",), progress=told)
    assert told == [f"ranking with {name}" for name in found.values]


def test_the_mean_is_over_all_questions() -> None:
    assert comparison().mean("other", "MRR") == 0.5
    assert Comparison((), {OURS: {"MRR": ()}}, OURS, 1.0).mean(OURS, "MRR") == 0.0


def test_no_judged_question_gives_no_figures(pack: Pack) -> None:
    empty = compare(pack, {}, {}, NAMES)
    assert (empty.queries, empty.p, empty.mean(OURS, "MRR")) == ((), 1.0, 0.0)
