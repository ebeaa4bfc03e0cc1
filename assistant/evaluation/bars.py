"""The release gate: bars that the figures of a release must reach."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError
from assistant.evaluation.report import Report
from assistant.evaluation.risk import confidences, risk_curve

__all__ = ["Bar", "Bars", "Judged", "figures_of", "gate_json", "gate_text", "judge", "read_bars"]

_ENDS = ("at_least", "at_most")
_FURTHEST = 1e9
"""From 0 that a bar may be."""


class Bar(NamedTuple):
    """The least, or the most, that a figure may be; ``end`` is ``at_least`` or ``at_most``."""

    figure: str
    end: str
    value: float


class Bars(NamedTuple):
    """All bars of one split of the labelled questions."""

    split: str
    bars: tuple[Bar, ...]


class Judged(NamedTuple):
    """A bar and the figure that was held against it; None where it was not measured, which does not pass."""

    bar: Bar
    value: float | None

    @property
    def passed(self) -> bool:
        """Whether the figure reaches its bar."""
        if self.value is None:
            return False
        return self.value >= self.bar.value if self.bar.end == "at_least" else self.value <= self.bar.value


def read_bars(path: Path) -> Bars:
    """Read a file of bars: an object with ``split``, ``bars`` and, for people, ``comment``.

    Each bar is an object with ``figure`` and either ``at_least`` or ``at_most``.

    Raises
    ------
    NotesError
        If the file is not of that form, or has no bar, or two for one figure.
    """
    try:
        data = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read as JSON: {error}")]) from error
    if not isinstance(data, dict) or data.get("split") != "tune":
        raise NotesError([Fault(str(path), 1, "needs 'split': tune, on which a release is judged")])
    entries = data.get("bars")
    if not isinstance(entries, list) or not entries:
        raise NotesError([Fault(str(path), 1, "needs 'bars', a list with one bar at least")])
    bars = tuple(_bar(path, number, entry) for number, entry in enumerate(entries, start=1))
    if len({(bar.figure, bar.end) for bar in bars}) < len(bars):
        raise NotesError([Fault(str(path), 1, "has two bars of a kind for one figure")])
    return Bars(str(data["split"]), bars)


def _bar(path: Path, number: int, entry: object) -> Bar:
    if isinstance(entry, dict) and isinstance(entry.get("figure"), str):
        ends = [end for end in _ENDS if end in entry]
        if len(ends) == 1 and _is_number(entry[ends[0]]) and set(entry) == {"figure", ends[0]}:
            return Bar(entry["figure"], ends[0], float(entry[ends[0]]))
    raise NotesError([Fault(str(path), 1, f"bar {number} needs 'figure' and a number 'at_least' or 'at_most'")])


def _is_number(value: Any) -> bool:
    return type(value) in (int, float) and -_FURTHEST <= value <= _FURTHEST


def judge(bars: Sequence[Bar], figures: Mapping[str, float]) -> list[Judged]:
    """Hold every bar against its figure."""
    return [Judged(bar, figures.get(bar.figure)) for bar in bars]


def figures_of(report: Report) -> dict[str, float]:
    """Return every figure of a report that a bar can be set for, by name; those without a question are left out."""
    figures = {name: share.value for name, share in report.shares.items() if share.n}
    figures |= {f"as shown: {name}": value for name, value in report.means.items()}
    if report.calibration:
        figures["confidence: Brier score"] = report.calibration.brier
        figures["confidence: AUROC"] = report.calibration.auroc
    curve = risk_curve(confidences(report.outcomes))
    if curve:
        figures["confidence: AURC"] = curve.aurc
    return figures


def gate_text(judged: Sequence[Judged]) -> str:
    """Return a line for every bar, those not reached marked, and a last line that sums up."""
    width = max((len(row.bar.figure) for row in judged), default=0)
    lines = []
    for row in judged:
        value = "not measured" if row.value is None else f"{row.value:.3f}"
        end = row.bar.end.replace("_", " ")
        lines.append(
            f"{'ok   ' if row.passed else 'SHORT'}  {row.bar.figure:<{width}}  {value}, {end} {row.bar.value:g}"
        )
    short = sum(not row.passed for row in judged)
    lines.append(f"{short} of {len(judged)} bars not reached" if short else f"all {len(judged)} bars reached")
    return "\n".join(lines) + "\n"


def gate_json(judged: Sequence[Judged]) -> dict[str, Any]:
    """Return the judgement as JSON-ready values."""
    return {
        "passed": all(row.passed for row in judged),
        "bars": [
            {
                "figure": row.bar.figure,
                row.bar.end: row.bar.value,
                "value": None if row.value is None else round(row.value, 4),
                "passed": row.passed,
            }
            for row in judged
        ],
    }
