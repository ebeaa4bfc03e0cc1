"""The whole loop, as README tells it: what reps ask and do not find becomes a note, and the release is signed off."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from assistant.notes.phrases import phrases_path
from assistant.pack.places import find_places
from tests.cli.conftest import Run

ROOT = Path(__file__).parents[2]
WRITTEN = ROOT / "tests/data/loop/game-score-printer.md"
ASKED = {
    "S-101": ("score slip printer jammed", "score slip printer is out of paper"),
    "S-102": ("score printer will not print",),
    "S-103": ("printer for the score slips prints nothing",),
}
LABELLED = (
    ("race result slip stuck in the printer", "plain"),
    ("kids want their score slip and the printer spits out nothing", "everyday"),
    ("scor slip prnter jamed", "noisy"),
)

MOST_LOST = 2
"""A class more moves the others a little: of some hundreds of questions one or two near a bar may change sides."""
ONE_IN = 16
"""So many of the labelled questions are asked; `assistant score gate` asks all of them before a change lands."""
ONE_LINE_IN = 6
"""So many of the lines that the shipped notes are found by are learned from, and pairs of things and troubles with
them: this test learns twice, and of all lines the pack learns that other tests ask."""
SLACK = 0.2
"""By so much the bars are lower here: they are set for all questions and lines; a part comes out a little otherwise."""
LINES = ("*/*.questions.txt", "ambiguous.txt", "followups.txt", "uncovered.txt")


def thin(corpus: Path) -> None:
    """Leave all notes as they are, and some of the lines that they are found by."""
    for kind in LINES:
        for path in corpus.glob(kind):
            lines = path.read_text("utf-8").splitlines(keepends=True)
            path.write_text("".join(lines[::ONE_LINE_IN]), "utf-8")
    settings = json.loads((ROOT / "assistant/compiling/settings.json").read_text("utf-8"))
    settings["linear"]["pairs"] //= ONE_LINE_IN
    (corpus / "settings.json").write_text(json.dumps(settings), "utf-8")


@pytest.fixture
def places(tmp_path: Path) -> Path:
    """The shipped notes with some of their lines, and some of the labelled questions with bars for them."""
    shutil.copytree(ROOT / "corpus", tmp_path / "corpus")
    thin(tmp_path / "corpus")
    (tmp_path / "eval").mkdir()
    for name in ("questions.jsonl", "dialogues.jsonl"):
        lines = (ROOT / "eval" / name).read_text("utf-8").splitlines(keepends=True)
        (tmp_path / "eval" / name).write_text("".join(lines[::ONE_IN]), "utf-8")
    bars = json.loads((ROOT / "eval/bars.json").read_text("utf-8"))
    for bar in bars["bars"]:
        bar.update({side: bar[side] + by for side, by in (("at_least", -SLACK), ("at_most", SLACK)) if side in bar})
    (tmp_path / "eval/bars.json").write_text(json.dumps(bars), "utf-8")
    return tmp_path


def codes(told: str) -> set[str]:
    """Return the codes of the rules that found something."""
    return set(re.findall(r": (?:error|warning|note) (C\d+) ", told))


def test_from_questions_without_an_answer_to_a_signed_off_release(run: Run, places: Path) -> None:
    for shop, questions in ASKED.items():
        assert run("visit", "open", shop, "--new").code == 0
        for question in questions:
            asked = run("ask", question)
            assert "game-score-printer" not in asked.out, question
        assert run("visit", "close").code == 0
    before = Path(shutil.copy(find_places().pack, places / "before.pack"))

    found = run("desk", "unanswered", "--format", "json")
    group = json.loads(found.out)[0]
    assert group["askings"] >= 3
    assert set(group["stores"]) <= set(ASKED)
    assert len(group["stores"]) >= 2

    title = "Score printer jammed"
    into = ("--new-note", "game-score-printer", "--title", title, "--action", "adjust")
    taken = run("desk", "take", group["key"], *into)
    assert taken.code == 0
    note = places / "corpus/game/game-score-printer.md"
    assert "score" in note.with_suffix(".questions.txt").read_text("utf-8")
    assert "score printer will not print" in phrases_path(note).read_text("utf-8")

    unwritten = run("corpus", "check", "--rule", "C109", "--rule", "C708")
    assert unwritten.code == 1
    assert codes(unwritten.out) == {"C109", "C708"}
    shutil.copy(WRITTEN, note)
    shutil.copy(phrases_path(WRITTEN), phrases_path(note))
    written = run("corpus", "check")
    assert "rules: 0 errors" in written.out
    assert "game-score-printer" not in written.out

    labelled = (places / "eval/questions.jsonl").read_text("utf-8").splitlines()
    for number, (question, manner) in enumerate(LABELLED, start=1):
        record = {"id": f"q99{number}", "question": question, "manner": manner, "notes": ["game-score-printer"]}
        labelled.append(json.dumps({**record, "split": "tune", "writer": "Z"}))
    (places / "eval/questions.jsonl").write_text("".join(f"{line}\n" for line in labelled), "utf-8")

    impact = run("desk", "impact", str(before), "--format", "json")
    told = json.loads(impact.out)
    kinds = {change["question"]: change["kind"] for change in told["changes"]}
    assert all(kinds[question] == "gain" for question, _ in LABELLED)
    lost = [question for question, kind in kinds.items() if kind == "loss"]
    assert len(lost) <= MOST_LOST, lost
    assert impact.code == (1 if lost else 0)
    assert "safety lost" not in kinds.values()

    report = run("score", "report", "--output", "release.html", "--gate", "eval/bars.json")
    assert report.code == 0, report.err
    twin = json.loads((places / "release.json").read_text("utf-8"))
    assert twin["gate"]["passed"]

    for questions in ASKED.values():
        for question in questions:
            answered = run("ask", question)
            assert answered.code == 0
            assert "game-score-printer, revision 1" in answered.out
            assert "! CAUTION" in answered.out
    again = run("desk", "unanswered")
    assert "would be answered with: game-score-printer" in again.out
