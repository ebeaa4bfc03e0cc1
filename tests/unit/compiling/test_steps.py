from __future__ import annotations

import math

import pytest

from assistant.compiling.settings import StepSettings
from assistant.compiling.steps import PRIOR, step_weights
from assistant.model import Example
from assistant.notes.reader import read_note
from tests.making import NOTE_PATH, NOTE_TEXT

NOTE = read_note(NOTE_TEXT, NOTE_PATH)
MASSES = {"lamp": 1000, "plug": 2000, "new": 500}
SETTINGS = StepSettings(alpha=0.001, prior=2.0)


def weigh(*examples: Example) -> dict[str, dict[int, int]]:
    note = NOTE._replace(examples=examples)
    return {term: dict(pairs) for term, pairs in step_weights(note, str.split, MASSES, SETTINGS).items()}


def test_what_questions_name_counts_for_every_question() -> None:
    weights = weigh(Example("a", (2,)), Example("b", (2, 3)), Example("c"))
    assert weights[PRIOR] == {1: 0, 2: round(200 * math.log1p(2)), 3: 0}


def test_a_question_teaches_the_steps_that_it_names() -> None:
    weights = weigh(Example("sparkly knob", (3,)), Example("wobbly knob"))
    assert set(weights["sparkly"]) == {3}
    assert "wobbly" not in weights
    assert set(weigh()["Unplug"]) == {2}


def test_safety_messages_belong_to_the_step_after_them() -> None:
    assert set(weigh()["bare"]) == {2}


@pytest.mark.parametrize("alpha", [0.0003, 0.01])
def test_weights_are_those_of_naive_bayes_with_equal_mass_a_step(alpha: float) -> None:
    """Introduction to Information Retrieval, 2008, section 13.2 (from memory); here by hand for a step of one word."""
    note = NOTE._replace(steps=(NOTE.steps[0]._replace(text="lamp", branches=()),), safety=(), examples=())
    weights = step_weights(note, str.split, MASSES, StepSettings(alpha, 0.0))
    assert weights["lamp"] == [(1, round(100 * math.log1p(1 / alpha)))]
