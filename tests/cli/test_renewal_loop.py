"""Three new notes that fill real gaps pass the gate without a fight: from ``corpus new`` to labels looked at again."""

from __future__ import annotations

import json
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assistant.notes.phrases import phrases_path
from assistant.pack.places import find_places
from tests.cli.conftest import Ran, Run

DATA = Path(__file__).parents[1] / "data"
NEW = {
    "pad-wheel-clamp": ("pad", "Steering wheel loose on its shelf", "how do i tighten the clamp of the wheel"),
    "pad-mat-arrow": ("pad", "Dance mat arrow does not respond", "why does the dance mat miss my steps on one side"),
    "cab-insects": ("cab", "Insects in the cabinet", "nest of wasps in the cabinet what now"),
}
COVERED = {
    "q1": ("cap of the thumb stick is torn", ["pad-stick-cap"]),
    "q2": ("no signal on the display", ["screen-no-signal"]),
    "q3": ("disc is sticky and dirty", ["disc-clean"]),
    "q4": ("the power strip is dead", ["power-strip-dead"]),
    "q5": ("pad lead is crushed", ["pad-cable-damage"]),
}
NOW_COVERED = {
    "u1": ("Dance mat ignores the left arrow.", "pad-mat-arrow"),
    "u2": ("Ants have made a nest inside the cabinet", "cab-insects"),
    "u3": ("steering wheel slips and wobbles", "pad-wheel-clamp"),
}
STILL_NOT = {"u4": "ants in the shop window"}
OFF = {"u5": "who won the match", "u6": "what is the weather tomorrow"}
LINES = {"dance mat ignores the left arrow": "pad-mat-arrow", "Ants behind the cabinet": "cab-insects"}


@pytest.fixture
def places(tmp_path: Path) -> Path:
    """Six short notes in a folder of their own, with labelled questions, and neither talks nor bars."""
    shutil.copytree(DATA / "mini", tmp_path / "corpus")
    with (tmp_path / "corpus/uncovered.txt").open("a", encoding="utf-8") as file:
        file.write("".join(f"{line}\n" for line in LINES))
    uncovered = {**{name: text for name, (text, _) in NOW_COVERED.items()}, **STILL_NOT, **OFF}
    records: list[dict[str, Any]] = [
        *({"id": name, "question": text, "manner": "short", "notes": notes} for name, (text, notes) in COVERED.items()),
        *(
            {
                "id": name,
                "question": text,
                "manner": "uncovered",
                "notes": [],
                "kind": "off" if name in OFF else "near",
            }
            for name, text in uncovered.items()
        ),
    ]
    (tmp_path / "eval").mkdir()
    lines = (json.dumps({**record, "split": "tune", "writer": "A"}) for record in records)
    (tmp_path / "eval/questions.jsonl").write_text("".join(f"{line}\n" for line in lines), "utf-8")
    return tmp_path


def write_notes(run: Callable[..., Ran], places: Path) -> None:
    for note, (area, title, question) in NEW.items():
        given = {"id": note, "title": title, "station": "all", "action": "adjust", "minutes": "10"}
        options = [part for field, text in given.items() for part in (f"--{field}", text)]
        made = run("corpus", "new", *options, "--things", "thing", "--troubles", "broken", "--question", question)
        assert made.code == 0, made.err
        path = places / "corpus" / area / f"{note}.md"
        for kind in (Path, phrases_path):
            shutil.copy(kind(DATA / "loop" / path.name), kind(path))
    told = [line for line in run("corpus", "check").out.splitlines() if " error " in line]
    assert not [line for line in told if any(note in line.partition(":")[0] for note in NEW)]
    assert sum("C711" in line for line in told) == len(LINES)


def test_new_notes_pass_the_gate_when_their_labels_were_looked_at(run: Run, places: Path) -> None:
    begun, asked = time.monotonic(), 0

    def counted(*arguments: str) -> Ran:
        nonlocal asked
        asked += 1
        return run(*arguments)

    ran = run("score", "gate")
    assert ran.code == 1
    assert "eval/bars.json: is not there, so that nothing is judged" in ran.err
    assert run("score", "gate", "--write-bars", "eval/bars.json").code == 0
    bars = json.loads((places / "eval/bars.json").read_text("utf-8"))
    bars["bars"].append({"figure": "false answers near", "at_most": 0.5})  # of four questions, too few for a first bar
    (places / "eval/bars.json").write_text(json.dumps(bars), "utf-8")
    assert run("score", "gate").code == 0
    before = Path(shutil.copy(find_places().pack, places / "before.pack"))
    first = (places / "eval/questions.jsonl").read_text("utf-8").splitlines()

    write_notes(counted, places)

    impact = counted("desk", "impact", str(before), "--format", "json")
    told = json.loads(impact.out)
    kinds = {change["question"]: change["kind"] for change in told["changes"]}
    waiting = {*(text for text, _ in NOW_COVERED.values()), *STILL_NOT.values()}
    assert {question for question, kind in kinds.items() if kind == "label to look at again"} == waiting
    assert impact.code == 0
    assert {line["line"]: line["note"] for line in told["uncovered"]} == LINES
    assert [share["n"] for share in told["right"]] == [len(COVERED) + len(OFF)] * 2

    shut = counted("score", "gate")
    assert shut.code == 1
    short = [line for line in shut.out.splitlines() if line.startswith("SHORT")]
    assert [line.split("  ")[1] for line in short] == ["false answers near"]
    assert all("not measured" in line for line in short)
    assert "labels to look at again: 4 of 11 (assistant score relabel)" in shut.err.splitlines()
    assert "these are too many to judge a release by: at most 2% may wait" in shut.err.splitlines()

    listed = counted("score", "relabel", "--list", "--format", "json")
    assert listed.code == 1
    found = json.loads(listed.out)
    assert {label["question"] for label in found["labels"]} == waiting
    assert {line["line"] for line in found["uncovered"]} == set(LINES)
    answers = [f"{name}={note}" for name, (_, note) in NOW_COVERED.items()] + [f"{name}=none" for name in STILL_NOT]
    renewed = counted("score", "relabel", *(part for answer in answers for part in ("--set", answer)))
    assert renewed.code == 0
    assert counted("score", "relabel", *(part for line in LINES for part in ("--uncovered", line))).code == 0

    gate = counted("score", "gate", "--format", "json")
    assert json.loads(gate.out)["look_again"] == []
    assert gate.code == 0, gate.err

    took = time.monotonic() - begun
    again = counted("score", "relabel", "--list")
    assert again.code == 0
    assert again.out.splitlines() == ["0 labels and 0 lines of uncovered.txt to look at again"]
    assert not set(LINES) & set((places / "corpus/uncovered.txt").read_text("utf-8").splitlines())
    last = (places / "eval/questions.jsonl").read_text("utf-8").splitlines()
    looked_at = {*NOW_COVERED, *STILL_NOT}
    for old, new in zip(first, last, strict=True):
        record = json.loads(new)
        if record["id"] not in looked_at:
            assert old == new
            continue
        assert re.fullmatch(r"\d{4}-\d\d-\d\d [0-9a-f]{12}", record["since"])
        assert [(was["notes"], was["manner"], was["kind"]) for was in record["was"]] == [([], "uncovered", "near")]
        if record["id"] in STILL_NOT:
            assert (record["notes"], record["manner"], record["kind"]) == ([], "uncovered", "near")
        else:
            manner = "plain" if len(record["question"].split()) > 5 else "short"
            assert (record["notes"], record["manner"]) == ([NOW_COVERED[record["id"]][1]], manner)
    print(f"{asked} commands from three new notes to an open gate, {took:.1f} s in all")
