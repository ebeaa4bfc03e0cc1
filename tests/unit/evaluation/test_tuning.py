from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from assistant.analysis.analyzer import ReadQuery
from assistant.answering.decide import DANGER_SIGNS, danger_signs, logit
from assistant.answering.retrieve import Retrieval
from assistant.evaluation.tuning import FOLDS, Sample, fold_of, learn_danger, learn_model, learn_vague, without_fold
from assistant.model import Corpus, Example
from assistant.notes.reader import read_note
from assistant.ranking.score import Scores
from tests.making import NOTE_PATH, NOTE_TEXT

SIGNS = 14


def samples() -> list[Sample]:
    """Right where the first sign is high; uncovered where the eighth is low; vague where the third is high; note 1 is
    the one on harm, and harm is told where the alarm is high."""
    random = np.random.default_rng(3)
    made = []
    for _ in range(400):
        signs = tuple(int(value) for value in random.integers(0, 1000, SIGNS))
        covered = signs[7] > 300
        alarm = int(random.integers(-1000, 1000))
        scores = Scores({0: 100, 1: 50}, [0, 1], {}, {}, {})
        retrieval = Retrieval(ReadQuery((), (), (), ()), (), (), {}, scores, signs, alarm)
        right, vague = covered and signs[0] > 500, signs[2] > 700
        made.append(Sample(retrieval, right, covered, vague, alarm > 0, passing=False, safety=[1]))
    return made


@pytest.mark.parametrize(("target", "sign"), [("right", 0), ("covered", 7)])
def test_the_sign_that_decides_weighs_most(target: str, sign: int) -> None:
    model = learn_model(samples(), target)
    assert len(model["weights"]) == len(model["signs"]) == SIGNS
    assert max(range(SIGNS), key=lambda i: model["weights"][i]) == sign
    assert all(isinstance(weight, int) for weight in (model["bias"], *model["weights"]))
    assert json.loads(json.dumps(model)) == model


def test_log_odds_separate_what_was_learned() -> None:
    made = samples()
    model = learn_model(made, "covered")
    odds = [model["bias"] + sum(f * w for f, w in zip(s.features, model["weights"], strict=True)) for s in made]
    agree = np.mean([(value > 0) == s.covered for value, s in zip(odds, made, strict=True)])
    assert agree > 0.9


def test_the_sign_of_questions_that_fit_several_notes_is_learned() -> None:
    model = learn_vague(samples())
    assert max(range(SIGNS), key=lambda i: model["weights"][i]) == 2


def test_harm_is_learned_from_questions_that_fit_one_note() -> None:
    made = samples()
    decision = {"right": learn_model(made, "right"), "covered": learn_model(made, "covered")}
    model = learn_danger(made, decision)
    assert model["signs"] == list(DANGER_SIGNS)
    told = [_danger(s, decision, model) == s.harm for s in made if not s.vague]
    assert np.mean(told) > 0.9


def _danger(sample: Sample, decision: dict[str, Any], model: dict[str, Any]) -> bool:
    right, covered = (logit(sample.features, decision[name]) for name in ("right", "covered"))
    return logit(danger_signs(sample.retrieval, right, covered, sample.safety), model) > 0


def test_folds_part_every_kind_of_question() -> None:
    texts = [f"question {i}" for i in range(200)]
    note = read_note(NOTE_TEXT, NOTE_PATH)._replace(examples=tuple(Example(text) for text in texts))
    corpus = Corpus(
        (note,),
        uncovered=tuple(texts),
        followups=tuple(("time", text) for text in texts),
        dangers=tuple(("pad-demo", text) for text in texts),
        ambiguous=tuple((("pad-demo", "pad-other"), text) for text in texts),
    )
    kept = [without_fold(corpus, fold) for fold in range(FOLDS)]
    for sizes in (
        [len(c.uncovered) for c in kept],
        [len(c.followups) for c in kept],
        [len(c.dangers) for c in kept],
        [len(c.ambiguous) for c in kept],
        [len(c.notes[0].examples) for c in kept],
    ):
        assert sum(sizes) == (FOLDS - 1) * len(texts)
        assert min(sizes) > 0
    assert [fold_of(text) for text in texts] == [fold_of(text) for text in texts]
