"""The figures as a table, as JSON and as a picture."""

from __future__ import annotations

import os
import platform
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from eval.bench.figures import Figure, Skipped, fits, median, p95, ratios

__all__ = ["as_json", "draw", "table"]

FORMAT = 1
_HEAD = ("case", "way", "median", "95 %", "unit", "x peer", "runs")


def as_json(figures: Sequence[Figure], skipped: Sequence[Skipped]) -> dict[str, Any]:
    """Return everything as plain values; ``runs`` are the single values, in the order they were taken."""
    return {
        "format": FORMAT,
        "python": platform.python_version(),
        "machine": platform.machine(),
        "processors": os.cpu_count(),
        "figures": [
            {
                "subset": figure.subset,
                "case": figure.case,
                "size": figure.size,
                "way": figure.way,
                "unit": figure.unit,
                "median": median(figure.values),
                "p95": p95(figure.values),
                "peer": figure.peer,
                "ratio": ratio,
                "base": figure.base,
                "runs": list(figure.values),
            }
            for figure, ratio in zip(figures, ratios(figures), strict=True)
        ],
        "growth": [{**fit._asdict(), "sizes": list(fit.sizes)} for fit in fits(figures)],
        "skipped": [one._asdict() for one in skipped],
    }


def table(figures: Sequence[Figure], skipped: Sequence[Skipped]) -> str:
    """Return lines to read: for each thing its ways, the peer's ratio 1, then how costs grow and what was left out."""
    rows = [_HEAD]
    order = sorted(range(len(figures)), key=lambda place: _first(figures, figures[place]))
    held = ratios(figures)
    for place in order:
        figure, ratio = figures[place], held[place]
        rows.append(
            (
                f"{figure.subset}: {figure.case}" + (f", {figure.size}" if figure.size else ""),
                figure.way,
                f"{median(figure.values):,.2f}",
                f"{p95(figure.values):,.2f}",
                figure.unit,
                "-" if ratio is None else f"{ratio:,.2f}",
                str(len(figure.values)),
            )
        )
    return "\n".join([*_columns(rows), *_growth(figures), *_left_out(skipped)]) + "\n"


def _first(figures: Sequence[Figure], figure: Figure) -> int:
    """Return where the first figure of the same thing stands, so that what is compared stands together."""
    return next(place for place, other in enumerate(figures) if other.thing == figure.thing)


def _columns(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEAD))]
    told = ""
    for row in rows:
        shown = ("" if row[0] == told else row[0], *row[1:])
        told = row[0]
        cells = [
            cell.rjust(width) if column in (2, 3, 5, 6) else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(shown, widths, strict=True))
        ]
        yield "  ".join(cells).rstrip()


def _growth(figures: Sequence[Figure]) -> Iterator[str]:
    found = fits(figures)
    if found:
        yield "\nHow costs grow, as the size to the power of (between the last two sizes):"
    for fit in found:
        sizes = ", ".join(map(str, fit.sizes))
        yield f"  {fit.exponent:.2f} ({fit.last:.2f})  {fit.subset}: {fit.case}, {fit.unit}, {fit.way} [{sizes}]"


def _left_out(skipped: Sequence[Skipped]) -> Iterator[str]:
    if skipped:
        yield "\nNot measured:"
    for one in skipped:
        yield f"  {one.subset}: {one.what}: {one.why}"


def draw(figures: Sequence[Figure], path: Path) -> bool:
    """Draw every cost that was measured at several sizes, both axes logarithmic; tell whether there was one."""
    found = fits(figures)
    panels = sorted({(fit.subset, fit.case, fit.unit) for fit in found})
    if not panels:
        return False
    from matplotlib.figure import Figure as Picture

    columns = min(3, len(panels))
    rows = -(-len(panels) // columns)
    picture = Picture(figsize=(5 * columns, 3.6 * rows), layout="constrained")
    for place, panel in enumerate(panels, start=1):
        axes = picture.add_subplot(rows, columns, place)
        for fit in found:
            if (fit.subset, fit.case, fit.unit) == panel:
                points = sorted((f.size, median(f.values)) for f in figures if _belongs(f, panel, fit.way))
                axes.plot(*zip(*points, strict=True), marker="o", label=f"{fit.way} ({fit.exponent:.2f})")
        axes.set(xscale="log", yscale="log", title=f"{panel[0]}: {panel[1]}", ylabel=panel[2])
        axes.legend(fontsize="x-small")
    picture.savefig(path)
    return True


def _belongs(figure: Figure, panel: tuple[str, str, str], way: str) -> bool:
    return (figure.subset, figure.case, figure.unit) == panel and figure.way == way and figure.size > 0
