"""The report holds all of a visit in every form, in the shop's copy and the full one; nothing typed becomes markup."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.records import Signed
from assistant.journal.store import Journal
from assistant.visiting import photos, report_page
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import period_report, visit_report
from assistant.visiting.report_forms import report_json, report_markdown
from assistant.visiting.report_message import handoff_text
from assistant.visiting.report_model import HandOver, IncidentReport, Picture, Report, StationReport, VisitReport
from assistant.visiting.report_page import report_html
from assistant.visiting.report_words import totals_line
from assistant.visiting.rounds import sum_of
from assistant.visiting.walk import tick
from tests.making import answer_of
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.report_scene import DEVICE, whole_visit
from tests.unit.visiting.scene import DEMO, OTHER, five_stations, picture, work_through

FORMS: list[Callable[..., str]] = [report_markdown, report_html, report_json]
FACTS = (
    *("S-014", "Ina", "Mr Adeyemi", "no work near the tills before ten"),
    *("stick drifts to the left", "smoke from the plug", "no picture, code SC-01", "the sound was too loud"),
    *("mended", "taken out of service", "does not play", "J-77", "support desk", "2026-03-09"),
    *("a near miss", "a guest reached for the warm plug", "cola on the floor, wiped up"),
    *("headset", "H-1", "H-2", "wired pad", "video lead", "the plug, unplugged"),
    *("sign hung on the plug", "row is tidy", "2026-03-16", "2026-03-02"),
)
ONLY_FULL = ("If the lamp is lit: the work is done.", "how to fit it", "when do i get paid", "checks made")
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


def asked(recorder: Recorder) -> None:
    recorder.question(answer_of(DEMO, question="how to fit it"))
    recorder.question(answer_of(None, question="when do i get paid"))


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("form", FORMS)
def test_every_fact_is_in_every_form(
    recorder: Recorder, journal: Journal, clock: Clock, form: Callable[..., str], full: bool
) -> None:
    whole_visit(recorder, clock)
    text = form(visit_report(journal), full=full)
    assert [fact for fact in FACTS if fact not in text] == []
    assert str(journal.path.parent) not in text


@pytest.mark.parametrize("form", FORMS)
def test_steps_checks_and_questions_are_in_the_full_copy_alone(
    recorder: Recorder, journal: Journal, clock: Clock, form: Callable[..., str]
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="lamp dark")
    work = work_through(recorder, clock, DEMO, "A-1", "escalated", choice=0)
    recorder.hand_over("no spare", station="A-1", work=work)
    asked(recorder)
    recorder.close_visit()
    report = visit_report(journal)
    facts = [fact.replace("checks made", "checks") if form is report_json else fact for fact in ONLY_FULL]
    full = form(report, full=True)
    assert [fact for fact in facts if fact not in full] == []
    shop = form(report).replace('"checks": ""', "")
    assert [fact for fact in facts if fact in shop] == []
    assert "question" not in totals_line(report.visits[0].totals)
    assert "how to fit it" not in handoff_text(report)


def test_a_line_a_station_tells_found_done_left(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    stations = visit_report(journal).visits[0].stations
    assert [(s.station, s.found, s.done, s.left) for s in stations] == [
        ("A-0103", "smoke from the plug", ("Another pad: taken out of service, 2 min",), "out of service"),
        ("A-0101", "passes", (), "plays"),
        ("A-0102", "stick drifts to the left", ("Pad lamp stays dark: mended, 2 min",), "plays"),
        (
            "A-0104",
            "switched off by the staff: the sound was too loud; then no picture, code SC-01",
            ("handed over, desk's number J-77",),
            "does not play",
        ),
        ("A-0105", "passes", ("headset exchanged",), "plays"),
    ]


def test_what_was_seen_after_the_work_is_part_of_what_was_done(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="lamp dark")
    work_through(recorder, clock, DEMO, "A-1", "mended", choice=0)
    recorder.see("A-1", "pass")
    [station] = visit_report(journal).visits[0].stations
    assert (station.found, station.done) == ("lamp dark", ("Pad lamp stays dark: mended, 2 min", "seen again: passes"))


def test_a_work_on_the_way_of_another_is_in_the_full_copy_alone(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="lamp dark")
    work = recorder.begin(DEMO, station="A-1")
    work_through(recorder, clock, OTHER, "A-1", "done", parent=work, choice=2)
    recorder.end(work, "mended", minutes=0.4)
    report = visit_report(journal)
    assert report.visits[0].stations[0].done == ("Pad lamp stays dark: mended, 1 min",)
    assert "Another pad" not in report_markdown(report)
    assert "Another pad" in report_markdown(report, full=True)


def test_stations_that_were_not_seen_are_named(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.see("A-1", "pass")
    report = visit_report(journal)
    assert report.visits[0].unseen == ("A-2", "A-3", "A-4")
    assert "Not seen: A-2, A-3, A-4." in report_markdown(report)


def test_a_release_is_told_with_who_and_under_what_number(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.release("A-5", by="night desk", number="R-9")
    clock.pass_(minutes=1)
    recorder.see("A-5", "pass")
    [station] = visit_report(journal).visits[0].stations
    assert station.found == "out of service since Mon 2026-03-02: lead cut; then passes"
    assert station.done == ("released by night desk on Tue 2026-03-03, number R-9",)
    assert station.left == "plays"
    assert "OUT OF SERVICE" not in handoff_text(visit_report(journal))


def test_a_chain_tells_what_led_on_to_what(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    station = visit_report(journal).visits[0].stations[3]
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
    assert (before.works[0].outcome, before.works[0].lines, before.left) == ("", (), "has a fault")
    assert before.done == ("Pad lamp stays dark: not finished",)
    assert (after.works[0].outcome, len(after.works[0].lines), after.left) == ("mended", 1, "plays")
    assert after.found == "lamp dark"
    assert after.works[0].resumed
    assert visit_report(journal, third.id).visits[0].stations == ()


def test_a_station_out_of_service_is_told_also_where_it_was_not_looked_at_again(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.see("A-1", "pass")
    first, _ = visit_report(journal).visits[0].stations
    assert (first.found, first.done, first.left) == (
        "out of service since Mon 2026-03-02: lead cut",
        (),
        "out of service",
    )
    text = report_markdown(visit_report(journal))
    assert "| A-5 | out of service since Mon 2026-03-02: lead cut |  | OUT OF SERVICE: leave it off |" in text


def test_the_desk_gets_what_it_asks_for(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock, close=False)
    recorder.hand_over("smells odd", station="A-9")
    full, bare = visit_report(journal).visits[0].handed
    assert full == HandOver(
        "A-4",
        "code SC-01, no picture",
        "2026-03-02T09:16:00.000Z",
        "no spare lead",
        "J-77",
        "desk, early shift",
        "2026-03-09",
    )
    assert (bare.station, bare.fault, bare.reason, bare.number) == ("A-9", "", "smells odd", "")
    text = report_markdown(visit_report(journal), full=True)
    assert "A-9: smells odd; since 2026-03-02 09:21 UTC; desk's number not told" in text
    assert visit_report(journal).visits[0].stations[-1][:1] == ("A-9",)
    assert "| A-9 | not looked at | handed over | not checked |" in text


def test_checks_are_told_in_order_with_what_each_showed(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock, close=False)
    recorder.hand_over("still dark", station="A-3")
    assert visit_report(journal).visits[0].handed[1].checks == (
        "Pad lamp stays dark: Look at the lamp. If the lamp blinks; Fit the new wired pad. skipped: no spare lead; "
        "not mended / Another pad: Look at the lamp. None of these; Fit the new wired pad. If not; replaced"
    )


def test_what_was_asked_is_told(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    asked(recorder)
    visit = visit_report(journal).visits[0]
    assert visit.asked == ("how to fit it", "when do i get paid")
    assert visit.unanswered == ("when do i get paid",)


def test_the_message_names_what_is_out_of_service_first(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    lines = handoff_text(visit_report(journal)).splitlines()
    assert lines[0] == (
        "OUT OF SERVICE: A-0103, shop S-014: smoke from the plug, since 2026-03-02 09:07 UTC; "
        "NOT HANDED OVER to the support desk yet."
    )
    assert lines[1] == "Shop S-014, visit 1 by Ina, Mon 2026-03-02, in 09:00 UTC, out 09:12 UTC."
    begun = [line.partition(":")[0] for line in lines[2:]]
    assert begun == [
        *("Hurt, or nearly", "Hurt, or nearly", "Handed over", "5 stations seen"),
        *("A-0103", "A-0101", "A-0102", "A-0104", "A-0105", "Wanted"),
    ]


def test_the_message_tells_that_what_is_out_of_service_was_handed_over(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    whole_visit(recorder, clock, off_handed=True)
    first = handoff_text(visit_report(journal)).splitlines()[0]
    assert first.endswith("handed over, desk's number J-80, by Tue 2026-03-03.")


def test_the_message_drops_nothing_that_was_taken_out_of_service_before(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    five_stations(recorder, clock)
    recorder.open_visit("S-014")
    recorder.see("A-1", "fault", condition="hums")
    work_through(recorder, clock, DEMO, "A-1", "withdrawn", condition="hums")
    recorder.hand_over("the row has no power", number="J-5")
    text = handoff_text(visit_report(journal))
    assert [line.partition(",")[0] for line in text.splitlines()[:3]] == [
        "OUT OF SERVICE: A-5",
        "OUT OF SERVICE: A-1",
        "Shop S-014",
    ]
    assert "Handed over: no station: the row has no power; since" in text
    assert "J-5" in text
    assert "Still open, A-4: code SC-01, no picture (desk's number J-77)" in text


def test_the_message_is_short_and_has_no_empty_line(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    text = handoff_text(visit_report(journal))
    assert len(text) < 1500
    assert "\n\n" not in text
    assert not re.search(r"not recorded|question|1 pictures|1 stations|record id|\b1 minutes", text)


def test_one_matter_is_one_row(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    recorder.open_visit("S-014")
    recorder.arrange("A-0103", "withdrawn", owner="Mr Adeyemi", due="2026-03-05")
    text = report_markdown(visit_report(journal)).partition("What is open")[2]
    rows = [row for row in text.splitlines() if row.startswith("| A-")]
    assert rows == [
        (
            "| A-0103 | smoke from the plug: leave it off until it is released; "
            "not handed over to the support desk yet | Mr Adeyemi | Thu 2026-03-05 |"
        ),
        "| A-0104 | no picture, code SC-01 (desk's number J-77) | support desk | Mon 2026-03-09 |",
        "| A-0104 | 1 video lead: order it, or fit it if it has come | rep |  |",
    ]


def test_what_is_empty_is_left_out(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    recorder.close_visit()
    assert report_markdown(visit_report(journal)).splitlines()[2:-1] == [
        "Date: Mon 2026-03-02. In: 09:00 UTC. Out: 09:00 UTC.",
        "",
        "1 station seen: 1 pass.",
        "",
        "Stations",
        "",
        "| station | found | done | left |",
        "| --- | --- | --- | --- |",
        "| A-1 | passes |  | plays |",
        "",
    ]


@pytest.mark.parametrize(("signed", "place"), [("typed", False), ("paper", True), ("", True)])
def test_the_store_signs_by_name_or_on_a_line(
    recorder: Recorder, journal: Journal, clock: Clock, signed: Signed, place: bool
) -> None:
    whole_visit(recorder, clock, signed=signed)
    report = visit_report(journal)
    for text in (report_html(report), report_markdown(report)):
        assert ("ignature:" in text) == place
        assert ("(name typed)" in text) != place
        assert "Adeyemi" in text


def test_times_are_those_of_the_place(
    recorder: Recorder, journal: Journal, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "XXX-5")
    time.tzset()
    try:
        clock.pass_(hours=10)
        recorder.open_visit("S-1")
        recorder.see("A-1", "fault", condition="lamp dark")
        work_through(recorder, clock, DEMO, "A-1", "withdrawn")
        clock.pass_(minutes=20)
        recorder.close_visit()
        report = visit_report(journal)
        text = report_markdown(report, full=True) + handoff_text(report) + report_html(report)
        assert "Mon 2026-03-02. In: 00:00" not in text
        assert "Date: Tue 2026-03-03. In: 00:00 XXX. Out: 00:23 XXX." in text
        assert "UTC" not in text.replace("UTC&#", "")
        assert [visit.id for visit in period_report(journal, "2026-03-03", "2026-03-03").visits] == [1]
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_visit_over_midnight_tells_the_day_of_its_end(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    clock.pass_(hours=20)
    recorder.close_visit()
    assert "In: 09:00 UTC. Out: 2026-03-03 05:00 UTC." in report_markdown(visit_report(journal))


def test_pictures_are_in_the_page_small_and_tell_no_place(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    text = report_html(visit_report(journal))
    assert len(re.findall(r'<img src="data:image/jpeg;base64,[A-Za-z0-9+/=]+" alt="', text)) == 2
    assert "img-src data:;" in text
    assert DEVICE not in text


def test_without_pillow_the_pictures_are_named(
    recorder: Recorder, journal: Journal, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole_visit(recorder, clock)
    for module in (photos, report_page):
        monkeypatch.setattr(module, "can_make_small", lambda: False)
    text = report_html(visit_report(journal))
    assert "<img" not in text
    assert "A-0103: the plug, unplugged (plug.jpg)" in text
    assert "Small pictures need Pillow" in text


def test_a_picture_whose_copy_is_gone_is_named(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    for copy in (journal.path.parent / photos.FOLDER).iterdir():
        copy.unlink()
    text = report_html(visit_report(journal))
    assert "<img" not in text
    assert "the row (row.jpg)" in text
    assert "Pillow" not in text


def test_an_entry_that_was_taken_back_is_in_no_report(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    recorder.remark("by mistake")
    recorder.undo()
    for form in (*FORMS, handoff_text):
        assert "by mistake" not in form(visit_report(journal))


@pytest.mark.parametrize(
    ("outcomes", "minutes", "told"),
    [
        ((), 0.0, "No station seen."),
        ((("mended", 1),), 12.4, "No station seen. Worked on: 1 mended, 12 minutes."),
        ((("mended", 2), ("not_mended", 1)), 0.2, "No station seen. Worked on: 2 mended, 1 not mended, 1 minute."),
        ((("done", 1), ("escalated", 1), ("led_on", 1)), 0.0, "No station seen."),
    ],
)
def test_totals_in_words(outcomes: tuple[tuple[str, int], ...], minutes: float, told: str) -> None:
    assert totals_line(sum_of([])._replace(outcomes=outcomes, minutes=minutes)) == told


def test_totals_leave_out_what_is_none_and_count_right(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    assert totals_line(visit_report(journal).visits[0].totals) == (
        "5 stations seen: 2 pass, 3 faults. Worked on: 1 mended, 1 taken out of service, 4 minutes. "
        "1 handed over to the support desk. 2 pictures."
    )


def test_json_holds_no_number_that_json_has_not(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    report = visit_report(journal)
    assert set(json.loads(report_json(report))) == {"title", "since", "until", "visits", "figures", "totals"}
    broken = report.visits[0]._replace(totals=report.visits[0].totals._replace(minutes=float("nan")))
    with pytest.raises(ValueError, match="nan"):
        report_json(report._replace(visits=(broken,)))


def hostile_visit(recorder: Recorder) -> None:
    recorder.open_visit(HOSTILE, HOSTILE)
    recorder.arrive(HOSTILE, HOSTILE)
    recorder.see(HOSTILE, "fault", condition=HOSTILE)
    recorder.photo(picture(recorder.journal.path.parent, HOSTILE.replace("/", "")), station=HOSTILE, shows=HOSTILE)
    recorder.remark(HOSTILE, station=HOSTILE)
    recorder.part(HOSTILE, "wanted", station=HOSTILE)
    recorder.hand_over(HOSTILE, station=HOSTILE, number=HOSTILE, taken_by=HOSTILE)
    recorder.swap(HOSTILE, HOSTILE, taken_out=HOSTILE, put_in=HOSTILE + "2")
    recorder.incident("spill", HOSTILE, station=HOSTILE, told=HOSTILE)
    recorder.question(answer_of(None, question=HOSTILE))
    recorder.close_visit(HOSTILE, taken_by=HOSTILE)


@pytest.mark.parametrize("full", [False, True])
def test_hostile_text_is_text_on_the_page(recorder: Recorder, journal: Journal, full: bool) -> None:
    hostile_visit(recorder)
    text = report_html(visit_report(journal), full=full)
    page = Page(text)
    assert set(page.tags) <= {
        *("html", "head", "meta", "title", "style", "body", "main", "h1", "h2", "h3", "p", "ul", "li", "b", "span"),
        *("table", "caption", "thead", "tbody", "tr", "th", "td", "img", "div"),
    }
    assert KEPT in page.text
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert re.findall(r"https?://", re.sub(r'alt="[^"]*"', "", text)) == re.findall(r"https?://", page.text)
    assert "default-src 'none'" in text


@pytest.mark.parametrize("full", [False, True])
def test_hostile_text_is_text_in_markdown(recorder: Recorder, journal: Journal, full: bool) -> None:
    """The parser is markdown-it-py, which keeps to CommonMark; tables and bare links as in the common extensions."""
    hostile_visit(recorder)
    text = report_markdown(visit_report(journal), full=full)
    page = Page(MarkdownIt("commonmark").enable("table").render(text))
    assert set(page.tags) <= {"h1", "h2", "h3", "p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td"}
    assert KEPT in page.text
    assert "\x1b" not in text
    widths = [row.replace("\\|", "").count("|") for row in text.split("\n") if row.startswith("|")]
    assert set(widths) == {5}


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


def drawn(text: str, name: str) -> Report:
    """Return a report in which all that can be typed is ``text``; headings and names are ``name``."""
    station = StationReport(text, text, "fault", text, (text,), text)
    visit = VisitReport(
        id=1,
        store=name,
        rep=name,
        time_in="",
        time_out="",
        allowed_by=name,
        house_rules="",
        stations=(station,),
        unseen=(name,),
        open_points=(OpenPoint("fault", text, text, "", text, text),),
        handed=(HandOver(text, text, "", text, text, text, "", text),),
        exchanges=(),
        incidents=(IncidentReport("", text, text, text, text),),
        pictures=(Picture(text, text, text),),
        remarks=(text,),
        next_visit="",
        taken_by=name,
        signed="",
        totals=sum_of([]),
        asked=(text,),
        unanswered=(text,),
    )
    return Report(name, "", "", (visit,))


@given(_MARKS.filter(printable))
def test_any_text_stays_text_in_markdown_and_on_the_page(text: str) -> None:
    """The parser is markdown-it-py, which keeps to CommonMark, with tables and strikethrough."""
    report, expected = drawn(text, text), drawn("x", "x")
    parser = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    told = Page(parser.render(report_markdown(report, full=True)))
    usually = Page(parser.render(report_markdown(expected, full=True)))
    assert told.tags == usually.tags
    assert told.text.count(printable(text)) >= usually.tags.count("li")
    assert Page(report_html(report, full=True)).tags == Page(report_html(expected, full=True)).tags


def test_an_empty_and_an_open_visit(recorder: Recorder, journal: Journal) -> None:
    with pytest.raises(UsageError, match="there is no visit yet"):
        visit_report(journal)
    recorder.open_visit("S-1")
    for form in (*FORMS, handoff_text):
        assert "S-1" in form(visit_report(journal))
    assert "still open" in report_markdown(visit_report(journal))
    with pytest.raises(UsageError, match=r"^there is no visit 7: there is visit 1$"):
        visit_report(journal, 7)


def test_a_number_that_is_not_there_is_answered_with_those_that_are(recorder: Recorder, journal: Journal) -> None:
    for _ in range(7):
        recorder.open_visit("S-1")
        recorder.close_visit()
    with pytest.raises(UsageError, match=r"^there is no visit 8: there are visits 1 to 7$"):
        visit_report(journal, 8)
    recorder.open_visit("S-1")
    recorder.undo()
    recorder.open_visit("S-1")
    with pytest.raises(UsageError, match=r"^there is no visit 8: there are visits 1 to 7, 9$"):
        visit_report(journal, 8)


def test_a_period_has_totals_and_figures(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=10)
    recorder.open_visit("S-015")
    report = period_report(journal, "2026-03-01", "2026-03-05")
    assert [visit.store for visit in report.visits] == ["S-014"]
    assert report.totals == report.visits[0].totals
    text, full = report_markdown(report), report_markdown(report, full=True)
    assert "1 visit. 5 stations seen" in text
    assert len(report.figures) == 4
    for figure in report.figures:
        assert figure.plain in text
        assert figure.definition not in text.replace("\\", "")
        assert figure.name in full
        assert figure.definition in full.replace("\\", "")
    assert not re.search(r"\bn\b|interval|rate", text)
    assert report_markdown(period_report(journal, "2020-01-01", "2020-01-02")).count("No visit in this time.") == 1
    assert handoff_text(period_report(journal, "2020-01-01", "2020-01-02")) == "No visit in this time.\n"


def test_the_sum_of_a_period_is_told_and_no_store_signs_for_it(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.close_visit()
    five_stations(recorder, clock)
    text = report_markdown(period_report(journal, "2026-03-01", "2026-03-05"))
    assert "2 visits. 5 stations seen" in text
    assert "signature" not in text


def test_headings_go_down_one_by_one(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    whole_visit(recorder, clock)
    for report in (visit_report(journal), period_report(journal, "2026-03-01", "2026-03-05")):
        levels = [int(tag[1]) for tag in Page(report_html(report, full=True)).tags if tag in {"h1", "h2", "h3"}]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))
