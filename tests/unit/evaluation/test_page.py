"""The page of figures: what it holds, what it never holds, and how it stands in a browser."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import subprocess
import sys
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from assistant.evaluation.bars import Aim, Bar, Bars
from assistant.evaluation.calibration import Bin, Calibration
from assistant.evaluation.labels import LabelledQuestion, Talk, TalkTurn
from assistant.evaluation.outdated import OldLabel
from assistant.evaluation.page import study_page
from assistant.evaluation.release import Release, Saved, changes_since, note_digests
from assistant.evaluation.report import score_notes
from assistant.evaluation.sealed import Opening
from assistant.evaluation.statistics import Share
from assistant.evaluation.study import Study, study, study_json
from assistant.model import Review
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled

CHROMIUM = Path("/usr/bin/chromium")
HOSTILE = '</q><script>alert(1)</script><img src=http://example.org/x onerror=alert(2)> & "it\'s" \x1b[2J\u202e'
QUESTIONS = [
    labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
    labelled("q2", "wipe the sticky disc", "noisy", ("disc-clean",)),
    labelled("q3", f"display shows no signal {HOSTILE}", "long", ("pad-stick-cap",)),
    labelled("q4", "outlet strip has no power", "everyday", ("power-strip-dead",)),
    labelled("q5", "who won the match", "uncovered", (), kind="off"),
    labelled("q6", "battery swollen and hot", "plain", ("disc-clean",), danger="safety-swollen-cell"),
]
TALKS = [Talk("d1", (TalkTurn("wipe the sticky disc", ("disc-clean",), "procedure"),), "tune")]
BARS = Bars("tune", (Bar("P@1", "at_least", 0.999), Bar("false answers", "at_most", 1.0)))
TALLEST = 6000
"""Pixels of the folded page, however many misses it lists."""
LOOKING = """
import json, sys
from pathlib import Path
from playwright.sync_api import sync_playwright

page_file, chromium, width = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
told, asked = [], []
with sync_playwright() as driver:
    browser = driver.chromium.launch(executable_path=chromium, args=["--no-sandbox"], timeout=0)
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(page_file.as_uri(), timeout=0)
    page.evaluate('() => document.querySelectorAll("details").forEach(one => { one.open = true; })')
    found = page.evaluate('''() => ({
        wide: document.documentElement.scrollWidth - innerWidth,
        plots: [...document.querySelectorAll("svg")].map(svg => svg.getBoundingClientRect().width),
        margin: getComputedStyle(document.body).margin,
        fill: getComputedStyle(document.querySelector("svg path[fill]")).fill,
    })''')
    tall = page.evaluate('''() => {
        document.querySelectorAll("details").forEach(one => { one.open = false; });
        return document.documentElement.scrollHeight;
    }''')
    print(json.dumps({**found, "tall": tall, "told": told, "asked": asked}))
    browser.close()
"""


class Reader(HTMLParser):
    """Reads the page as a browser would: elements with their attributes, and text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data

    def count(self, tag: str) -> int:
        return sum(found == tag for found, _ in self.tags)


def made(pack: Pack, questions: list[LabelledQuestion], bars: Bars | None = BARS) -> Study:
    found = study(pack, score_notes(pack, questions, TALKS, "tune"), bars)
    return found._replace(titles={**found.titles, "pad-stick-cap": f"Cap {HOSTILE}"})


@pytest.fixture(scope="module")
def found(mini_pack_path: Path) -> Study:
    with Pack(mini_pack_path) as pack:
        return made(pack, QUESTIONS)


@pytest.fixture(scope="module")
def page(found: Study) -> str:
    return study_page(found)


def test_the_page_runs_nothing_and_fetches_nothing(page: str) -> None:
    reader = Reader(page)
    tags = {tag for tag, _ in reader.tags}
    assert not tags & {"script", "img", "link", "iframe", "object", "embed", "form", "a", "base", "audio", "video"}
    names = {name for _, attributes in reader.tags for name in attributes}
    assert not {name for name in names if name.startswith("on")}
    assert not names & {"style", "src", "srcset", "action", "background", "data", "xlink:href"}
    assert not re.findall(r"https?:", page.replace("img src=http://example.org/x", ""))
    assert "@import" not in page
    assert "url(http" not in page


def test_texts_of_questions_and_notes_are_escaped(page: str) -> None:
    reader = Reader(page)
    assert "<script" not in page
    assert "<img" not in page
    assert reader.text.count("<script>alert(1)</script>") == 2
    assert "\x1b" not in page
    assert "\u202e" not in page


def test_the_page_allows_its_own_style_sheet_alone(page: str) -> None:
    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def test_the_page_has_language_viewport_headings_and_captions(page: str) -> None:
    reader = Reader(page)
    assert ("html", {"lang": "en"}) in reader.tags
    assert ("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}) in reader.tags
    levels = [int(tag[1]) for tag, _ in reader.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert reader.count("table") == reader.count("caption") > 8
    assert reader.count("svg") == reader.count("figure") == reader.count("figcaption") == 5
    assert all("scope" in attributes for tag, attributes in reader.tags if tag == "th")


def test_notes_that_nobody_has_signed_are_listed(found: Study) -> None:
    note = found.hazardous[0]
    assert [one.id for one in found.hazardous] == sorted(one.id for one in found.hazardous if one.safety)
    signed = note._replace(safety_review=Review(f"A {HOSTILE}", "2026-11-20", note.revision, "0123456789ab"))
    changed = found.hazardous[1]._replace(
        safety_review=signed.safety_review and signed.safety_review._replace(fits=False)
    )
    some = found._replace(hazardous=(signed, changed, *found.hazardous[2:]), misses=(), titles={})
    reader = Reader(study_page(some))
    total = len(found.hazardous)
    assert f"{total} notes with a hazard: 1 signed, 1 stale, {total - 2} not signed by a safety officer." in reader.text
    page = reader.text.partition("Safety sign-off")[2].partition("Confidence")[0]
    assert note.title not in page
    assert f"{changed.title}{changed.id}{changed.revision}stale" in page
    assert f"{found.hazardous[2].id}{found.hazardous[2].revision}unsigned" in page
    assert study_json(some)["signed"] == {"notes": total, "signed": 1, "stale": 1, "unsigned": total - 2}
    assert "Notes with a hazard that nobody" not in study_page(found._replace(hazardous=(signed,)))


def test_every_id_of_the_page_is_its_own(page: str) -> None:
    ids = [attributes["id"] for _, attributes in Reader(page).tags if "id" in attributes]
    assert len(ids) == len(set(ids)) > 10


def test_every_plot_has_its_figures_in_a_table(page: str, found: Study) -> None:
    rows = {tuple(re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)) for row in re.findall(r"<tr>(.*?)</tr>", page)}
    assert ("plain", "2", "2", "1.000", "0.158", "1.000") in rows
    assert ("disc", "1", "1", "1.000", "0.025", "1.000") in rows
    comparison = found.report.comparison
    for name in comparison.values:
        assert (name, *(f"{comparison.mean(name, m):.4f}" for m in ("P@1", "P@3", "MRR", "nDCG@10"))) in rows
    assert found.report.calibration is not None
    assert found.risk is not None
    for found_bin in found.report.calibration.bins:
        assert any(row[1:2] == (f"{found_bin.confidence:.3f}",) for row in rows)
    assert (f"{found.risk.points[-1].confidence:.3f}", "1.000", f"{found.risk.points[-1].risk:.3f}") in rows


def test_the_page_is_the_same_twice(mini_pack_path: Path, page: str) -> None:
    with Pack(mini_pack_path) as pack:
        assert study_page(made(pack, QUESTIONS)) == page


def test_the_gate_is_told_with_what_was_not_reached_first(page: str, mini_pack_path: Path) -> None:
    assert "1 of 2 bars not reached." in page
    assert page.index("<td>not reached</td>") < page.index("<td>reached</td>")
    with Pack(mini_pack_path) as pack:
        assert "Release gate" not in study_page(made(pack, QUESTIONS, None))


def test_a_release_is_told_with_what_failed_open_and_the_rest_folded(mini_pack: Pack, found: Study) -> None:
    digests = note_digests(mini_pack)
    before = Saved("old.json", "2026-11-02", "p", {"P@1": 0.9}, {"gone-note": "1", **dict.fromkeys(digests, "1")})
    signed = Release(
        date(2026, 11, 28),
        "1.2",
        "abc",
        found.report.pack,
        "0123",
        digests,
        Opening("2026-11-27T09:30:05+00:00", "other", f"a reason {HOSTILE}", 3, {"P@1": Share(3, 4)}),
        changes_since(before, digests, {"P@1": 0.8}),
        "B. Signer",
    )
    aims = (Aim(Bar("P@1", "at_least", 0.99), 0.8, 0.75), Aim(Bar("false answers", "at_most", 0.5), 0.1, None))
    old = (OldLabel(labelled("u", "ants in it", "uncovered", (), kind="near"), "new-note"),)
    shown = study_page(found._replace(release=signed, aims=aims, report=replace(found.report, old=old)))
    reader = Reader(shown)
    for text in ("2026-11-28", "1.2", "abc", "Signed by B. Signer", "0 added, 6 changed, 1 gone", "gone-note"):
        assert text in reader.text
    for text in ("opened 3 times, last on 2026-11-27", "of other notes, of pack other", "1 of 2 missed", "ants in it"):
        assert text in reader.text
    assert ("P@1", "0.9000", "0.8000", "-0.1000", "worse") in rows_of(shown)
    assert ("P@1", "0.800", "0.750", "at least 0.99", "missed") in rows_of(shown)
    opened = re.findall(r"<details open><summary><h\d>(.*?)</h\d>", shown)
    assert {"Release gate", "Labels to look at again"} <= set(opened)
    folded = re.findall(r"<details><summary><h\d>(.*?)</h\d>", shown)
    assert {"Aims", "Changes", "Sealed figures", "Misses", "Safety sign-off"} <= set(folded)
    twin = study_json(found._replace(release=signed, aims=aims))
    assert twin["release"]["signed_by"] == "B. Signer"
    assert [aim["missed"] for aim in twin["aims"]] == [True, False]
    unsigned = Reader(study_page(found._replace(release=signed._replace(signed_by="", changes=None, sealed=None))))
    assert "Signed by" not in unsigned.text
    assert unsigned.text.count("on\xa0") + unsigned.text.count("on \xa0") == 3
    assert "no earlier release was named" in unsigned.text
    assert "There are no sealed figures" in unsigned.text


def rows_of(page: str) -> set[tuple[str, ...]]:
    return {tuple(re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)) for row in re.findall(r"<tr>(.*?)</tr>", page)}


def test_bands_whose_interval_misses_what_is_stated_are_marked(found: Study) -> None:
    bins = (Bin(0.0, 0.2, 0.1, Share(50, 100)), Bin(0.9, 1.0, 0.95, Share(95, 100)))
    shown = study_page(found._replace(report=replace(found.report, calibration=Calibration(bins, 0.1, 0.9))))
    assert "1 of 2 bands miss what they state" in shown
    assert [row[-1] for row in rows_of(shown) if row[:1] in {("0.0 to 0.2",), ("0.9 to 1.0",)}].count("MISSED") == 1
    assert "<details open><summary><h2>Confidence</h2>" in shown


def test_misses_stand_under_their_first_reason_with_titles(page: str) -> None:
    assert "<h3>Outranked</h3>" in page
    assert "outranked by screen-no-signal by " in page
    assert "<b>Screen shows no signal" in page or "[screen-no-signal]" in page


@pytest.mark.parametrize("count", [0, 1])
def test_few_questions_still_make_a_page(mini_pack_path: Path, count: int) -> None:
    with Pack(mini_pack_path) as pack:
        empty = study(pack, score_notes(pack, QUESTIONS[:count], [], "tune"))
    shown = study_page(empty)
    assert "Too few questions came out right and wrong" in shown
    assert ("No answerable question was asked." in shown) == (count == 0)
    json.dumps(study_json(empty), allow_nan=False)


def test_the_twin_holds_what_the_page_shows(found: Study) -> None:
    twin: dict[str, Any] = json.loads(json.dumps(study_json(found), allow_nan=False))
    assert twin["pack"] == found.report.pack
    assert twin["areas"]["disc"] == {"k": 1, "n": 1, "value": 1.0, "interval": [pytest.approx(0.025), 1.0]}
    assert twin["gate"]["passed"] is False
    assert twin["risk"]["points"][-1]["coverage"] == 1.0
    assert {bar["answered"] + bar["none"] for bar in twin["thresholds"]} == {len(QUESTIONS) - len(alarms(found))}
    (miss,) = [miss for miss in twin["misses"] if miss["id"] == "q3"]
    assert miss["question"] == QUESTIONS[2].question
    assert {cause["kind"] for cause in miss["causes"]} >= {"outranked"}
    assert miss["causes"][0]["points"] > 0


def alarms(found: Study) -> list[str]:
    return [o.question.id for o in found.report.outcomes if o.safety_first]


@pytest.mark.parametrize("width", [400, 1200])
def test_the_page_in_a_browser(page: str, tmp_path: Path, width: int) -> None:
    pytest.importorskip("playwright", reason="playwright drives the browser")
    if not CHROMIUM.is_file():
        pytest.skip(f"{CHROMIUM} is not installed")
    path = tmp_path / "page.html"
    path.write_text(page, "utf-8")
    ran = subprocess.run(
        [sys.executable, "-c", LOOKING, str(path), str(CHROMIUM), str(width)],
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert ran.returncode == 0, ran.stderr
    seen = json.loads(ran.stdout)
    assert seen["asked"] == [path.as_uri()]
    assert seen["told"] == []
    assert seen["wide"] <= 0
    assert seen["tall"] < TALLEST
    assert all(300 < plot <= width for plot in seen["plots"])
    assert seen["margin"] == "0px"
    assert seen["fill"] == "rgb(255, 255, 255)"
