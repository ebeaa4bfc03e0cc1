"""The report holds all of a visit in every form, and nothing typed becomes markup."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import DESK_ASKS, Report, StationReport, VisitReport, period_report, visit_report
from assistant.visiting.report_forms import handoff_text, report_html, report_json, report_markdown
from assistant.visiting.rounds import OpenPoint, sum_of
from assistant.visiting.walk import tick
from tests.making import answer_of
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, five_stations

FORMS: list[Callable[[Report], str]] = [report_markdown, report_html, report_json]
FACTS = (
    "S-014",
    "Ina",
    "A-1",
    "lamp dark",
    "If the lamp is lit: the work is done.",
    "no spare lead",
    "pad-other",
    "WARNING: A cut lead has bare wires. They can burn a hand. Unplug it first.",
    "code SC-01, no picture",
    "J-77",
    "desk, early shift",
    "2026-03-09",
    "sc01.jpg",
    "withdrawn from service",
    "sign hung on the plug",
    "row is tidy",
    "wired pad",
    "video lead",
    "2026-03-02 09:00 UTC",
)
HOSTILE = "<script>alert(1)</script> **b** [x](javascript:y) | `c` \x1b[31m \u202e =HYPERLINK(1) http://a.invalid # h"
KEPT = "<script>alert(1)</script> **b** [x](javascript:y) | `c` [31m =HYPERLINK(1) http://a.invalid # h"


class Page(HTMLParser):
    """Gathers tags and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not any(name.startswith("on") for name, _ in attrs)

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("form", FORMS)
def test_every_fact_is_in_every_form(
    recorder: Recorder, journal: Journal, clock: Clock, form: Callable[[Report], str]
) -> None:
    five_stations(recorder, clock)
    text = form(visit_report(journal))
    if form is report_json:
        text = json.dumps(json.loads(text), ensure_ascii=False).replace(
            "2026-03-02T09:00:00.000Z", "2026-03-02 09:00 UTC"
        )
    missing = [fact for fact in FACTS if fact not in text]
    assert missing == []


def test_a_chain_tells_what_led_on_to_what(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    station = visit_report(journal).visits[0].stations[2]
    assert [(work.note, work.led_by, work.outcome) for work in station.works] == [
        ("pad-demo", "", "not mended"),
        ("pad-other", "pad-demo", "replaced"),
    ]
    assert "step 3 skipped (no spare lead): Fit the new wired pad." in station.works[0].lines
    assert not station.works[0].resumed


def test_a_work_taken_up_again_says_so(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    work = recorder.begin(DEMO, station="A-1")
    clock.pass_(hours=20)
    recorder.end(work, "mended")
    [told] = visit_report(journal).visits[0].stations[0].works
    assert told.resumed
    assert told.minutes == 0


def test_a_work_taken_up_at_a_later_visit_is_in_both_reports(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    first = recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="lamp dark")
    work = recorder.begin(DEMO, station="A-1", condition="lamp dark")
    clock.pass_(minutes=1)
    recorder.close_visit()
    clock.pass_(days=1)
    second = recorder.open_visit("S-1")
    clock.pass_(minutes=1)
    recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 0))
    recorder.end(work, "mended")
    clock.pass_(minutes=1)
    recorder.close_visit()
    third = recorder.open_visit("S-1")
    [before] = visit_report(journal, first.id).visits[0].stations
    [after] = visit_report(journal, second.id).visits[0].stations
    assert (before.works[0].outcome, before.works[0].lines, before.state) == (
        "",
        (),
        "plays with a fault, or does not play",
    )
    assert (after.works[0].outcome, len(after.works[0].lines), after.state) == ("mended", 1, "plays")
    assert after.works[0].resumed
    assert visit_report(journal, third.id).visits[0].stations == ()


def test_a_withdrawn_station_is_withdrawn_also_where_it_was_not_looked_at_again(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.escalate("lead still cut", station="A-5")
    [station] = visit_report(journal).visits[0].stations
    assert station.state == "withdrawn from service"
    told = dict(zip(DESK_ASKS, station.escalations[0], strict=True))
    assert (told["fault as seen"], told["safe"]) == ("lead cut", "taken out of use")


def test_the_desk_gets_what_it_asks_for_and_gaps_are_told(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit = five_stations(recorder, clock, close=False)
    recorder.escalate("smells odd", station="A-9")
    stations = {station.station: station for station in visit_report(journal, visit.id).visits[0].stations}
    full = dict(zip(DESK_ASKS, stations["A-4"].escalations[0], strict=True))
    assert full["fault as seen"] == "code SC-01, no picture"
    assert full["job number"] == "J-77"
    assert full["pictures"] == "sc01.jpg (the code)"
    assert full["safe"] == full["remarks"] == "not recorded"
    bare = dict(zip(DESK_ASKS, stations["A-9"].escalations[0], strict=True))
    assert bare["job number"] == bare["fault as seen"] == bare["checks made"] == "not recorded"
    assert bare["state"] == "not checked"


def test_checks_are_told_in_order_with_what_each_showed(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock, close=False)
    recorder.escalate("still dark", station="A-3")
    station = visit_report(journal).visits[0].stations[2]
    told = dict(zip(DESK_ASKS, station.escalations[0], strict=True))
    assert told["checks made"] == (
        "pad-demo: Look at the lamp. If the lamp blinks; Fit the new wired pad. skipped: no spare lead; not mended / "
        "pad-other: Look at the lamp. None of these; Fit the new wired pad. If not; replaced"
    )


def test_what_was_asked_is_told(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    recorder.question(answer_of(DEMO, question="how to fit it"))
    recorder.question(answer_of(None, question="when do i get paid"))
    visit = visit_report(journal).visits[0]
    assert visit.asked == ("how to fit it", "when do i get paid")
    assert visit.unanswered == ("when do i get paid",)


def test_the_hand_off_is_short_and_drops_no_hand_over(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    text = handoff_text(visit_report(journal))
    assert len(text) < 1500
    for fact in ("A-1: plays", "A-5: withdrawn", "J-77", "2026-03-09", "1 video lead", "no spare lead"):
        assert fact in text


def test_the_hand_off_drops_nothing_that_belongs_to_no_station_or_was_withdrawn_before(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.escalate("the row has no power", job="J-5")
    text = handoff_text(visit_report(journal))
    assert "J-5" in text
    assert "A-5: withdrawn from service since 2026-03-02" in text


def test_parts_of_the_visit_do_not_stand_under_a_station(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    text = report_markdown(visit_report(journal))
    last = text.partition("## Station A-5")[2].partition("## Open points")[0]
    assert "sign hung on the plug" in last
    assert "wired pad" not in last
    assert "2 wired pad" in text.partition("## Station A-2")[0]


def test_questions_and_the_sum_of_a_period_are_told(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.question(answer_of(DEMO, question="how to fit it"))
    recorder.close_visit()
    five_stations(recorder, clock)
    text = report_markdown(period_report(journal, "2026-03-01", "2026-03-05"))
    assert "- how to fit it" in text
    assert "2 visits. 5 stations seen" in text


def hostile_visit(recorder: Recorder) -> None:
    recorder.open_visit(HOSTILE, HOSTILE)
    recorder.see(HOSTILE, "fault", condition=HOSTILE)
    recorder.photo(HOSTILE.replace("/", ""), station=HOSTILE, shows=HOSTILE)
    recorder.remark(HOSTILE, station=HOSTILE)
    recorder.part(HOSTILE, "wanted", station=HOSTILE)
    recorder.escalate(HOSTILE, station=HOSTILE, job=HOSTILE)
    recorder.question(answer_of(None, question=HOSTILE))
    recorder.close_visit(HOSTILE)


def test_hostile_text_is_text_on_the_page(recorder: Recorder, journal: Journal) -> None:
    hostile_visit(recorder)
    text = report_html(visit_report(journal))
    page = Page(text)
    assert set(page.tags) <= {
        *("html", "head", "meta", "title", "style", "body", "main", "h1", "h2", "h3", "p", "strong", "ul", "li"),
        *("table", "caption", "thead", "tbody", "tr", "th", "td"),
    }
    assert KEPT in page.text
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert re.findall(r"https?://", text) == re.findall(r"https?://", page.text)
    assert "default-src 'none'" in text


def test_hostile_text_is_text_in_markdown(recorder: Recorder, journal: Journal) -> None:
    """The parser is markdown-it-py, which keeps to CommonMark; tables and bare links as in the common extensions."""
    hostile_visit(recorder)
    text = report_markdown(visit_report(journal))
    page = Page(MarkdownIt("commonmark").enable("table").render(text))
    assert set(page.tags) <= {"h1", "h2", "h3", "p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td"}
    assert KEPT in page.text
    assert "\x1b" not in text
    widths = [row.replace("\\|", "").count("|") for row in text.split("\n") if row.startswith("|")]
    assert set(widths) <= {3, 5, 6}


@pytest.mark.parametrize("start", ["- item", "+ item", "1. item", "12) item", "= x", "# h", "> q", "    code", "~~~"])
def test_what_begins_like_markup_is_text(recorder: Recorder, journal: Journal, start: str) -> None:
    recorder.open_visit("S-1")
    recorder.remark(start)
    page = Page(MarkdownIt("commonmark").render(report_markdown(visit_report(journal))))
    assert "ol" not in page.tags
    assert page.tags.count("ul") == 1
    assert start.strip() in page.text


_MARKS = st.text(
    st.sampled_from(list("\\`*_{}[]<>#|~&;!@:/.()-+=019 ab'\"")) | st.characters(), min_size=1, max_size=30
)


@given(_MARKS.filter(printable))
def test_any_text_stays_text_in_markdown_and_on_the_page(text: str) -> None:
    """The parser is markdown-it-py, which keeps to CommonMark, with tables and strikethrough."""
    station = StationReport(text, text, text, (text,), (), (text,), (), (), (text,), ())
    point = OpenPoint("part", text, text, "", text, text)
    visit = VisitReport(1, text, text, "", "", text, (station,), None, sum_of([]), (point,), (), (text,), (text,))
    report = Report(text, "", "", (visit,))
    plain = visit._replace(store="x", rep="x", remark="x")
    usual = StationReport("x", "x", "x", ("x",), (), ("x",), (), (), ("x",), ())
    plain = plain._replace(stations=(usual,), open_points=(OpenPoint("part", "x", "x", "", "x", "x"),))
    expected = Report("x", "", "", (plain._replace(asked=("x",), unanswered=("x",)),))
    parser = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    told, usually = Page(parser.render(report_markdown(report))), Page(parser.render(report_markdown(expected)))
    assert told.tags == usually.tags
    assert told.text.count(printable(text)) >= usually.tags.count("li")
    assert Page(report_html(report)).tags == Page(report_html(expected)).tags


def test_an_empty_and_an_open_visit(recorder: Recorder, journal: Journal) -> None:
    with pytest.raises(UsageError, match="no such visit"):
        visit_report(journal)
    recorder.open_visit("S-1")
    for form in (*FORMS, handoff_text):
        assert "S-1" in form(visit_report(journal))
    assert "still open" in report_markdown(visit_report(journal))
    with pytest.raises(UsageError, match="no such visit"):
        visit_report(journal, 7)


def test_a_period_has_totals_and_figures(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=10)
    recorder.open_visit("S-015")
    report = period_report(journal, "2026-03-01", "2026-03-05")
    assert [visit.store for visit in report.visits] == ["S-014"]
    assert report.totals == report.visits[0].totals
    text = report_markdown(report)
    for figure in report.figures:
        assert figure.name in text
        assert figure.definition in text.replace("\\", "")
    assert report_markdown(period_report(journal, "2020-01-01", "2020-01-02")).count("No visit in this time.") == 1
