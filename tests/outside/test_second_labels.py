"""Agreement on the labels that ship, counted anew from the bare JSON with scikit-learn's cohen_kappa_score.

Cohen, A coefficient of agreement for nominal scales, Educational and Psychological Measurement 20, 1960 (from memory).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from sklearn.metrics import cohen_kappa_score

from assistant.evaluation.agreement import agreement

EVAL = Path(__file__).parents[2] / "eval"
FILES = ("second.jsonl", "second_kinds.jsonl")


def lines(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (EVAL / name).read_text("utf-8").splitlines()]


@pytest.fixture(scope="module")
def found() -> dict[str, Any]:
    return agreement(EVAL / "questions.jsonl", [EVAL / name for name in FILES], EVAL / "dialogues.jsonl")


@pytest.fixture(scope="module")
def first() -> dict[str, dict[str, Any]]:
    return {record["question"]: record for record in lines("questions.jsonl")}


def is_alike(kappa: float, pairs: list[tuple[Any, Any]]) -> bool:
    return kappa == pytest.approx(cohen_kappa_score(*zip(*pairs, strict=True)), abs=5e-5)


def test_harm_and_forbidden_acts(found: dict[str, Any], first: dict[str, dict[str, Any]]) -> None:
    judged = lines("second_kinds.jsonl")
    harm = [
        ("danger" in first[one["question"]] or first[one["question"]]["manner"] == "cry", one["harm"])
        for one in judged
        if "harm" in one
    ]
    leave = [
        (first[one["question"]]["manner"] == "forbidden", one["forbidden"]) for one in judged if "forbidden" in one
    ]
    for name, pairs in (("harm", harm), ("forbidden", leave)):
        assert found["told"][name]["questions"] == len(pairs) == 120
        assert found["told"][name]["agreed"] == sum(a == b for a, b in pairs)
        assert is_alike(found["told"][name]["kappa"], pairs)


def test_turns_of_talks(found: dict[str, Any]) -> None:
    turns = {talk["id"]: talk["turns"] for talk in lines("dialogues.jsonl")}
    pairs = [(turns[one["talk"]][one["turn"] - 1]["about"], one["about"]) for one in lines(FILES[1]) if "turn" in one]
    assert found["told"]["about"]["questions"] == len(pairs) == 60
    assert is_alike(found["told"]["about"]["kappa"], pairs)


def test_notes_strictly_and_leniently(found: dict[str, Any], first: dict[str, dict[str, Any]]) -> None:
    """Strictly the best of one against the best of the other; leniently any note of the first labeller agrees."""
    lenient, strict = [], []
    for one in lines(FILES[0]):
        label = first[one["question"]]
        danger = label.get("danger") or []
        right = ([danger] if isinstance(danger, str) else danger) or label["notes"] or [""]
        best = (one["notes"] or [""])[0]
        lenient.append((best if best in right else right[0], best))
        strict.append((right[0], best))
    assert is_alike(found["kappa"], lenient)
    assert is_alike(found["strict"]["kappa"], strict)


def test_no_second_label_is_lost(found: dict[str, Any]) -> None:
    assert found["unmatched"] == []
