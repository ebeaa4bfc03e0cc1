"""``assistant corpus show``: a note as a rep would see it, and what it would win, before it is compiled."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Run

NEW = "pad/pad-lamp-red.md"


@pytest.fixture
def notes(mini_corpus_path: Path, mini_pack_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The six short notes and the pack that was compiled from them."""
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    monkeypatch.setenv("ASSISTANT_CORPUS", str(root))
    monkeypatch.setenv("ASSISTANT_PACK", str(shutil.copy(mini_pack_path, tmp_path / "own.pack")))
    return root


def begin(run: Run) -> None:
    given = ("--title", "Lamp of the pad is red", "--station", "pad", "--action", "adjust", "--minutes", "5")
    asked = (
        "--things",
        "lamp, light on the pad",
        "--troubles",
        "is red, glows red",
        "--question",
        "red lamp on the pad",
    )
    assert run("corpus", "new", "--id", "pad-lamp-red", *given, *asked).code == 0


def label(tmp_path: Path, question: str, note: str) -> None:
    folder = tmp_path / "eval"
    folder.mkdir(exist_ok=True)
    row = {"id": "q1", "question": question, "manner": "plain", "notes": [note], "split": "tune", "writer": "A"}
    (folder / "questions.jsonl").write_text(json.dumps(row) + "\n", "utf-8")


def test_a_draft_is_drawn_checked_and_held_against_the_pack(run: Run, notes: Path, tmp_path: Path) -> None:
    begin(run)
    label(tmp_path, "the light on the pad glows red", "pad-lamp-red")
    before = (tmp_path / "own.pack").read_bytes()
    ran = run("corpus", "show", str(notes / NEW))
    assert ran.code == 0, ran.err
    lines = ran.out.splitlines()
    assert lines[0] == "DRAFT, in no pack: its status says so"
    assert "ADJUST - about 5 min" in lines
    assert "  1. Do the first thing (to write)." in lines
    assert any("error C109 is still to be written" in line for line in lines)
    assert "Phrases: 1 plain line, 4 pairs, 0 that are another note's" in lines
    assert "  lamp of the pad is red" in lines
    assert "  lamp, light on the pad | is red, glows red" in lines
    won = lines[lines.index("Wins: 2") + 1 : lines.index("Loses: 0")]
    assert [(line.split(" | ")[0].strip(), line.split(" -> ")[1]) for line in sorted(won)] == [
        ("red lamp on the pad", "pad-lamp-red (its own example)"),
        ("the light on the pad glows red", "pad-lamp-red (right: pad-lamp-red)"),
    ]
    assert (tmp_path / "own.pack").read_bytes() == before


def test_a_note_as_it_is_in_the_pack_wins_and_loses_nothing(run: Run, notes: Path) -> None:
    ran = run("corpus", "show", "pad-stick-cap")
    assert ran.code == 0, ran.err
    assert "Wins: 0\nLoses: 0\n" in ran.out


def test_a_note_that_gives_its_words_away_loses_its_questions(run: Run, notes: Path, tmp_path: Path) -> None:
    label(tmp_path, "torn cap cable frayed", "pad-stick-cap")
    path = notes / "pad/pad-stick-cap.md"
    path.with_suffix(".questions.txt").write_text("where is the kettle\n", "utf-8")
    path.with_suffix(".phrases.yaml").write_text('plain: ["kettle leaks"]\n', "utf-8")
    text = path.read_text("utf-8").replace("cap", "kettle").replace("torn", "wet")
    path.write_text(text.replace("pad-stick-kettle", "pad-stick-cap"), "utf-8")
    ran = run("corpus", "show", "pad-stick-cap")
    assert ran.code == 0, ran.err
    assert (
        "  torn cap cable frayed | pad-stick-cap -> pad-cable-damage (right: pad-stick-cap)"
        in ran.out.split("Loses: 1")[-1]
    )


def test_a_file_outside_the_folder_of_notes_and_the_card_alone(run: Run, notes: Path, tmp_path: Path) -> None:
    begin(run)
    for ending in (".md", ".questions.txt", ".phrases.yaml"):
        shutil.move((notes / NEW).with_suffix(ending), tmp_path / f"pad-lamp-red{ending}")
    ran = run("corpus", "show", "pad-lamp-red.md", "--card")
    assert ran.code == 0, ran.err
    assert "Lamp of the pad is red" in ran.out
    assert "Wins" not in ran.out
    assert "Wins: 1" in run("corpus", "show", "pad-lamp-red.md").out


@pytest.mark.parametrize("name", ["pad-nothing", "no/such.md", "\x1b[31mred"])
def test_nothing_to_show_is_refused(run: Run, notes: Path, name: str) -> None:
    refused = run("corpus", "show", name)
    assert refused.code == 2
    assert "\x1b" not in refused.err


def test_a_note_that_cannot_be_read_is_told_with_its_line(run: Run, notes: Path) -> None:
    path = notes / "pad/pad-stick-cap.md"
    path.write_text(path.read_text("utf-8").replace("minutes: ", "minutes: about "), "utf-8")
    refused = run("corpus", "show", str(path))
    assert refused.code == 3
    assert "pad/pad-stick-cap.md:" in refused.err
    assert "whole number from 1 to 90" in refused.err


def test_where_there_is_no_pack_one_is_compiled_and_told(run: Run, notes: Path, tmp_path: Path) -> None:
    (tmp_path / "own.pack").unlink()
    ran = run("corpus", "show", "pad-stick-cap")
    assert ran.code == 0, ran.err
    assert "own.pack: not there, so that all notes are compiled once ..." in ran.err
    assert (tmp_path / "own.pack").is_file()
