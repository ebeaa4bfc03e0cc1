"""Questions to be labelled: what is read, what is refused, what a sample draws."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError, UsageError
from assistant.evaluation.asked import Asked, read_asked, sample_asked
from tests.unit.evaluation.making import write_lines

LABELLED = {"id": "q1", "question": "why?", "notes": ["a"], "manner": "plain", "split": "tune"}


def test_objects_give_their_question_and_nothing_of_its_labels(tmp_path: Path) -> None:
    path = write_lines(tmp_path / "questions.jsonl", LABELLED, "", {"question": " who\u2028is it "})
    first, other = read_asked(path)
    assert first == Asked("q1", "why?")
    assert other.question == " who\u2028is it "
    assert other.id == read_asked(write_lines(tmp_path / "again.jsonl", {"question": " who\u2028is it "}))[0].id


def test_plain_text_is_one_question_a_line(tmp_path: Path) -> None:
    path = tmp_path / "questions.txt"
    path.write_text("\ufeffwhy?\r\n\n  who [is] it\u2028now \n", "utf-8", newline="")
    assert [asked.question for asked in read_asked(path)] == ["why?", "who [is] it\u2028now"]
    assert len({asked.id for asked in read_asked(path)}) == 2


@pytest.mark.parametrize(
    ("name", "lines", "line", "told"),
    [
        ("q.jsonl", [LABELLED, "{"], 2, "not a JSON object"),
        ("q.jsonl", [LABELLED, "[1]"], 2, "not a JSON object"),
        ("q.jsonl", ["why?"], 1, "not a JSON object"),
        ("q.jsonl", [{"id": "q1"}], 1, "'question' must be text"),
        ("q.jsonl", [{"question": " "}], 1, "'question' must be text"),
        ("q.jsonl", [{"question": "why", "id": 3}], 1, "'id' must be text"),
        ("q.jsonl", [{"question": "why", "id": ""}], 1, "'id' must be text"),
        ("q.jsonl", [LABELLED, "", {**LABELLED, "question": "who"}], 3, "stands there already, in line 1"),
        ("q.txt", ["why", "who", "why "], 3, "stands there already, in line 1"),
        ("q.txt", ['{"question": "why"}'], 1, "ends in .jsonl"),
        ("q.txt", ["", " "], 1, "holds no question"),
    ],
)
def test_what_is_no_question_is_told_with_its_line(
    tmp_path: Path, name: str, lines: list[Any], line: int, told: str
) -> None:
    path = write_lines(tmp_path / name, *lines)
    with pytest.raises(NotesError) as caught:
        read_asked(path)
    (fault,) = caught.value.faults
    assert (fault.path, fault.line) == (str(path), line)
    assert told in fault.message


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    (tmp_path / "q.txt").write_bytes(b"why\nwh\xff\n")
    with pytest.raises(NotesError, match=r"q\.txt:2: not valid UTF-8"):
        read_asked(tmp_path / "q.txt")
    with pytest.raises(NotesError, match=r"none\.txt:1: cannot be read: No such file"):
        read_asked(tmp_path / "none.txt")


QUESTIONS = [Asked(f"q{n}", f"question {n}") for n in range(20)]


def test_a_sample_hangs_on_the_seed_and_not_on_the_order() -> None:
    drawn = sample_asked(QUESTIONS, 5, 1)
    assert len(set(drawn)) == 5
    assert sample_asked(QUESTIONS[::-1], 5, 1) == drawn
    assert sample_asked(QUESTIONS, 8, 1)[:5] == drawn
    assert sample_asked(QUESTIONS, 5, 2) != drawn


def test_every_question_is_drawn_alike_often() -> None:
    times = Counter(asked.id for seed in range(1000) for asked in sample_asked(QUESTIONS, 5, seed))
    # Each is drawn with 1 in 4: 250 times, give or take 13.7, one standard deviation of the binomial.
    assert all(abs(times[asked.id] - 250) < 5 * 13.7 for asked in QUESTIONS)


@pytest.mark.parametrize("count", [0, -1, 21])
def test_a_sample_that_cannot_be_drawn_is_refused(count: int) -> None:
    with pytest.raises(UsageError, match="from 20 questions"):
        sample_asked(QUESTIONS, count, 1)
