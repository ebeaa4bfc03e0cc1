"""Sixty texts that would do harm, in every field that a rep types, through everything that is written out of a visit.

In a browser nothing runs and nothing is requested; to it and to two parsers of HTML the page has the very elements
that it has with plain words. The spreadsheet is Python's reader of CSV: what it finds in a cell begins no formula. The
characters that do are those of OWASP, CSV Injection (from memory). The page of the evaluation is looked at in
``tests/unit/evaluation/test_page.py``.
"""

from __future__ import annotations

import csv
import importlib.util
import io
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NamedTuple

import html5lib
import pytest
from markdown_it import MarkdownIt

from assistant.analysis.tokens import printable
from assistant.cli.visit_status import status
from assistant.journal.export import csv_text, json_lines
from assistant.journal.records import KINDS
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import period_report, visit_report
from assistant.visiting.report_forms import report_json, report_markdown
from assistant.visiting.report_message import handoff_text
from assistant.visiting.report_model import Report
from assistant.visiting.report_page import report_html
from tests.making import TRADE, answer_of
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER, PICTURE

CHROMIUM = Path("/usr/bin/chromium")
NARROW = 400
TOGETHER = 10
"""Visits in one journal."""
FORMULA = tuple("=+-@\t\r")
PAYLOADS = (
    "<script>alert(1)</script>",
    "<SCRIPT SRC=http://a.invalid/x.js></SCRIPT>",
    "</script><script>alert(1)//",
    "<scr<script>ipt>alert(1)</scr</script>ipt>",
    "<img src=x onerror=alert(1)>",
    "<img src=http://a.invalid/x.png>",
    '"><img src=x onerror=alert(1)>',
    "'><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)" x="',
    "' autofocus onfocus=alert(1) x='",
    "` onclick=alert(1) `",
    "<body onload=alert(1)>",
    "<svg onload=alert(1)>",
    "<svg><script xlink:href=data:,alert(1)></script></svg>",
    "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
    "<math><mi xlink:href='javascript:alert(1)'>x</mi></math>",
    "<iframe src=javascript:alert(1)></iframe>",
    "<iframe srcdoc='<script>alert(1)</script>'></iframe>",
    "<object data=data:text/html,<script>alert(1)</script>></object>",
    "<embed src=http://a.invalid/x.swf>",
    "<a href=javascript:alert(1)>x</a>",
    "<a href='java\tscript:alert(1)'>x</a>",
    "<form action=http://a.invalid><button>x</button></form>",
    "<input autofocus onfocus=alert(1)>",
    "<details open ontoggle=alert(1)>x</details>",
    "<video><source onerror=alert(1)></video>",
    "<meta http-equiv=refresh content='0;url=http://a.invalid'>",
    "<base href=http://a.invalid/>",
    "<link rel=stylesheet href=http://a.invalid/x.css>",
    "<style>@import 'http://a.invalid/x.css';</style>",
    "</style><style>*{background:url(http://a.invalid)}</style>",
    "</title><script>alert(1)</script>",
    "</main></body></html><script>alert(1)</script>",
    "<!--><script>alert(1)</script-->",
    "<![CDATA[<script>alert(1)</script>]]>",
    "<?xml version='1.0'?><x/>",
    "<template><script>alert(1)</script></template>",
    "<noscript><p title='</noscript><img src=x onerror=alert(1)>'>",
    "&lt;script&gt;alert(1)&lt;/script&gt;",
    "&#60;img src=x onerror=alert(1)&#62; &#x3c;b&#x3e;",
    "&amp;lt;b&amp;gt; &nbsp; &Tab; &colon;",
    "\uff1cscript\uff1ealert(1)\uff1c/script\uff1e",
    "javascript:alert(1)",
    "data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==",
    "[x](javascript:alert(1)) [y](http://a.invalid)",
    "![x](http://a.invalid/x.png)",
    "[x]: http://a.invalid 'y' <http://a.invalid> http://a.invalid www.a.invalid a@b.invalid",
    "# h | a | b | **b** _i_ ~~s~~ `c` > q\n\n- l\n1. n\n---\n```\nx",
    '=HYPERLINK("http://a.invalid","x")',
    "+1+cmd|' /C calc'!A0",
    "-2+3+cmd|' /C calc'!A0",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "\t=1+1",
    'a,"b";=1+1\r\n=2+2',
    "\x1b[2J\x1b[31mred\x1b[0m \x9b5n",
    "\x1b]8;;http://a.invalid\x07x\x1b]8;;\x07\x1b]52;c;eA==\x07",
    "\u202egnp.x\u202c \u2066a\u2069 \u200f\u061cb \u200bc\u00add \ufeffe",
    "nul\x00byte \x08\x7f\x85 \U000e0041\ud800 lone",
    "{{7*7}} ${7*7} #{7*7} <%= 7*7 %> %(x)s {0.__class__} {title}",
    "w" * 400,
)
BROWSE = """
import json, sys
from playwright.sync_api import sync_playwright

SEEN = '''() => ({
  elements: [...document.querySelectorAll('*')].map(e => [e.localName, ...e.getAttributeNames().sort()].join(' ')),
  text: document.body.innerText,
  width: document.documentElement.scrollWidth,
})'''
urls, width, executable = json.loads(sys.stdin.read()), *sys.argv[1:]
told = []
with sync_playwright() as playwright:
    browser = playwright.chromium.launch(executable_path=executable, args=["--no-sandbox"], timeout=0)
    page = browser.new_page(viewport={"width": int(width), "height": 800})
    happened = []
    page.on("request", lambda request: happened.append("request " + request.url))
    page.on("console", lambda message: happened.append("console " + message.text))
    page.on("pageerror", lambda error: happened.append("error " + str(error)))
    page.on("dialog", lambda dialog: (happened.append("dialog " + dialog.message), dialog.dismiss()))
    page.on("popup", lambda popup: happened.append("popup " + popup.url))
    for url in urls:
        happened.clear()
        page.goto(url, timeout=0)
        page.mouse.move(200, 200)
        page.mouse.click(200, 200)
        seen = page.evaluate(SEEN)
        told.append({**seen, "happened": list(happened)})
    browser.close()
print(json.dumps(told))
"""
"""Runs in a process of its own, since tests have no sockets."""


class Scene(NamedTuple):
    """The reports of one journal, with a visit for each of some texts, the last one not closed."""

    journal: Path
    texts: tuple[str, ...]
    reports: list[Report]

    @property
    def pages(self) -> list[tuple[Report, bool, tuple[str, ...]]]:
        """Each visit and the period of all, as the shop's copy and as the full one, with the texts that it holds."""
        held = [*((text,) for text in self.texts), self.texts]
        return [
            (report, full, texts) for report, texts in zip(self.reports, held, strict=True) for full in (False, True)
        ]


class Page(HTMLParser):
    """Gathers elements, with the names of their attributes, and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.text = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(" ".join([tag, *sorted(name for name, _ in attrs)]))

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment: {data}")

    def handle_pi(self, data: str) -> None:
        raise AssertionError(f"an instruction: {data}")

    def unknown_decl(self, data: str) -> None:
        raise AssertionError(f"a declaration: {data}")


def tree_of(text: str) -> tuple[list[str], str]:
    """Return elements and text as a parser finds them that repairs a page as browsers do (WHATWG HTML, 13.2)."""
    tree = html5lib.parse(text, treebuilder="dom")
    elements, words, nodes = [], "", [tree]
    while nodes:
        node = nodes.pop()
        assert node.nodeType != node.COMMENT_NODE
        if node.nodeType == node.ELEMENT_NODE:
            elements.append(" ".join([node.tagName, *sorted(node.attributes.keys())]))
        words += node.data if node.nodeType == node.TEXT_NODE else ""
        nodes += reversed(node.childNodes)
    return elements, words


def type_everywhere(recorder: Recorder, clock: Clock, text: str, number: int, folder: Path) -> None:
    """Type a text into every field that a rep has, on one visit; ``number`` keeps shops and stations apart."""
    one, two = f"{text} 1", f"{text} 2"
    recorder.open_visit(f"{text} {number}", text)
    recorder.arrive(text, text)
    recorder.switched_off(one, text)
    clock.pass_(minutes=1)
    recorder.see(one, "fault", condition=text, plays="no")
    recorder.hand_over(text, station=one, number=text, taken_by=text, due="2026-03-09")
    recorder.arrange(one, "fault", owner=text)
    recorder.see(two, "fault", condition=text)
    work = recorder.begin(DEMO, station=two, condition=text)
    recorder.part(text, "used", work=work)
    recorder.end(work, "withdrawn", remark=text)
    clock.pass_(minutes=1)
    recorder.release(two, by=text, number=text)
    recorder.part(text, "wanted", station=one)
    recorder.count(text, 1)
    recorder.swap(one, text, taken_out=one, put_in=two)
    recorder.incident("spill", text, station=one, told=text)
    recorder.remark(text, station=one)
    recorder.remark(text)
    recorder.photo(named(folder, text), station=one, shows=text)
    recorder.photo(named(folder, text, b"HEIC"), station=one, shows=text)
    open_work = recorder.begin(OTHER, station=one, condition=text)
    question = recorder.question(answer_of(None, question=printable(text)))
    recorder.judge(question, "not_helpful", text)
    clock.pass_(minutes=1)
    recorder.end(open_work, "not_mended", remark=text)


def named(folder: Path, text: str, kind: bytes = b"") -> Path:
    """Write a picture whose name is the text, as far as a file can have it."""
    name = text.replace("/", "\u2044").replace("\0", "").encode("utf-8", "replace").decode()[:60]
    path = folder / f"{name}.{'heic' if kind else 'png'}"
    path.write_bytes(b"\0\0\0\x18ftypheic" if kind else PICTURE)
    return path


def scene_of(folder: Path, texts: tuple[str, ...]) -> Scene:
    clock = Clock()
    (folder / "pictures").mkdir(parents=True)
    with Journal(folder / "journal.db", clock=clock) as journal:
        recorder = Recorder(journal, TRADE, clock=clock)
        for number, text in enumerate(texts):
            with journal.writing():
                type_everywhere(recorder, clock, text, number, folder / "pictures")
                if number < len(texts) - 1:
                    recorder.close_visit(text, taken_by=text, signed="typed", next_visit="2026-03-16")
            clock.pass_(minutes=1)
        reports = [visit_report(journal, number) for number in range(1, len(texts) + 1)]
        return Scene(folder / "journal.db", texts, [*reports, period_report(journal, "2026-01-01", "2026-12-31")])


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> list[Scene]:
    parts = [PAYLOADS[start : start + TOGETHER] for start in range(0, len(PAYLOADS), TOGETHER)]
    return [scene_of(tmp_path_factory.mktemp("hostile"), part) for part in parts]


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Scene:
    return scene_of(tmp_path_factory.mktemp("plain"), tuple(f"plain{number}" for number in range(TOGETHER)))


def test_there_are_sixty_different_payloads() -> None:
    assert len({printable(text) for text in PAYLOADS}) == len(PAYLOADS) == 60


def elements_and_text(text: str) -> tuple[list[str], str]:
    page = Page(text)
    return page.elements, page.text


@pytest.mark.parametrize("parse", [elements_and_text, tree_of])
def test_two_more_parsers_find_the_elements_of_a_plain_page_and_every_word(
    hostile: list[Scene], plain: Scene, parse: Callable[[str], tuple[list[str], str]]
) -> None:
    usual = [parse(report_html(report, full=full))[0] for report, full, _ in plain.pages]
    for scene in hostile:
        for elements, (report, full, texts) in zip(usual, scene.pages, strict=True):
            found, text = parse(report_html(report, full=full))
            assert found == elements, (texts, full)
            words = " ".join(text.split())
            assert [text for text in texts if printable(text) not in words] == []


@pytest.mark.skipif(importlib.util.find_spec("playwright") is None, reason="playwright is not installed")
@pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}")
def test_in_a_browser_nothing_runs_and_nothing_is_requested(hostile: list[Scene], plain: Scene, tmp_path: Path) -> None:
    pages = [report_html(report, full=full) for scene in (plain, *hostile) for report, full, _ in scene.pages]
    told = browse(tmp_path, pages)
    for url, seen in told.items():
        assert seen["happened"] == [f"request {url}"]
        assert seen["width"] <= NARROW, url
    elements = [seen["elements"] for seen in told.values()]
    assert elements == elements[: len(plain.pages)] * (len(hostile) + 1)


def browse(folder: Path, pages: list[str]) -> dict[str, dict[str, Any]]:
    urls = []
    for number, page in enumerate(pages):
        path = folder / f"{number}.html"
        path.write_text(page, "utf-8")
        urls.append(path.as_uri())
    done = subprocess.run(
        [sys.executable, "-c", BROWSE, str(NARROW), str(CHROMIUM)],
        input=json.dumps(urls),
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return dict(zip(urls, json.loads(done.stdout), strict=True))


def test_markdown_has_the_elements_of_a_plain_one(hostile: list[Scene], plain: Scene) -> None:
    parser = MarkdownIt("commonmark").enable(["table", "strikethrough"])

    def elements(report: Report, full: bool) -> list[str]:
        text = report_markdown(report, full=full)
        assert all(line.isprintable() for line in text.split("\n"))
        return Page(parser.render(text)).elements

    usual = [elements(report, full) for report, full, _ in plain.pages]
    for scene in hostile:
        for page, (report, full, texts) in zip(usual, scene.pages, strict=True):
            assert elements(report, full) == page, (texts, full)


def test_message_and_terminal_are_lines_that_a_terminal_does_not_act_on(
    hostile: list[Scene], plain: Scene, capsys: pytest.CaptureFixture[str]
) -> None:
    def lines(scene: Scene) -> tuple[list[int], str]:
        messages = [handoff_text(report).split("\n") for report in scene.reports]
        options = type("Options", (), {"home": str(scene.journal.parent), "corpus": None, "pack": None})
        assert status(options) == 0  # type: ignore[arg-type]
        told = capsys.readouterr().out
        assert all(line.isprintable() for text in (*messages, told.split("\n")) for line in text)
        return [*map(len, messages), told.count("\n")], told

    usual, _ = lines(plain)
    for scene in hostile:
        counts, told = lines(scene)
        assert counts == usual
        assert printable(scene.texts[-1]) in told


def test_json_is_json_and_holds_every_word(hostile: list[Scene]) -> None:
    for scene in hostile:
        for report, full, texts in scene.pages:
            written = report_json(report, full=full)
            assert all(line.isprintable() for line in written.split("\n"))
            assert set(map(printable, texts)) <= set(texts_in(json.loads(written)))
        with Journal(scene.journal) as journal:
            lines = list(json_lines(journal))
        assert all(line.isprintable() for line in lines)
        held = {text for line in lines for text in texts_in(json.loads(line))}
        assert set(map(printable, scene.texts)) <= held


def texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts_in(inner)


def test_no_cell_of_a_spreadsheet_begins_a_formula(hostile: list[Scene]) -> None:
    guarded = set()
    for scene in hostile:
        with Journal(scene.journal) as journal:
            tables = {kind: csv_text(journal, kind) for kind in KINDS}
        for kind, text in tables.items():
            assert all(line.isprintable() for line in text.split("\r\n"))
            rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
            assert {len(row) for row in rows} == {len(kind._fields)}
            cells = [cell for row in rows for cell in row]
            assert [cell for cell in cells if cell.startswith(FORMULA)] == []
            guarded |= {cell[1:] for cell in cells if cell.startswith("'")}
    wanted = {made for text in PAYLOADS if (made := printable(text)).startswith(FORMULA)}
    assert len(wanted) == 5
    assert wanted <= guarded
