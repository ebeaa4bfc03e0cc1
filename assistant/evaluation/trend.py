"""Figures over several releases: a table, and a plot of how they went."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, NamedTuple

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.evaluation.page_parts import Heading, Part, Plot, figures_page, table
from assistant.evaluation.plots import trend_plot
from assistant.evaluation.release import Saved

__all__ = ["Trend", "trend_json", "trend_of", "trend_page", "trend_text"]

_DRAWN = ("P@1", "answered outright and right", "safety note first", "talks: turn right")
"""What the plot shows where no figure was named."""
_MOST_DRAWN = 6


class Trend(NamedTuple):
    """Releases, the oldest first, and (figure, its value in each, None where it was not measured)."""

    releases: tuple[Saved, ...]
    rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    drawn: tuple[str, ...]

    @property
    def heads(self) -> tuple[str, ...]:
        """What each release is called: its day, or its file where the day is not known."""
        return tuple(saved.day or saved.name for saved in self.releases)


def trend_of(releases: Sequence[Saved], names: Collection[str] = ()) -> Trend:
    """Put releases in the order of their days, those without a day first, as they were given.

    Parameters
    ----------
    names
        The figures wanted; all where none is named.

    Raises
    ------
    UsageError
        If a figure is named that no release has.
    """
    ordered = tuple(sorted(releases, key=lambda saved: saved.day))
    known = dict.fromkeys(name for saved in ordered for name in saved.figures)
    for name in names:
        if name not in known:
            raise UsageError(f"no figure '{name}' in any of these releases")
    wanted = tuple(dict.fromkeys(names)) or tuple(known)
    rows = tuple((name, tuple(saved.figures.get(name) for saved in ordered)) for name in wanted)
    drawn = wanted if names else tuple(name for name in _DRAWN if name in known) or wanted
    return Trend(ordered, rows, drawn[:_MOST_DRAWN])


def trend_text(trend: Trend) -> str:
    """Return the table as plain lines: a figure a line, and by how much it moved from the first release to the last."""
    width = max((len(name) for name, _ in trend.rows), default=0)
    heads = [printable(head) for head in trend.heads]
    columns = [max(len(head), len("0.000")) for head in heads]
    cells = "  ".join(f"{head:>{room}}" for head, room in zip(heads, columns, strict=True))
    lines = [f"{'figure':<{width}}  {cells}   moved"]
    for name, values in trend.rows:
        cells = "  ".join(f"{_cell(value):>{room}}" for value, room in zip(values, columns, strict=True))
        lines.append(f"{name:<{width}}  {cells}  {_moved(values):>6}")
    return "\n".join(lines) + "\n"


def trend_json(trend: Trend) -> dict[str, Any]:
    """Return the table as JSON-ready values."""
    return {
        "releases": [
            {"file": saved.name, "day": saved.day or None, "pack": saved.pack or None} for saved in trend.releases
        ],
        "figures": {name: list(values) for name, values in trend.rows},
    }


def trend_page(trend: Trend) -> str:
    """Return a page with the plot of some figures and the table of all."""
    title = f"Figures of {len(trend.releases)} releases"
    drawn = [row for row in trend.rows if row[0] in trend.drawn]
    rows = [(name, *map(_cell, values), _moved(values)) for name, values in trend.rows]
    parts: list[Part] = [
        Heading(1, title),
        Plot("Shares and means over the releases", trend_plot(trend.heads, drawn)),
        table("All figures", ("figure", *trend.heads, "moved"), rows),
    ]
    return figures_page(title, parts)


def _cell(value: float | None) -> str:
    return "-" if value is None else f"{value:.3f}"


def _moved(values: Sequence[float | None]) -> str:
    first, last = values[0], values[-1]
    return "-" if first is None or last is None else f"{last - first:+.3f}"
