"""Labels looked at again: what is written, what is kept, and what stays byte for byte."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError, UsageError
from assistant.evaluation.judgements import Judgement
from assistant.evaluation.labels import read_questions
from assistant.evaluation.renewal import Renewals, renewed, restored, take_line_out
from tests.making import write_corpus
from tests.unit.evaluation.making import write_lines

DAY = "2026-11-28 0123456789ab"
UNCOVERED: dict[str, Any] = {
    "id": "u1",
    "question": "ants in the cabinet",
    "manner": "uncovered",
    "notes": [],
    "kind": "near",
    "split": "tune",
    "writer": "A",
}
PLAIN: dict[str, Any] = {
    "id": "q1",
    "question": "caf\u00e9 display is black",
    "manner": "plain",
    "notes": ["a", "b"],
    "steps": {"a": [1], "b": [2]},
    "split": "tune",
    "since": "2026-11-02",
}


def test_an_uncovered_question_gets_a_note_and_a_manner() -> None:
    made = renewed(UNCOVERED, ["new"], ["new"], DAY)
    assert {k: made[k] for k in ("notes", "manner", "since")} == {"notes": ["new"], "manner": "short", "since": DAY}
    assert "kind" not in made
    assert made["was"] == [{"notes": [], "manner": "uncovered", "kind": "near", "seen": ["new"]}]
    assert renewed({**UNCOVERED, "question": "w " * 6}, ["new"], [], DAY)["manner"] == "plain"
    assert renewed({**UNCOVERED, "question": "w " * 35}, ["new"], [], DAY)["manner"] == "long"


def test_a_label_that_is_confirmed_keeps_its_kind() -> None:
    made = renewed(UNCOVERED, [], ["new"], DAY)
    assert (made["notes"], made["manner"], made["kind"], made["since"]) == ([], "uncovered", "near", DAY)


def test_a_label_of_other_notes_keeps_the_steps_that_still_count() -> None:
    made = renewed(PLAIN, ["b", "new"], ["new"], DAY)
    assert (made["notes"], made["steps"], made["manner"]) == (["b", "new"], {"b": [2]}, "plain")
    assert made["was"][0]["steps"] == PLAIN["steps"]
    assert made["was"][0]["since"] == "2026-11-02"
    none = renewed(PLAIN, [], ["new"], DAY)
    assert (none["manner"], none["kind"]) == ("uncovered", "near")
    assert "steps" not in none


def test_a_second_thought_adds_nothing_and_can_be_taken_back() -> None:
    once = renewed(PLAIN, ["new"], ["new"], DAY)
    twice = renewed(once, ["new", "a"], ["new"], DAY)
    assert twice["was"] == once["was"]
    assert restored(twice, ["new"]) == PLAIN
    assert restored(PLAIN, ["new"]) == PLAIN
    later = renewed(twice, ["newer"], ["newer"], DAY)
    assert [was["notes"] for was in later["was"]] == [["a", "b"], ["new", "a"]]
    assert restored(later, ["newer"]) == twice


@pytest.mark.parametrize("more", [{"danger": "safety"}, {"manner": "forbidden"}, {"manner": "cry"}])
def test_what_tells_of_harm_is_never_left_without_a_note(more: dict[str, str]) -> None:
    with pytest.raises(UsageError, match="a note is needed"):
        renewed({**PLAIN, **more}, [], ["new"], DAY)


def test_each_judgement_is_on_the_disk_and_other_lines_stay(tmp_path: Path) -> None:
    odd = json.dumps({**UNCOVERED, "id": "u9"}, separators=(",", ":"))
    path = write_lines(tmp_path / "questions.jsonl", odd, PLAIN, "", UNCOVERED)
    file = Renewals(path, DAY, {"u1": ["new"], "q1": ["new"]})
    before = path.read_text("utf-8").split("\n")
    assert file.latest() == {}
    file.add(Judgement("u1", "", ("new",)))
    now = path.read_text("utf-8").split("\n")
    assert now[:3] == before[:3]
    assert now[4:] == before[4:]
    file.add(Judgement("u1", "", ("new", "a"), {"a": (1, 3)}))
    (question,) = [q for q in read_questions(path) if q.id == "u1"]
    assert (question.notes, question.steps, question.since) == (("new", "a"), (("a", (1, 3)),), DAY)
    assert question.seen == ("new",)
    for back in (Judgement("u1", ""), Judgement("u1", "", ("new",), mark="unsure")):
        file.add(back)
        assert json.loads(path.read_text("utf-8").split("\n")[3]) == UNCOVERED
    file.add(Judgement("q1", "", mark="uncovered"))
    assert "caf\u00e9" in path.read_text("utf-8")


def test_what_cannot_be_written_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = write_lines(tmp_path / "questions.jsonl", UNCOVERED)
    before = path.read_bytes()
    with pytest.raises(UsageError, match="no labelled question 'x'"):
        Renewals(path, DAY, {}).add(Judgement("x", "", ("new",)))
    with pytest.raises(NotesError, match="'since' must be a day"):
        Renewals(path, "yesterday", {}).add(Judgement("u1", "", ("new",)))
    assert path.read_bytes() == before


def test_a_line_is_taken_out_of_the_uncovered_ones(tmp_path: Path) -> None:
    root = write_corpus(tmp_path / "notes")
    path = root / "uncovered.txt"
    path.write_text("# ants in it\nants in it\nwho won\n", "utf-8")
    take_line_out(root, "ants in it")
    assert path.read_text("utf-8") == "# ants in it\nwho won\n"
    for line in ("ants in it", "# ants in it", ""):
        with pytest.raises(UsageError, match=r"uncovered\.txt has no line"):
            take_line_out(root, line)
    path.unlink()
    with pytest.raises(UsageError):
        take_line_out(root, "who won")
