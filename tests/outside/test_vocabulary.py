"""The vocabulary: large enough, and no plain question goes astray because of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.answering.retrieve import Retriever
from assistant.evaluation.labels import LabelledQuestion, read_questions
from assistant.model import Corpus
from assistant.pack.reader import Pack
from tests.shipped import shipped_corpus

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def corpus() -> Corpus:
    return shipped_corpus()


@pytest.fixture(scope="module")
def plain_questions() -> list[LabelledQuestion]:
    questions = read_questions(ROOT / "eval/questions.jsonl")
    return [q for q in questions if q.split == "tune" and q.manner == "plain"]


def astray(retrieve: Retriever, questions: list[LabelledQuestion]) -> set[str]:
    """Return the questions whose first note is not a right one."""
    ids = retrieve.pack.note_ids
    return {q.question for q in questions if ids[retrieve(q.question).scores.order[0]] not in (*q.notes, q.danger)}


def test_at_least_three_hundred_forms(corpus: Corpus) -> None:
    """Common practice: reps and shoppers have many words for one thing."""
    assert len(corpus.vocabulary.forms) >= 300


def test_no_plain_question_goes_astray_by_the_vocabulary(
    plain_questions: list[LabelledQuestion], shipped_pack: Pack, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Labelled tune questions in the trade's plain words; common practice.

    Those that go astray with the vocabulary are asked once more without it: they must go astray then too.
    """
    assert plain_questions
    wrong = astray(Retriever(shipped_pack), plain_questions)
    monkeypatch.setattr(shipped_pack, "meanings", lambda phrase: [])
    suspects = [question for question in plain_questions if question.question in wrong]
    assert wrong <= astray(Retriever(shipped_pack), suspects)
