"""Plots of the figures as SVG to stand in a page: no style sheet, no request, the same bytes each time."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from html import escape
from typing import TYPE_CHECKING

from assistant.evaluation.calibration import Calibration
from assistant.evaluation.compare import OURS, Comparison
from assistant.evaluation.risk import RiskCurve
from assistant.evaluation.statistics import Share

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["rankings_plot", "reliability_plot", "risk_plot", "shares_plot", "trend_plot"]

_WIDTH = 5.0
_HEIGHT = 3.4
_ROW = 0.3
_BLUE, _ORANGE, _GREEN, _GREY = "#0072B2", "#B34700", "#00664B", "#555555"
_MARKS = (("o", _BLUE), ("^", _ORANGE), ("s", _GREEN), ("D", _GREY), ("v", _BLUE), ("P", _ORANGE))
_DROPPED = re.compile(r"<!--.*?-->|<defs>\s*<style.*?</style>\s*</defs>|\sxmlns(?::xlink)?=\"[^\"]*\"", re.DOTALL)
_GROUP_ID = re.compile(r"<g id=\"[^\"]*\"")
_STYLE = re.compile(r'style="([^"]*)"')
_NAME = re.compile(r'(\bid="|url\(#|href="#)')
_BLANKS = re.compile(r"\s+")
_OPENING = re.compile(r"<svg\b[^>]*?(viewBox=\"[^\"]*\")[^>]*>")


@contextmanager
def _plain_settings(name: str) -> Iterator[None]:
    """Draw as the library ships, whatever the user's own settings, and name parts by what they are."""
    import matplotlib

    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(
            {
                "svg.hashsalt": name,
                "svg.fonttype": "path",
                "text.parse_math": False,
                "font.size": 10,
                "axes.spines.top": False,
                "axes.spines.right": False,
                "axes.edgecolor": _GREY,
                "axes.axisbelow": True,
                "grid.color": "#dddddd",
            }
        )
        yield


def _draw(name: str, title: str, text: str, paint: Callable[[Axes], None], height: float = _HEIGHT) -> str:
    """Return what ``paint`` draws as an SVG element with a title and a description.

    Parameters
    ----------
    name
        A word that no other plot of the page has; it begins every id.
    """
    with _plain_settings(name):
        from matplotlib.figure import Figure

        figure = Figure(figsize=(_WIDTH, height), layout="constrained")
        paint(figure.subplots())
        stream = io.StringIO()
        figure.savefig(stream, format="svg", metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
    drawn = stream.getvalue()
    drawn = _DROPPED.sub("", drawn[drawn.index("<svg") :])
    drawn = _GROUP_ID.sub("<g", drawn).replace("xlink:href", "href")
    drawn = _NAME.sub(rf"\g<1>{name}-", drawn)
    drawn = _BLANKS.sub(" ", _STYLE.sub(_as_attributes, drawn)).replace("> <", "><").strip()
    head = (
        rf'<svg role="img" aria-labelledby="{name}-title {name}-text" \g<1>>'
        rf'<title id="{name}-title">{escape(title)}</title><desc id="{name}-text">{escape(text)}</desc>'
    )
    return _OPENING.sub(head, drawn, count=1)


def _as_attributes(style: re.Match[str]) -> str:
    """Turn a style into attributes, which the page may have while it allows no inline style."""
    pairs = (pair.split(":", 1) for pair in style[1].split(";") if pair.strip())
    return " ".join(f'{name.strip()}="{value.strip()}"' for name, value in pairs)


def reliability_plot(calibration: Calibration) -> str:
    """Draw the share of right first notes, with its exact interval, against the confidence stated for them."""

    def paint(axes: Axes) -> None:
        axes.plot([0, 1], [0, 1], color=_GREY, linestyle="--", label="as stated")
        x = [found.confidence for found in calibration.bins]
        _with_intervals(axes, x, [found.right for found in calibration.bins], vertical=True)
        axes.set(xlim=(-0.02, 1.02), ylim=(-0.02, 1.02), xlabel="stated confidence", ylabel="first note right")
        axes.grid(visible=True)
        axes.legend(loc="upper left", frameon=False)

    text = "; ".join(f"stated {found.confidence:.2f}, right {found.right}" for found in calibration.bins)
    return _draw("reliability", "Stated confidence and share right", text, paint)


def risk_plot(curve: RiskCurve, outright: tuple[float, float] | None) -> str:
    """Draw the share of wrong ones among what is answered against the share answered."""
    end = curve.points[-1]

    def paint(axes: Axes) -> None:
        coverage, risk = [p.coverage for p in curve.points], [p.risk for p in curve.points]
        axes.plot(coverage, risk, color=_BLUE, label="bar on the confidence alone")
        if outright:
            axes.plot(*outright, marker="D", linestyle="", color=_ORANGE, label="answered outright")
        axes.set(xlim=(0, 1.02), xlabel="share answered (coverage)", ylabel="share of these wrong (risk)")
        axes.set_ylim(bottom=0)
        axes.grid(visible=True)
        axes.legend(loc="upper left", frameon=False)

    text = f"The area under the curve is {curve.aurc:.4f}. With all answered, {end.risk:.3f} are wrong."
    if outright:
        text += f" Answered outright: {outright[0]:.3f}, of which {outright[1]:.3f} are wrong."
    return _draw("risk", "Risk against coverage", text, paint)


def shares_plot(name: str, title: str, shares: Mapping[str, Share]) -> str:
    """Draw shares with their exact 95 % intervals, a row each, the first on top."""

    def paint(axes: Axes) -> None:
        rows = range(len(shares))
        _with_intervals(axes, rows, list(shares.values()), vertical=False)
        axes.set_yticks(rows, list(shares))
        axes.set_xlim(_floor(share.interval()[0] for share in shares.values()), 1.01)
        axes.set_ylim(len(shares) - 0.5, -0.5)
        axes.locator_params(axis="x", nbins=6)
        axes.set_xlabel("P@1, exact 95 % interval")
        axes.grid(visible=True, axis="x")

    text = "; ".join(f"{row} {share}" for row, share in shares.items())
    return _draw(name, title, text, paint, height=0.8 + _ROW * max(2, len(shares)))


def rankings_plot(comparison: Comparison, measures: Sequence[str] = ("P@1", "MRR", "nDCG@10")) -> str:
    """Draw the mean of each measure for each ranking, ours on top."""
    names = list(comparison.values)
    shown = [measure for measure in measures if measure in comparison.values[OURS]]

    def paint(axes: Axes) -> None:
        for measure, (mark, colour) in zip(shown, _MARKS, strict=False):
            means = [comparison.mean(name, measure) for name in names]
            axes.plot(means, range(len(names)), marker=mark, linestyle="", color=colour, label=measure)
        axes.set_yticks(range(len(names)), [name.replace(", ", ",\n") for name in names])
        axes.set_xlim(_floor(comparison.mean(name, measure) for name in names for measure in shown), 1.01)
        axes.set_ylim(len(names) - 0.5, -0.5)
        axes.set_xlabel("mean over the questions")
        axes.grid(visible=True, axis="x")
        axes.legend(loc="lower center", bbox_to_anchor=(0.4, 1.0), ncols=len(shown), frameon=False)

    text = "; ".join(
        f"{name}: " + ", ".join(f"{measure} {comparison.mean(name, measure):.3f}" for measure in shown)
        for name in names
    )
    return _draw("rankings", "Rankings side by side", text, paint, height=1.2 + 0.42 * len(names))


def trend_plot(heads: Sequence[str], rows: Sequence[tuple[str, Sequence[float | None]]]) -> str:
    """Draw each figure over the releases, the oldest at the left; at most as many figures as there are marks."""

    def paint(axes: Axes) -> None:
        for (name, values), (mark, colour) in zip(rows, _MARKS, strict=False):
            there = [(place, value) for place, value in enumerate(values) if value is not None]
            axes.plot([x for x, _ in there], [y for _, y in there], marker=mark, color=colour, label=name)
        axes.set_xticks(range(len(heads)), list(heads))
        axes.set_xlabel("release")
        axes.grid(visible=True, axis="y")
        axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2, frameon=False, fontsize=8)

    text = "; ".join(
        f"{name}: " + ", ".join("-" if value is None else f"{value:.3f}" for value in values) for name, values in rows
    )
    return _draw("trend", "Figures over the releases", text, paint)


def _with_intervals(axes: Axes, places: Sequence[float], shares: Sequence[Share], *, vertical: bool) -> None:
    values = [share.value for share in shares]
    ends = [share.interval() for share in shares]
    spread = [
        [max(0.0, value - low) for value, (low, _) in zip(values, ends, strict=True)],
        [max(0.0, high - value) for value, (_, high) in zip(values, ends, strict=True)],
    ]
    if vertical:
        axes.errorbar(places, values, yerr=spread, fmt="o", color=_BLUE, capsize=3, label="measured, 95 % interval")
    else:
        axes.errorbar(values, places, xerr=spread, fmt="o", color=_BLUE, capsize=3)


def _floor(values: Iterator[float]) -> float:
    """Return the tenth below the least value, 0.9 at most."""
    return min(0.9, int(10 * min(values, default=0.0)) / 10)
