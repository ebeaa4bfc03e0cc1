"""The sealed questions: what is read, what is refused, and the ledger of each opening; all files are made up."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError, UsageError
from assistant.evaluation.sealed import LEDGER, ledger_line, read_sealed, write_ledger
from tests.unit.evaluation.making import write_lines

QUESTION: dict[str, Any] = {"id": "s1", "question": "it is torn", "manner": "plain", "notes": ["a"], "split": "sealed"}
TALK: dict[str, Any] = {
    "id": "t1",
    "split": "sealed",
    "turns": [{"question": "it is torn", "notes": ["a"], "about": "procedure"}],
}
MOMENT = datetime(2026, 11, 27, 9, 30, 5, 123, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_lines(tmp_path / "questions.jsonl", QUESTION)
    write_lines(tmp_path / "dialogues.jsonl", TALK)
    return tmp_path


def test_questions_and_talks_are_read(folder: Path) -> None:
    questions, talks, digest = read_sealed(folder)
    assert ([q.id for q in questions], [talk.id for talk in talks]) == (["s1"], ["t1"])
    assert len(digest) == 12
    assert set(digest) <= set("0123456789abcdef")


@pytest.mark.parametrize("name", ["questions.jsonl", "dialogues.jsonl"])
def test_the_digest_is_of_both_files(folder: Path, name: str) -> None:
    before = read_sealed(folder)[2]
    assert read_sealed(folder)[2] == before
    (folder / name).write_bytes((folder / name).read_bytes() + b"\n")
    assert read_sealed(folder)[2] != before


def test_a_record_of_another_split_is_refused(folder: Path) -> None:
    write_lines(folder / "questions.jsonl", QUESTION, {**QUESTION, "id": "s2", "split": "tune"})
    with pytest.raises(UsageError, match="holds records of another split"):
        read_sealed(folder)
    write_lines(folder / "questions.jsonl", QUESTION)
    write_lines(folder / "dialogues.jsonl", {**TALK, "split": "tune"})
    with pytest.raises(UsageError, match="holds records of another split"):
        read_sealed(folder)


@pytest.mark.parametrize("name", ["questions.jsonl", "dialogues.jsonl"])
def test_a_damaged_or_missing_file_is_refused(folder: Path, name: str) -> None:
    with (folder / name).open("a", encoding="utf-8") as file:
        file.write("{\n")
    with pytest.raises(NotesError, match=rf"{name}:2: not a JSON object"):
        read_sealed(folder)
    (folder / name).unlink()
    with pytest.raises(NotesError, match=rf"{name}:1: cannot be read"):
        read_sealed(folder)


def test_an_opening_is_kept_with_all_that_it_showed() -> None:
    line = ledger_line(MOMENT, "pack1", "labels1", {"P@1": (3, 4), "false answers": (0, 2)}, "release 9")
    assert line == {
        "date": "2026-11-27T09:30:05+00:00",
        "pack": "pack1",
        "labels": "labels1",
        "why": "release 9",
        "figures": {"P@1": [3, 4], "false answers": [0, 2]},
    }


def test_the_ledger_grows_by_a_line_each_time(folder: Path) -> None:
    for number in range(1, 4):
        line = ledger_line(
            MOMENT, "pack1", "labels1", {"P@1": (number, 4)}, f"reason {number}, caf\u00e9\nof two lines"
        )
        lines = write_ledger(folder, line)
        assert len(lines) == number
        assert json.loads(lines[-1]) == line
    kept = [json.loads(line) for line in (folder / LEDGER).read_text("utf-8").splitlines()]
    assert [line["figures"]["P@1"][0] for line in kept] == [1, 2, 3]


def test_the_ledger_is_no_part_of_the_labels(folder: Path) -> None:
    before = read_sealed(folder)
    write_ledger(folder, ledger_line(MOMENT, "p", "l", {}, "why"))
    assert read_sealed(folder) == before
