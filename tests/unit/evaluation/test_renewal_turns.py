"""Labels of turns given anew: what is written, what is put back, what is refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import UsageError
from assistant.evaluation.judgements import Judgement
from assistant.evaluation.labels import Talk, read_talks
from assistant.evaluation.outdated import named_since
from assistant.evaluation.renewal_turns import TurnRenewals
from tests.unit.evaluation.making import write_lines

TURNS: list[dict[str, Any]] = [
    {"question": "no picture", "notes": ["a"], "about": "procedure"},
    {"question": "ants in the cabinet", "notes": [], "about": "procedure"},
]
OTHER = {"id": "d2", "split": "tune", "turns": TURNS[:1]}
SINCE = "2026-11-28 0123456789ab"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return write_lines(tmp_path / "dialogues.jsonl", {"id": "d1", "split": "tune", "turns": TURNS}, OTHER)


def keeper(path: Path, note: str = "b") -> TurnRenewals:
    return TurnRenewals(path, SINCE, {"d1/2": [note]})


def turn(path: Path) -> dict[str, Any]:
    record = json.loads(path.read_text("utf-8").splitlines()[0])
    found: dict[str, Any] = record["turns"][1]
    return found


def judged(*notes: str, mark: str = "") -> Judgement:
    return Judgement("d1/2", "ants in the cabinet", notes, mark=mark)


def test_a_turn_gets_its_new_label_and_keeps_the_old_one(path: Path) -> None:
    keeper(path).add(judged("b"))
    assert turn(path) == {**TURNS[1], "notes": ["b"], "since": SINCE, "was": [{"notes": [], "seen": ["b"]}]}
    first, second = read_talks(path)
    assert (first.turns[1].seen, first.turns[1].since) == (("b",), SINCE)
    assert second == Talk("d2", (first.turns[0],), "tune")
    assert named_since([], [first, second]) == {"a": "", "b": "2026-11-28"}


def test_a_second_look_for_the_same_note_changes_what_the_first_wrote(path: Path) -> None:
    keeper(path).add(judged("b"))
    keeper(path).add(judged("b", "c"))
    assert (turn(path)["notes"], turn(path)["was"]) == (["b", "c"], [{"notes": [], "seen": ["b"]}])
    keeper(path, "e").add(judged("e"))
    assert turn(path)["was"] == [
        {"notes": [], "seen": ["b"]},
        {"notes": ["b", "c"], "since": SINCE, "seen": ["e"]},
    ]


@pytest.mark.parametrize("taken_back", [judged(), judged("b", mark="unsure")])
def test_what_is_taken_back_leaves_the_file_as_it_was(path: Path, taken_back: Judgement) -> None:
    before = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    keeper(path).add(judged("b"))
    keeper(path).add(taken_back)
    assert [json.loads(line) for line in path.read_text("utf-8").splitlines()] == before


@pytest.mark.parametrize("name", ["d1/0", "d1/3", "d9/1"])
def test_a_turn_that_is_not_there_is_refused(path: Path, name: str) -> None:
    with pytest.raises(UsageError, match="no turn"):
        keeper(path).add(Judgement(name, "why", ("b",)))
