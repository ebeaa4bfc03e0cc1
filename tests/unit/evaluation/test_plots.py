"""Plots: SVG to stand in a page, the same each time."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from xml.etree import ElementTree

import matplotlib as mpl
import pytest

from assistant.evaluation.calibration import Bin, Calibration
from assistant.evaluation.plots import rankings_plot, reliability_plot, risk_plot, shares_plot
from assistant.evaluation.risk import RiskCurve, risk_curve
from assistant.evaluation.statistics import Share
from tests.unit.evaluation.making import comparison

CALIBRATION = Calibration((Bin(0, 0.2, 0.1, Share(0, 3)), Bin(0.8, 0.9, 0.85, Share(9, 10))), 0.125, 0.75)
SHARES = {"plain": Share(9, 10), "a <b> & $x^2$ c--d": Share(0, 4), "all": Share(4, 4)}


def curve() -> RiskCurve:
    found = risk_curve([(0.9, True), (0.8, False), (0.5, True)])
    assert found is not None
    return found


PLOTS: dict[str, Callable[[], str]] = {
    "reliability": partial(reliability_plot, CALIBRATION),
    "risk": lambda: risk_plot(curve(), (0.5, 0.1)),
    "risk without a point": lambda: risk_plot(curve(), None),
    "shares": partial(shares_plot, "manners", 'P@1 "by" <manner>', SHARES),
    "rankings": lambda: rankings_plot(comparison()),
}


def read(drawn: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawn)  # noqa: S314


@pytest.mark.parametrize("name", PLOTS)
def test_a_plot_is_one_element_that_fetches_runs_and_styles_nothing(name: str) -> None:
    drawn = PLOTS[name]()
    root = read(drawn)
    assert root.tag == "svg"
    assert "http" not in drawn
    for word in ("<script", "<style", "style=", "<!--", "<metadata", "<text", "xlink", "<image"):
        assert word not in drawn
    assert set(re.findall(r'href="(.)', drawn)) <= {"#"}


@pytest.mark.parametrize("name", PLOTS)
def test_a_plot_has_a_title_and_a_description(name: str) -> None:
    root = read(PLOTS[name]())
    title, text = root.find("title"), root.find("desc")
    assert title is not None
    assert text is not None
    assert title.text
    assert text.text
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"] == f"{title.attrib['id']} {text.attrib['id']}"
    assert root.attrib["viewBox"]
    assert "width" not in root.attrib


@pytest.mark.parametrize("name", PLOTS)
def test_a_plot_is_the_same_each_time_whatever_the_settings(name: str) -> None:
    first = PLOTS[name]()
    with mpl.rc_context({"font.size": 30, "svg.fonttype": "none", "lines.linewidth": 9, "axes.grid": True}):
        assert PLOTS[name]() == first
        assert mpl.rcParams["font.size"] == 30


def test_every_id_is_its_own_and_every_reference_is_met() -> None:
    drawn = "".join(PLOTS[name]() for name in ("reliability", "risk", "shares", "rankings"))
    ids = re.findall(r'\bid="([^"]*)"', drawn)
    assert len(ids) == len(set(ids))
    assert {*re.findall(r'href="#([^"]*)"', drawn), *re.findall(r"url\(#([^)]*)\)", drawn)} <= set(ids)


def test_the_description_tells_the_figures() -> None:
    assert "stated 0.85, right 9/10 = 0.900 [0.555, 0.997]" in PLOTS["reliability"]()
    assert "Answered outright: 0.500, of which 0.100 are wrong." in PLOTS["risk"]()
    assert "Answered outright" not in PLOTS["risk without a point"]()
    assert "a &lt;b&gt; &amp; $x^2$ c--d 0/4" in PLOTS["shares"]()
    assert "this program: P@1 0.667, MRR 0.833" in PLOTS["rankings"]()


def test_another_figure_gives_another_plot() -> None:
    other = {**SHARES, "plain": Share(8, 10)}
    strip = re.compile(r"<desc.*?</desc>")
    drawn = [strip.sub("", shares_plot("manners", "t", shares)) for shares in (SHARES, other)]
    assert drawn[0] != drawn[1]
