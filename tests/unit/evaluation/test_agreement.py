"""Two labellers: what counts as agreeing, and what is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError
from assistant.evaluation.agreement import agreement, agreement_text
from assistant.evaluation.statistics import cohen_kappa, kappa_interval
from tests.unit.evaluation.making import write_lines


def record(number: int, notes: list[str], manner: str = "plain", **more: str) -> dict[str, Any]:
    common = {"id": f"q{number}", "question": f"question {number}", "notes": notes, "manner": manner, "split": "tune"}
    return {**common, **more}


FIRST = [
    record(1, ["a"]),
    record(2, ["b"]),
    record(3, ["a", "b"], "ambiguous"),
    record(4, [], "uncovered", kind="near"),
    record(5, ["c"], danger="safety-c"),
    record(6, ["a"]),
]


@pytest.fixture
def questions(tmp_path: Path) -> Path:
    return write_lines(tmp_path / "questions.jsonl", *FIRST)


def second(tmp_path: Path, *answers: list[str]) -> Path:
    lines = [{"question": f"question {n}", "notes": notes} for n, notes in enumerate(answers, start=1)]
    return write_lines(tmp_path / "second.jsonl", *lines)


def test_the_best_note_counts_and_any_of_several_right_ones_agrees(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, second(tmp_path, ["a", "z"], ["b"], ["b"], [], ["safety-c"], ["a"]))
    assert (found["questions"], found["agreed"], found["kappa"], found["apart"]) == (6, 6, 1.0, [])


def test_what_was_labelled_otherwise_is_listed(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, second(tmp_path, ["z", "a"], ["b"], ["z"], ["a"], ["c"], []))
    assert found["agreed"] == 1
    assert [(a["question"], a["first"], a["second"]) for a in found["apart"]] == [
        ("question 1", ["a"], ["z", "a"]),
        ("question 3", ["a", "b"], ["z"]),
        ("question 4", ["none"], ["a"]),
        ("question 5", ["safety-c"], ["c"]),
        ("question 6", ["a"], []),
    ]


def test_kappa_is_of_the_best_notes(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, second(tmp_path, ["a"], ["b"], ["b"], [], ["c"], ["b"]))
    ours, theirs = ["a", "b", "b", "none", "safety-c", "a"], ["a", "b", "b", "none", "c", "b"]
    assert found["kappa"] == pytest.approx(cohen_kappa(ours, theirs), abs=1e-4)
    assert found["interval"] == pytest.approx(kappa_interval(ours, theirs), abs=1e-4)


def test_questions_of_the_second_labeller_alone_are_left_out(tmp_path: Path, questions: Path) -> None:
    path = write_lines(
        tmp_path / "second.jsonl",
        {"question": "question 2", "notes": ["b"]},
        {"question": "never asked", "notes": ["b"]},
    )
    found = agreement(questions, path)
    assert (found["questions"], found["agreed"], found["kappa"]) == (1, 1, 1.0)


@pytest.mark.parametrize("line", ["{", "[1]", '"text"', '{"question": "question 2"}', '{"notes": []}'])
def test_a_broken_line_is_told(tmp_path: Path, questions: Path, line: str) -> None:
    path = write_lines(tmp_path / "second.jsonl", {"question": "question 1", "notes": ["a"]}, line)
    with pytest.raises(NotesError) as caught:
        agreement(questions, path)
    assert [tuple(fault) for fault in caught.value.faults] == [(str(path), 2, "needs 'question' and 'notes'")]


def test_labellers_without_a_question_in_common_are_refused(tmp_path: Path, questions: Path) -> None:
    path = write_lines(tmp_path / "second.jsonl", {"question": "never asked", "notes": ["b"]})
    with pytest.raises(NotesError, match="no question of the first labeller"):
        agreement(questions, path)


def test_the_text_tells_figures_and_differences(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, second(tmp_path, ["a"], ["b"], ["z"], [], ["safety-c"], []))
    lines = agreement_text(found).split("\n")
    assert lines[0].startswith("4 of 6 questions labelled alike; Cohen's kappa 0.")
    assert lines[1:] == ["  a, b | z | question 3", "  a | none | question 6"]
