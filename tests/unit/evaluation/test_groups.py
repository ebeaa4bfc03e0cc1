"""Grouping held against needs: figures by hand, by the library, and on the labelled questions."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.evaluation.groups import NeededQuestion, grouping_json, grouping_of, grouping_text, read_needs

LABELS = Path(__file__).parents[3] / "eval/groups.jsonl"
NEEDS = [NeededQuestion(need, f"{need} {number}") for number, need in enumerate("aaabbc")]


def test_figures_of_six_questions_counted_by_hand() -> None:
    found = grouping_of(NEEDS, [0, 0, 1, 1, 1, 2])
    assert (found.questions, found.needs, found.groups) == (6, 3, 3)
    assert (found.precision.k, found.precision.n, found.recall.k, found.recall.n) == (2, 4, 2, 4)
    assert found.rand == pytest.approx((2 - 16 / 15) / (4 - 16 / 15))


def test_the_ends_of_the_scale() -> None:
    assert grouping_of(NEEDS, [7, 7, 7, 3, 3, 1]).rand == 1
    assert grouping_of(NEEDS, [0] * 6).rand == 0
    alone = grouping_of(NEEDS, list(range(6)))
    assert (alone.rand, alone.precision.n) == (0, 0)
    assert "pairs in a group of one need   0/0\n" in grouping_text(alone)
    assert grouping_json(alone)["recall"] == {"k": 0, "n": 4}


@pytest.mark.parametrize(
    "line", ["x", "[]", '{"need": "a"}', '{"need": "", "question": "b"}', '{"need": 1, "question": "b"}']
)
def test_a_line_that_is_no_label_is_named(tmp_path: Path, line: str) -> None:
    path = tmp_path / "groups.jsonl"
    path.write_text(f'{{"need": "a", "question": "b"}}\n{line}\n', "utf-8")
    with pytest.raises(NotesError, match=r"groups\.jsonl:2: must be an object"):
        read_needs(path)


def test_a_question_twice_and_no_file_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "groups.jsonl"
    with pytest.raises(NotesError, match="cannot be read"):
        read_needs(path)
    path.write_text('{"need": "a", "question": "b"}\n{"need": "c", "question": "b"}\n', "utf-8")
    with pytest.raises(NotesError, match=":2: this question stands here already"):
        read_needs(path)


def test_the_labelled_questions_are_whole() -> None:
    needs = Counter(one.need for one in read_needs(LABELS))
    assert (len(needs), needs.total()) == (40, 300)
    assert min(needs.values()) >= 2
