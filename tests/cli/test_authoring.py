"""What an author does on the command line before the check: a new note, what it has in common, the watch."""

from __future__ import annotations

import csv
import json
import os
import pty
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Run

GIVEN = ("--id", "pad-lamp-red", "--title", "Lamp of the pad is red", "--station", "pad", "--action", "adjust")


@pytest.fixture
def notes(mini_corpus_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    monkeypatch.setenv("ASSISTANT_CORPUS", str(root))
    return root


def test_a_new_note_from_options(run: Run, notes: Path) -> None:
    made = run("corpus", "new", *GIVEN, "--minutes", "5", "--question", "lamp is red", "--question", "red light on pad")
    assert made.code == 0
    assert "pad-lamp-red.md: written" in made.out
    assert "title: Lamp of the pad is red\n" in (notes / "pad/pad-lamp-red.md").read_text("utf-8")
    asked = (notes / "pad/pad-lamp-red.questions.txt").read_text("utf-8").splitlines()
    assert asked[1:] == ["lamp is red", "red light on pad"]
    said = (notes / "pad/pad-lamp-red.phrases.yaml").read_text("utf-8").splitlines()
    assert said[1:] == ["things: []", "troubles: []", "plain:", '  - "lamp of the pad is red"', "not_this: {}"]
    again = run("corpus", "new", *GIVEN, "--minutes", "5")
    assert again.code == 2
    assert "is there already" in again.err


def test_things_and_troubles_of_a_new_note(run: Run, notes: Path) -> None:
    named = ("--things", "pad lamp, light on the pad", "--troubles", "is red, no")
    assert run("corpus", "new", *GIVEN, "--minutes", "5", *named).code == 0
    said = (notes / "pad/pad-lamp-red.phrases.yaml").read_text("utf-8").splitlines()
    assert said[1:3] == ['things: ["pad lamp", "light on the pad"]', 'troubles: ["is red", "no"]']
    found = run("corpus", "check", "--format", "json")
    few = [one["path"] for one in json.loads(found.out)["findings"] if one["name"] == "plain-lines"]
    assert str(notes / "pad/pad-lamp-red.phrases.yaml") in few


def test_without_a_terminal_what_is_missing_is_named(run: Run, notes: Path) -> None:
    before = sorted(notes.rglob("*"))
    refused = run("corpus", "new", *GIVEN)
    assert refused.code == 2
    assert refused.err == "a new note needs minutes\n"
    assert sorted(notes.rglob("*")) == before


@pytest.mark.usefixtures("notes")
def test_without_a_terminal_what_was_not_asked_for_is_told(run: Run) -> None:
    made = run("corpus", "new", *GIVEN, "--minutes", "5", "--things", "pad lamp")
    assert (made.code, made.err) == (0, "not asked for, as the input is no terminal: --troubles\n")


def test_in_an_empty_folder_a_small_trade_is_begun(run: Run, notes: Path, tmp_path: Path) -> None:
    root = tmp_path / "empty"
    root.mkdir()
    given = ("--id", "device-lamp", "--title", "Lamp is dark", "--station", "all", "--action", "adjust")
    made = run("corpus", "new", *given, "--minutes", "5", "--corpus", str(root))
    assert made.code == 0
    assert f"{root / 'trade.yaml'}: written" in made.err
    assert (root / "device/device-lamp.md").is_file()
    again = run("corpus", "new", *given, "--minutes", "5", "--corpus", str(root))
    assert (again.code, "trade.yaml" in again.err) == (2, False)
    other = run("corpus", "new", *given, "--id", "oven-door", "--minutes", "5", "--corpus", str(root))
    assert other.code == 2
    assert "the area 'oven' is none of device, parts, power, safety, visit" in other.err


def test_the_packing_list(run: Run, notes: Path) -> None:
    told = run("corpus", "kit")
    assert (told.code, told.err) == (0, "")
    assert told.out.splitlines() == [
        "In the bag, at least:",
        "  1 cabinet key (disc-clean, pad-cable-damage, pad-stick-cap and 2 more)",
        "  1 lint-free cloth (disc-clean)",
        "  10 cable ties (pad-cable-damage)",
        "  1 video lead (screen-no-signal)",
        "  2 wired pads (pad-cable-damage, pad-stick-cap)",
        "Asked for at the store:",
        "  plain water (disc-clean)",
    ]
    rows = list(csv.DictReader(run("corpus", "kit", "--format", "csv").out.splitlines()))
    data = json.loads(run("corpus", "kit", "--format", "json").out)
    assert data[4] == {
        "kind": "part",
        "name": "wired pad",
        "from": "kit",
        "count": 2,
        "notes": ["pad-cable-damage", "pad-stick-cap"],
    }
    assert [{**row, "count": row["count"] or "", "notes": " ".join(row["notes"])} for row in data] == [
        {**row, "count": int(row["count"]) if row["count"] else ""} for row in rows
    ]


def typed(keys: bytes, *arguments: str) -> tuple[int, bytes, bytes]:
    """Run ``corpus new`` on a terminal, type ``keys`` and return what it left."""
    master, slave = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "assistant", "corpus", "new", *arguments],
        stdin=slave,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=dict(os.environ),
    ) as process:
        os.write(master, keys)
        out, err = process.communicate(timeout=600)
    os.close(slave)
    os.close(master)
    return process.returncode, out, err


def test_on_a_terminal_it_asks_until_the_answer_will_do(notes: Path) -> None:
    keys = b"Lamp of the pad is red\nkiosk\npad, hand\nadjust\nsoon\n5\npad lamp, light\n\n"
    code, out, err = typed(keys, "--id", "pad-lamp-red")
    assert code == 0, err
    assert err.count(b"station must be one or more of") == 1
    assert err.count(b"minutes must be a whole number") == 1
    assert b"written" in out
    assert "station: [pad, hand]" in (notes / "pad/pad-lamp-red.md").read_text("utf-8")
    said = (notes / "pad/pad-lamp-red.phrases.yaml").read_text("utf-8").splitlines()
    assert said[1:3] == ['things: ["pad lamp", "light"]', "troubles: []"]


def test_input_that_ends_writes_nothing(notes: Path) -> None:
    before = sorted(notes.rglob("*"))
    code, _, err = typed(b"pad-lamp-red\n\x04\x04")
    assert code == 2
    assert b"nothing was written" in err
    assert sorted(notes.rglob("*")) == before


def test_similar_by_id_and_by_file(run: Run, notes: Path, tmp_path: Path) -> None:
    by_id = run("corpus", "similar", "pad-stick-cap", "--format", "json")
    assert by_id.code == 0
    assert json.loads(by_id.out)["near"][0]["note"] == "pad-cable-damage"
    draft = tmp_path / "disc-shine.md"
    draft.write_text(
        (notes / "disc/disc-clean.md").read_text("utf-8").replace("id: disc-clean", "id: disc-shine"), "utf-8"
    )
    by_file = run("corpus", "similar", str(draft))
    assert by_file.code == 0
    assert by_file.out.splitlines()[1].split()[1] == "disc-clean"
    assert "disc/disc-clean.md:" in by_file.out
    assert "Plain lines that another note has nearly alike: none" in by_file.out


def test_similar_tells_of_phrases_and_of_where_they_lead(run: Run, notes: Path, tmp_path: Path) -> None:
    beside = (notes / "disc/disc-clean.md").with_name("disc-clean.phrases.yaml")
    beside.write_text(beside.read_text("utf-8").replace("not_this: {}", 'not_this: {"torn cap": none}'), "utf-8")
    draft = tmp_path / "disc-shine.md"
    text = (notes / "disc/disc-clean.md").read_text("utf-8")
    draft.write_text(text.replace("id: disc-clean", "id: disc-shine"), "utf-8")
    (tmp_path / "disc-shine.phrases.yaml").write_text(
        "things: [game disc]\ntroubles: [sticky]\nplain: [the dirty disc]\nnot_this: {a\\x1b cap: none}\n", "utf-8"
    )
    told = run("corpus", "similar", "disc-shine.md").out.splitlines()
    start = told.index("Plain lines that another note has nearly alike")
    assert told[start + 1 :] == [
        "  1.00  the dirty disc",
        "        disc/disc-clean.phrases.yaml: dirty disc",
        "Things with their troubles that another note has nearly alike",
        "  1.00  game disc sticky",
        "        disc/disc-clean.phrases.yaml: game disc sticky",
        "Lines that lead from it to another note",
        "  a\\x1b cap: disc-shine -> no note",
        "Lines of other notes that lead to it: none",
    ]
    data = json.loads(run("corpus", "similar", "pad-cable-damage", "--format", "json").out)
    assert data["leads_away"] == [{"text": "thumb grip torn", "note": "pad-cable-damage", "other": "pad-stick-cap"}]
    assert [line["note"] for line in data["leads_here"]] == ["pad-stick-cap"]


@pytest.mark.parametrize("name", ["pad-nothing", "no/such.md", "\x1b[31mred"])
def test_similar_to_nothing_is_refused(run: Run, notes: Path, name: str) -> None:
    refused = run("corpus", "similar", name)
    assert refused.code == 2
    assert "\x1b" not in refused.err


def test_a_broken_draft_is_told_with_its_line(run: Run, notes: Path, tmp_path: Path) -> None:
    (tmp_path / "draft.md").write_text("---\nid: x\n", "utf-8")
    refused = run("corpus", "similar", "draft.md")
    assert refused.code == 3
    assert "draft.md:" in refused.err


AS_OF_MANY = """
from assistant.compiling import linear
linear.EXACT_CLASSES = 1
from assistant.cli.main import main
main()
"""
"""The command, which learns from a sample whatever there is: the matrix then lies in files, as that of many notes."""


def test_a_watch_that_is_ended_leaves_no_file_of_what_it_took_over(
    run: Run, notes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "own").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "own"))
    command = [sys.executable, "-c", AS_OF_MANY, "corpus"]
    assert subprocess.run([*command, "compile"], check=False).returncode == 0
    with subprocess.Popen([*command, "watch"], stderr=subprocess.PIPE, text=True) as process:
        told = told_until_it_watches(process)
        held = list((tmp_path / "own").rglob("indices"))
        process.terminate()
        code = process.wait(timeout=600)
    assert any("begins from what was learned there" in line for line in told)
    assert (code, len(held), list((tmp_path / "own").iterdir())) == (130, 1, [])


def told_until_it_watches(process: subprocess.Popen[str]) -> list[str]:
    """Return what a watch told until it had begun."""
    assert process.stderr
    told = []
    for line in process.stderr:
        told.append(line)
        if line.startswith("watching "):
            break
    return told


def watched(folder: Path, save: Callable[[], object]) -> list[str]:
    """Start the watch, save once, and return what it told until it was ended with Ctrl+C."""
    command = [sys.executable, "-m", "assistant", "corpus", "watch", "--eval", str(folder), "--card"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout
        told = told_until_it_watches(process)
        save()
        for line in process.stdout:
            told.append(line)
            if "rules checked" in line:
                break
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=600) == 130
    return told


def test_the_watch_tells_of_a_save_and_ends_with_ctrl_c(notes: Path, tmp_path: Path) -> None:
    folder = tmp_path / "eval"
    folder.mkdir()
    question = {"id": "q1", "question": "kickplate is bent", "manner": "plain", "notes": ["pad-stick-cap"]}
    (folder / "questions.jsonl").write_text(json.dumps({**question, "split": "tune", "writer": "A"}) + "\n", "utf-8")
    asked = notes / "pad/pad-stick-cap.questions.txt"
    more = asked.read_text("utf-8") + "kickplate is bent\nbent kickplate\n"
    told = "".join(watched(folder, lambda: asked.write_text(more, "utf-8")))
    assert "  pad-stick-cap: " in told
    assert "gain: kickplate is bent" in told
    assert "questions of pad-stick-cap: 1 of 1 right, 0 at the start" in told


def test_without_labelled_questions_the_watch_keeps_the_rules(notes: Path, tmp_path: Path) -> None:
    path = notes / "pad/pad-stick-cap.md"
    vague = path.read_text("utf-8").replace("\n1. ", "\n1. Adjust it properly. ", 1)
    told = "".join(watched(tmp_path / "none", lambda: path.write_text(vague, "utf-8")))
    assert "nothing is scored" in told
    assert "C507" in told
    assert "  1. Adjust it properly." in told
    assert "no labelled question" in told


def test_the_watch_refuses_what_it_cannot_read(run: Run, notes: Path, tmp_path: Path) -> None:
    (notes / "pad/pad-stick-cap.md").write_text("no note", "utf-8")
    (tmp_path / "eval").mkdir()
    (tmp_path / "eval/questions.jsonl").write_text("", "utf-8")
    refused = run("corpus", "watch", "--eval", str(tmp_path / "eval"))
    assert refused.code == 3
    assert "pad/pad-stick-cap.md:1" in refused.err
