"""The report as a page in a browser: it needs nothing else, fits a phone and one sheet of A4, and can be read."""

from __future__ import annotations

import importlib.util
import json
import re
import subprocess
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_page import report_html
from tests.making import TRADE
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.report_scene import whole_visit
from tests.unit.visiting.scene import five_stations

CHROMIUM = Path("/usr/bin/chromium")
NARROW = 400
MOST_HEIGHT = 1600
NINE_POINTS = 12.0
"""In CSS pixels: one point is 4/3 of one (CSS Values and Units 3, from memory)."""
SIGNING_HEIGHT = 10 * 96 / 25.4
"""Ten millimetres in CSS pixels: room for a signature (common practice)."""
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, for text of ordinary size (from memory)."""
HOSTILE = "<script>console.log(1)</script><img src=http://a.invalid/x onerror=alert(1)> " + "long" * 100

BROWSE = """
import json, sys
from playwright.sync_api import sync_playwright

CONTRAST = '''() => {
  const light = text => {
    const [r, g, b] = text.match(/[0-9.]+/g).slice(0, 3).map(v => v / 255)
      .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = element => {
    for (let at = element; at; at = at.parentElement) {
      const found = getComputedStyle(at).backgroundColor;
      if (found !== 'rgba(0, 0, 0, 0)') return found;
    }
    return 'rgb(255, 255, 255)';
  };
  return [...document.querySelectorAll('main *')].map(element => {
    const pair = [light(getComputedStyle(element).color), light(ground(element))].sort((a, b) => b - a);
    return (pair[0] + 0.05) / (pair[1] + 0.05);
  });
}'''

MARKED = '''() => [...document.querySelectorAll('.off')].map(row => {
  const style = getComputedStyle(row);
  return [parseFloat(style.borderLeftWidth), getComputedStyle(row.cells[0]).fontWeight];
})'''

url, width, executable, pdf = sys.argv[1:]
with sync_playwright() as playwright:
    browser = playwright.chromium.launch(executable_path=executable, args=["--no-sandbox"], timeout=0)
    page = browser.new_page(viewport={"width": 1000, "height": 800})
    seen = {"requests": [], "console": [], "errors": [], "dialogs": []}
    page.on("request", lambda request: seen["requests"].append(request.url))
    page.on("console", lambda message: seen["console"].append(message.text))
    page.on("pageerror", lambda error: seen["errors"].append(str(error)))
    page.on("dialog", lambda dialog: (seen["dialogs"].append(dialog.message), dialog.dismiss()))
    page.goto(url, timeout=0)
    page.pdf(path=pdf, prefer_css_page_size=True)
    seen["contrast"] = page.evaluate(CONTRAST)
    seen["language"] = page.evaluate("document.documentElement.lang")
    seen["title"] = page.title()
    seen["tags"] = page.evaluate("[...document.querySelectorAll('*')].map(e => e.localName)")
    page.set_viewport_size({"width": int(width), "height": 800})
    seen["width"] = page.evaluate("document.documentElement.scrollWidth")
    seen["height"] = page.evaluate("document.documentElement.scrollHeight")
    seen["off"] = page.evaluate("[...document.querySelectorAll('.off')].map(row => row.innerText)")
    seen["marked"] = page.evaluate(MARKED)
    seen["pictures"] = page.evaluate("[...document.images].map(i => [i.complete, i.naturalWidth, i.naturalHeight])")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 720, "height": 1040})
    seen["sizes"] = page.evaluate("[...document.querySelectorAll('main *')].map(e => "
                                  "parseFloat(getComputedStyle(e).fontSize))")
    seen["sign"] = page.evaluate("[...document.querySelectorAll('.sign span')].map(e => "
                                 "[e.innerText, e.getBoundingClientRect().height])")
    browser.close()
print(json.dumps(seen))
"""
"""Runs in a process of its own, since tests have no sockets."""

pytestmark = [
    pytest.mark.skipif(importlib.util.find_spec("playwright") is None, reason="playwright is not installed"),
    pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}"),
]


def browse(folder: Path, fill: Callable[[Recorder, Clock], object]) -> dict[str, Any]:
    """Return what a browser tells of the page of a visit; the print is ``report.pdf`` in the folder."""
    clock = Clock()
    page = folder / "report.html"
    with Journal(folder / "journal.db", clock=clock) as journal:
        fill(Recorder(journal, TRADE, clock=clock), clock)
        page.write_text(report_html(visit_report(journal)), "utf-8")
    words = [sys.executable, "-c", BROWSE, page.as_uri(), str(NARROW), str(CHROMIUM), str(folder / "report.pdf")]
    done = subprocess.run(words, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    seen: dict[str, Any] = json.loads(done.stdout)
    assert seen["requests"] == [page.as_uri()]
    return seen


def hostile_visit(recorder: Recorder, _: Clock) -> None:
    recorder.open_visit(HOSTILE, HOSTILE)
    recorder.see(HOSTILE, "fault", condition=HOSTILE)
    recorder.remark(HOSTILE, station=HOSTILE)
    recorder.hand_over(HOSTILE, station=HOSTILE, number=HOSTILE)
    recorder.close_visit(HOSTILE, taken_by=HOSTILE)


def sheets(folder: Path) -> int:
    """Return how many pages were printed, after a look at their size."""
    printed = (folder / "report.pdf").read_bytes()
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([0-9.]+) ([0-9.]+)\]", printed)
    assert {tuple(round(float(points)) for points in box) for box in boxes} == {(595, 842)}
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


@pytest.mark.parametrize("scene", [five_stations, whole_visit])
def test_the_page_stands_alone_and_can_be_read(tmp_path: Path, scene: Callable[[Recorder, Clock], object]) -> None:
    seen = browse(tmp_path, scene)
    assert seen["console"] == seen["errors"] == seen["dialogs"] == []
    assert seen["width"] <= NARROW
    assert seen["height"] < MOST_HEIGHT
    assert min(seen["contrast"]) >= LEAST_CONTRAST
    assert (seen["language"], seen["title"]) == ("en", "Visit 1, shop S-014")
    levels = [int(tag[1]) for tag in seen["tags"] if tag in {"h1", "h2", "h3", "h4"}]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("scene", [five_stations, whole_visit])
def test_a_visit_prints_on_one_sheet_that_can_be_read_and_signed(
    tmp_path: Path, scene: Callable[[Recorder, Clock], object]
) -> None:
    seen = browse(tmp_path, scene)
    assert sheets(tmp_path) == 1
    assert min(seen["sizes"]) >= NINE_POINTS
    assert [text.partition(":")[0] for text, _ in seen["sign"]] == ["Name", "Date", "Signature"]
    assert all(height >= SIGNING_HEIGHT for _, height in seen["sign"])


def test_what_is_out_of_service_is_marked_by_words_weight_and_a_bar(tmp_path: Path) -> None:
    seen = browse(tmp_path, whole_visit)
    [row] = seen["off"]
    assert row.startswith("A-0103")
    assert row.endswith("OUT OF SERVICE: leave it off")
    assert seen["marked"] == [[7, "700"]]


def test_the_pictures_are_drawn_without_a_request(tmp_path: Path) -> None:
    seen = browse(tmp_path, whole_visit)
    assert seen["pictures"] == [[True, 320, 240], [True, 240, 320]]


def test_hostile_text_does_nothing_in_a_browser(tmp_path: Path) -> None:
    seen = browse(tmp_path, hostile_visit)
    assert seen["console"] == seen["errors"] == seen["dialogs"] == []
    assert not {"script", "img"} & set(seen["tags"])
    assert seen["width"] <= NARROW
