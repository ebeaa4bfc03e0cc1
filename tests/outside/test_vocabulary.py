"""The vocabulary: large enough, and no plain question goes astray because of it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from assistant.answering.retrieve import Retriever
from assistant.evaluation.labels import LabelledQuestion, read_questions
from assistant.model import Corpus, Vocabulary
from assistant.notes.corpus import read_corpus
from assistant.compiling.compiler import compile_corpus
from assistant.pack.reader import Pack
from assistant.compiling.settings import default_settings

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def corpus() -> Corpus:
    return read_corpus(ROOT / "corpus")


@pytest.fixture(scope="module")
def plain_questions() -> list[LabelledQuestion]:
    questions = read_questions(ROOT / "eval/questions.jsonl")
    return [q for q in questions if q.split == "tune" and q.manner == "plain"]


@contextmanager
def retriever(corpus: Corpus, path: Path) -> Iterator[Retriever]:
    compile_corpus(corpus, default_settings(), path)
    with Pack(path) as pack:
        yield Retriever(pack)


def astray(retrieve: Retriever, questions: list[LabelledQuestion]) -> set[str]:
    """Return the questions whose first note is not a right one."""
    ids = retrieve.pack.note_ids
    return {q.question for q in questions if ids[retrieve(q.question).scores.order[0]] not in (*q.notes, q.danger)}


def test_at_least_three_hundred_forms(corpus: Corpus) -> None:
    """Common practice: reps and shoppers have many words for one thing."""
    assert len(corpus.vocabulary.forms) >= 300


def test_no_plain_question_goes_astray_by_the_vocabulary(
    corpus: Corpus, plain_questions: list[LabelledQuestion], tmp_path: Path
) -> None:
    """Labelled tune questions in the trade's plain words; common practice."""
    with retriever(corpus, tmp_path / "with.pack") as full:
        wrong_with = astray(full, plain_questions)
    with retriever(corpus._replace(vocabulary=Vocabulary()), tmp_path / "without.pack") as bare:
        wrong_without = astray(bare, plain_questions)
    assert plain_questions
    assert wrong_with <= wrong_without
