"""The benchmarks run, at their smallest, and say what they measured; no figure is held to anything."""

from __future__ import annotations

import json
from itertools import count
from pathlib import Path

import jsonschema
import pytest

from eval.bench.__main__ import main
from eval.bench.figures import Figure, Skipped
from eval.bench.measure import PYTHON, cost_of, in_turn
from eval.bench.output import as_json, draw, table
from eval.bench.zipf import documents, terms_of

NUMBER = {"type": "number"}
FORM = {
    "type": "object",
    "additionalProperties": False,
    "required": ["format", "python", "machine", "processors", "figures", "growth", "skipped"],
    "properties": {
        "format": {"const": 1},
        "python": {"type": "string"},
        "machine": {"type": "string"},
        "processors": {"type": ["integer", "null"]},
        "figures": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["subset", "case", "size", "way", "unit", "median", "p95", "peer", "ratio", "base", "runs"],
                "properties": {
                    **{name: {"type": "string", "minLength": 1} for name in ("subset", "case", "way", "unit", "peer")},
                    **dict.fromkeys(("median", "p95", "base"), NUMBER),
                    "size": {"type": "integer", "minimum": 0},
                    "ratio": {"type": ["number", "null"]},
                    "runs": {"type": "array", "minItems": 1, "items": NUMBER},
                },
            },
        },
        "growth": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["subset", "case", "way", "unit", "sizes", "exponent", "last"],
                "properties": {
                    **{name: {"type": "string"} for name in ("subset", "case", "way", "unit")},
                    "sizes": {"type": "array", "minItems": 2, "items": {"type": "integer"}},
                    "exponent": NUMBER,
                    "last": NUMBER,
                },
            },
        },
        "skipped": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["subset", "what", "why"],
                "additionalProperties": {"type": "string"},
            },
        },
    },
}


def test_smallest_run_prints_a_table_and_writes_json_of_the_form(
    mini_pack_path: Path, mini_corpus_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    labelled = {"id": "q1", "question": "stick cap torn", "manner": "plain", "notes": ["pad-stick-cap"]}
    questions = tmp_path / "questions.jsonl"
    questions.write_text(json.dumps({**labelled, "split": "tune", "writer": "Z"}), "utf-8")
    places = ("--corpus", str(mini_corpus_path), "--pack", str(mini_pack_path), "--questions", str(questions))
    written = tmp_path / "figures.json"
    main(["slips", "batch", "--size", "tiny", "--runs", "1", *places, "--json", str(written)])
    told = json.loads(written.read_text("utf-8"))
    jsonschema.validate(told, FORM)
    assert {figure["subset"] for figure in told["figures"]} == {"slips", "batch"}
    assert all(figure["ratio"] == 1 for figure in told["figures"] if figure["way"] == figure["peer"])
    shown = capsys.readouterr().out
    assert all(figure["way"] in shown and figure["case"] in shown for figure in told["figures"])


def test_what_is_left_out_is_told_with_its_reason_and_costs_of_several_sizes_are_drawn(tmp_path: Path) -> None:
    figures = [Figure("warm", "asking", "ours", "CPU ms", (size / 10,), "peer", size) for size in (10, 100)]
    skipped = [Skipped("warm", "peer", "the package 'peer' is not installed")]
    jsonschema.validate(as_json(figures, skipped), FORM)
    shown = table(figures, skipped)
    assert "warm: peer: the package 'peer' is not installed" in shown
    assert "1.00 (1.00)  warm: asking, CPU ms, ours [10, 100]" in shown
    assert draw(figures, tmp_path / "growth.svg")
    assert "</svg>" in (tmp_path / "growth.svg").read_text("utf-8")
    assert not draw(figures[:1], tmp_path / "none.svg")


def test_what_a_process_costs_is_its_own() -> None:
    held = bytearray(64 * 1024 * 1024)
    small, large = (cost_of([PYTHON, "-c", f"x = bytearray({size << 20})"]) for size in (1, 48))
    assert len(held) >> 20 > small.peak
    assert large.peak - small.peak > 40


def test_a_process_that_fails_is_no_figure() -> None:
    with pytest.raises(RuntimeError, match="exit code 3"):
        cost_of([PYTHON, "-c", "raise SystemExit(3)"])
    with pytest.raises(RuntimeError, match="KeyError"):
        cost_of([PYTHON, "-c", "{}['gone']"], codes=(0, 1))


def test_ways_take_turns() -> None:
    turns = count(1)
    assert in_turn({"a": lambda: next(turns), "b": lambda: next(turns)}, 2) == {"a": [1, 3], "b": [2, 4]}


def test_made_up_documents_are_the_same_each_time_and_questions_are_of_their_words() -> None:
    texts = documents(50)
    assert texts == documents(50)
    assert {len(text.split()) for text in texts} == {60}
    assert all(any(set(question.split()) <= set(text.split()) for text in texts) for question in terms_of(texts, 20))
