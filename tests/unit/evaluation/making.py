"""Small labelled questions and outcomes, made in one place."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from assistant.evaluation.compare import OURS, Comparison
from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.run import Outcome


def labelled(
    id: str,
    question: str = "why is it dark",
    manner: str = "plain",
    notes: tuple[str, ...] = ("a",),
    *,
    split: str = "tune",
    kind: str = "",
    danger: str = "",
    steps: tuple[tuple[str, tuple[int, ...]], ...] = (),
) -> LabelledQuestion:
    """Return a labelled question."""
    return LabelledQuestion(id, question, manner, notes, split, "A", kind, (danger,) if danger else (), steps)


def outcome(
    question: LabelledQuestion,
    order: Iterable[str] = (),
    decision: str = "answer",
    *,
    marked: tuple[int, ...] = (),
    safety_first: bool = False,
) -> Outcome:
    """Return an outcome that shows ``order``; what is offered is the first note of an answer, all of a choice."""
    ids = tuple(order)
    offered = {"answer": ids[:1], "choose": ids, "none": ()}[decision]
    ranked = tuple((note, float(10 - place)) for place, note in enumerate(ids))
    return Outcome(question, ranked, decision, offered, 0.5, marked, safety_first)


def comparison() -> Comparison:
    """Return a comparison of two rankings on three questions."""
    values = {
        OURS: {"P@1": (1.0, 1.0, 0.0), "MRR": (1.0, 1.0, 0.5)},
        "other": {"P@1": (1.0, 0.0, 0.0), "MRR": (1.0, 0.25, 0.25)},
    }
    return Comparison(("q1", "q2", "q3"), values, "other", 0.25)


def write_lines(path: Path, *records: Any) -> Path:
    """Write one record a line: text as it stands, anything else as JSON."""
    lines = (record if isinstance(record, str) else json.dumps(record) for record in records)
    path.write_text("".join(f"{line}\n" for line in lines), "utf-8")
    return path
