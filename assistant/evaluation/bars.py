"""The release gate: bars that the figures of a release must reach, and aims that are told beside them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from math import ceil, floor
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError
from assistant.evaluation.enough import FEWEST_OF_A_KIND
from assistant.evaluation.figures import Figure
from assistant.notes.text import regular
from assistant.wording import counted

__all__ = [
    "Aim",
    "Bar",
    "Bars",
    "Judged",
    "aim_json",
    "aims_of",
    "first_bars",
    "gate_json",
    "gate_text",
    "judge",
    "read_bars",
]

_ENDS = ("at_least", "at_most")
_FURTHEST = 1e9
"""From 0 that a bar may be."""
_QUESTIONS = 2
"""By so many questions a first bar lies below what was reached."""
_MARGIN = 0.005
"""By so much a first bar of a figure that is no share does."""


class Bar(NamedTuple):
    """The least, or the most, that a figure may be; ``end`` is ``at_least`` or ``at_most``."""

    figure: str
    end: str
    value: float

    def reached(self, value: float) -> bool:
        """Tell whether a value is on the right side."""
        return value >= self.value if self.end == "at_least" else value <= self.value

    def __str__(self) -> str:
        return f"{self.end.replace('_', ' ')} {self.value:g}"


class Bars(NamedTuple):
    """All bars of one split of the labelled questions, and the aims, which shut no gate."""

    split: str
    bars: tuple[Bar, ...]
    aims: tuple[Bar, ...] = ()


class Judged(NamedTuple):
    """A bar and the figure that was held against it; None where it was not measured, which does not pass."""

    bar: Bar
    figure: Figure | None

    @property
    def value(self) -> float | None:
        """The figure's value."""
        return self.figure.value if self.figure else None

    @property
    def passed(self) -> bool:
        """Whether the figure, or some of its interval, reaches its bar: what chance alone may do shuts no gate."""
        return self.figure is not None and any(map(self.bar.reached, self.figure))

    @property
    def reached(self) -> bool:
        """Whether the figure itself reaches its bar."""
        return self.figure is not None and self.bar.reached(self.figure.value)

    @property
    def result(self) -> str:
        """How it came out, in words."""
        return "reached" if self.reached else "within its interval" if self.passed else "not reached"


class Aim(NamedTuple):
    """What is aimed at, and what it is on the tune split and was when the sealed questions were last opened."""

    bar: Bar
    tune: float | None
    sealed: float | None

    @property
    def missed(self) -> bool:
        """Whether the sealed figure falls short, or the tune figure where there is no sealed one."""
        value = self.tune if self.sealed is None else self.sealed
        return value is None or not self.bar.reached(value)

    def __str__(self) -> str:
        values = (("tune", self.tune), ("sealed", self.sealed))
        told = [f"{name} {value:.3f}" for name, value in values if value is not None]
        return f"{self.bar.figure}: {', '.join(told) or 'not measured'}; aim {self.bar}"


def read_bars(path: Path) -> Bars:
    """Read a file of bars: an object with ``split``, ``bars`` and perhaps ``aims`` and, for people, ``comment``.

    Each bar is an object with ``figure`` and either ``at_least`` or ``at_most``, and so is each aim.

    Raises
    ------
    NotesError
        If the file is not of that form, or has no bar, or two for one figure.
    """
    try:
        data = json.loads(regular(path).read_text("utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read as JSON: {error}")]) from error
    if not isinstance(data, dict) or data.get("split") != "tune":
        raise NotesError([Fault(str(path), 1, "needs 'split': tune, on which a release is judged")])
    bars = _bars(path, data.get("bars"), "bar")
    if not bars:
        raise NotesError([Fault(str(path), 1, "needs 'bars', a list with one bar at least")])
    return Bars(str(data["split"]), bars, _bars(path, data.get("aims", []), "aim"))


def _bars(path: Path, entries: object, kind: str) -> tuple[Bar, ...]:
    if not isinstance(entries, list):
        raise NotesError([Fault(str(path), 1, f"needs '{kind}s', a list with one {kind} at least")])
    bars = tuple(_bar(path, f"{kind} {number}", entry) for number, entry in enumerate(entries, start=1))
    if len({(bar.figure, bar.end) for bar in bars}) < len(bars):
        raise NotesError([Fault(str(path), 1, f"has two {kind}s of a kind for one figure")])
    return bars


def _bar(path: Path, name: str, entry: object) -> Bar:
    if isinstance(entry, dict) and isinstance(entry.get("figure"), str):
        ends = [end for end in _ENDS if end in entry]
        if len(ends) == 1 and _is_number(entry[ends[0]]) and set(entry) == {"figure", ends[0]}:
            return Bar(entry["figure"], ends[0], float(entry[ends[0]]))
    raise NotesError([Fault(str(path), 1, f"{name} needs 'figure' and a number 'at_least' or 'at_most'")])


def _is_number(value: Any) -> bool:
    return type(value) in (int, float) and -_FURTHEST <= value <= _FURTHEST


def judge(bars: Sequence[Bar], figures: Mapping[str, Figure]) -> list[Judged]:
    """Hold every bar against its figure."""
    return [Judged(bar, figures.get(bar.figure)) for bar in bars]


def aims_of(aims: Sequence[Bar], figures: Mapping[str, float], sealed: Mapping[str, float]) -> list[Aim]:
    """Hold every aim against its figure on both splits, those missed first."""
    found = [Aim(bar, figures.get(bar.figure), sealed.get(bar.figure)) for bar in aims]
    return sorted(found, key=lambda aim: not aim.missed)


def aim_json(aim: Aim) -> dict[str, Any]:
    """Return an aim as JSON-ready values."""
    values = {
        name: None if value is None else round(value, 4) for name, value in zip(aim._fields[1:], aim[1:], strict=True)
    }
    return {"figure": aim.bar.figure, aim.bar.end: aim.bar.value, **values, "missed": aim.missed}


def first_bars(
    figures: Mapping[str, float], counted: Mapping[str, int], less_is_better: Callable[[str], bool]
) -> dict[str, Any]:
    """Return a first file of bars: two questions short of each share, .005 short of any other figure.

    Shares of fewer than `FEWEST_OF_A_KIND` questions have no bar: two questions are nearly all of them.

    Parameters
    ----------
    counted
        Of how many each share is.
    """
    bars = []
    for name, value in figures.items():
        if counted.get(name, FEWEST_OF_A_KIND) < FEWEST_OF_A_KIND:
            continue
        margin = _QUESTIONS / counted[name] if name in counted else _MARGIN
        if less_is_better(name):
            bars.append({"figure": name, "at_most": _thousandths(ceil, min(1.0, value + margin))})
        else:
            bars.append({"figure": name, "at_least": _thousandths(floor, max(0.0, value - margin))})
    comment = (
        "First bars, two questions short of what was measured. Raise them with the figures; say why one is lowered."
    )
    return {"comment": comment, "split": "tune", "bars": bars, "aims": []}


def _thousandths(rounded: Callable[[float], int], value: float) -> float:
    return rounded(round(1000 * value, 6)) / 1000


def gate_text(judged: Sequence[Judged]) -> str:
    """Return a line for every bar, those not reached marked, and a last line that sums up."""
    width = max((len(row.bar.figure) for row in judged), default=0)
    signs = {"reached": "ok   ", "within its interval": "near ", "not reached": "SHORT"}
    lines = [
        f"{signs[row.result]}  {row.bar.figure:<{width}}  {row.figure or 'not measured'}, {row.bar}" for row in judged
    ]
    short = sum(not row.passed for row in judged)
    near = sum(row.passed and not row.reached for row in judged)
    within = f"; {near} of them by {'its' if near == 1 else 'their'} interval alone" if near else ""
    bars = counted(len(judged), "bar")
    told = bars if len(judged) == 1 else f"all {bars}"
    lines.append(f"{short} of {bars} not reached" if short else f"{told} reached{within}")
    return "\n".join(lines) + "\n"


def gate_json(judged: Sequence[Judged]) -> dict[str, Any]:
    """Return the judgement as JSON-ready values."""
    return {
        "passed": all(row.passed for row in judged),
        "bars": [
            {
                "figure": row.bar.figure,
                row.bar.end: row.bar.value,
                "value": None if row.figure is None else round(row.figure.value, 4),
                "interval": None if row.figure is None else [round(row.figure.low, 4), round(row.figure.high, 4)],
                "passed": row.passed,
                "reached": row.reached,
            }
            for row in judged
        ],
    }
