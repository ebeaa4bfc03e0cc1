"""A visit worked through over German notes, told in every form: no word of its English twin is left."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import lxml.html
import pytest

from assistant.errors import UsageError
from assistant.journal.records import Entry, Work
from assistant.journal.store import Journal
from assistant.languages import speak
from assistant.model import Note
from assistant.pack.reader import Pack
from assistant.visiting import entries
from assistant.visiting.amounts import read_amount
from assistant.visiting.checks import check_notes, plain_order
from assistant.visiting.days import read_day
from assistant.visiting.demo import fill_demo
from assistant.visiting.entries import Handed, Released
from assistant.visiting.figures import figures
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.kit import bag_lines, live_bag
from assistant.visiting.labels import find_station, find_store
from assistant.visiting.line import read_line
from assistant.visiting.photos import keep_photo
from assistant.visiting.plan import plan, plan_lines
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import period_report, visit_report
from assistant.visiting.report_forms import report_json, report_markdown
from assistant.visiting.report_message import handoff_text
from assistant.visiting.report_model import Report
from assistant.visiting.report_page import report_html
from assistant.visiting.round_view import before_closing, round_view
from assistant.visiting.station_entry import StationEntry, record_station
from assistant.visiting.typed import MOST_CHARACTERS, WHAT, clean
from assistant.visiting.walk import acknowledge, choices, go_back, pending, skip, tick, wait
from assistant.visiting.words import state_word
from tests.german import english_twin, mixed, texts_of
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.report_scene import photo

YEAR = ("2025-06-01", "2026-05-31")
PAD, SCREEN, BATTERY = "pad-taste-klemmt", "screen-kein-bild", "safety-akku"
TYPED = (
    "Ina Roth; Kai; erst ab zehn neben den Kassen; zu laut; Taste X klemmt; dunkel; Akku ist dick; ein Gast griff hin; "
    "Cola am Boden; kein Ersatz da; Anruf; leise; Kabel; Vorderseite; Reihe sauber; Schild hängt; noch feucht; Uhr;"
    "UTC; schon sauber; Controller; Netzteil; Nichts davon: weitermachen; bild.jpg"
)


def _work(recorder: Recorder, clock: Clock, note: Note, station: str, *, skipped: bool = False) -> Work:
    """Begin a work and go through some of its steps, with all that a report tells of one."""
    work = recorder.take_up(note, station=station, condition="Taste X klemmt")
    walk = recorder.walk_of(work, note)
    for number in range(4):
        step = walk.current
        if step is None:
            break
        while pending(walk):
            walk = recorder.act(walk, acknowledge(walk))
        clock.pass_(minutes=1)
        if skipped and number == 1:
            walk = recorder.act(walk, skip(walk, "schon sauber"))
        else:
            offered = choices(step)
            walk = recorder.act(walk, tick(walk, len(offered) - 1 if offered else None))
        if skipped and number == 2:
            walk = recorder.act(walk, go_back(walk))
            while pending(walk):
                walk = recorder.act(walk, acknowledge(walk))
            walk = recorder.act(walk, wait(walk, 60))
    return work


def _first_visit(recorder: Recorder, clock: Clock, notes: dict[str, Note]) -> None:
    recorder.open_visit("S-014", "Ina Roth")
    for station in ("A-0101", "A-0102", "A-0103", "A-0104", "A-0107"):
        recorder.see(station, "pass")
    recorder.see("A-0105", "fault", condition="Akku ist dick", plays="danger")
    recorder.see("A-0106", "fault", condition="Akku ist dick", plays="danger")
    recorder.see("A-0102", "fault", condition="Taste X klemmt", note=PAD)
    entries.end_work(recorder, _work(recorder, clock, notes[PAD], "A-0102"), "not_mended")
    recorder.close_visit("Reihe sauber")
    clock.pass_(days=3)


def _whole_visit(recorder: Recorder, clock: Clock, notes: dict[str, Note], folder: Path) -> None:
    recorder.open_visit("S-014", "Ina Roth")
    recorder.arrive("Kai", "erst ab zehn neben den Kassen")
    recorder.switched_off("A-0103", "zu laut")
    recorder.switched_off("A-0104")
    recorder.see("A-0101", "pass")
    recorder.see("A-0102", "fault", condition="Taste X klemmt", note=PAD)
    work = _work(recorder, clock, notes[PAD], "A-0102", skipped=True)
    recorder.part("Wattestäbchen", "used", quantity=2, work=work)
    recorder.swap("A-0102", "Controller", taken_out="H-1", put_in="H-2", work=work)
    clock.pass_(minutes=45)
    entries.end_work(recorder, work, "replaced", remark="Uhr")
    recorder.see("A-0102", "pass")
    recorder.see("A-0103", "fault", condition="dunkel", note=SCREEN, plays="no")
    handed = Handed("kein Ersatz da", "J-77", "Kai", "2026-03-09")
    entries.end_work(recorder, _work(recorder, clock, notes[SCREEN], "A-0103"), "escalated", handed=handed)
    recorder.see("A-0107", "fault", condition="dunkel")
    recorder.hand_over("kein Ersatz da", station="A-0107")
    recorder.take_up(notes[SCREEN], station="A-0104")
    entries.fault(recorder, "A-0101", "Akku ist dick", note=notes[BATTERY])
    entries.end_work(recorder, recorder.take_up(notes[BATTERY]), "withdrawn")
    entries.release_and_pass(recorder, "A-0105", "Kai", "R-1", "2026-03-05")
    entries.still_out(recorder, "A-0106")
    recorder.hand_over("Anruf", station="A-0106", number="J-78", taken_by="Kai", due="2026-03-10")
    recorder.part("Bildkabel", "wanted", quantity=2, station="A-0103")
    recorder.incident("near_miss", "ein Gast griff hin", station="A-0103", told="Kai")
    recorder.incident("spill", "Cola am Boden")
    recorder.arrange("A-0103", "fault", owner="Kai", due="2026-03-11")
    recorder.count("Kabelbinder", 3)
    recorder.photo(photo(folder / "bild.jpg"), station="A-0103", shows="Vorderseite")
    recorder.remark("Schild hängt", station="A-0106")


@pytest.fixture
def scene(german_pack: Pack, tmp_path: Path) -> Iterator[tuple[Recorder, Clock, dict[str, Note]]]:
    speak(german_pack.language.code)
    clock = Clock()
    notes = {name: note for name in german_pack.note_ids if (note := german_pack.note(name))}
    with Journal(tmp_path / "journal.db", clock=clock) as journal:
        yield Recorder(journal, german_pack.trade, german_pack.harm_ids, clock=clock), clock, notes


Scene = tuple[Recorder, Clock, dict[str, Note]]


def _record(scene: Scene, folder: Path) -> tuple[Recorder, list[str]]:
    recorder, clock, notes = scene
    _first_visit(recorder, clock, notes)
    _whole_visit(recorder, clock, notes, folder)
    return recorder, [TYPED, *texts_of(notes.values(), recorder.trade)]


def _page(report: Report, *, full: bool) -> list[str]:
    page = lxml.html.fromstring(report_html(report, full))
    assert page.get("lang") == "de"
    joins = [cell.get("data-before") for cell in page.iter("td")]
    alts = [image.get("alt") for image in page.iter("img")]
    return [*(text.strip() for text in page.body.itertext()), *joins, *alts]


def _values(data: object) -> Iterator[str]:
    """Yield the texts of a report as JSON; its keys, and what names a state, a kind or a figure, stay as they are."""
    keys = {"copy", "state", "kind", "plays", "signed", "name", "unit", "owner", "outcomes", "method"}
    if isinstance(data, dict):
        for key, value in data.items():
            if key not in keys:
                yield from _values(value)
    elif isinstance(data, list):
        for value in data:
            yield from _values(value)
    elif isinstance(data, str):
        yield data


def _every_form(recorder: Recorder) -> list[str]:
    journal = recorder.journal
    one, both = visit_report(journal), period_report(journal, *YEAR)
    lines: list[str] = []
    for report in (one, both):
        for full in (False, True):
            lines += report_markdown(report, full).splitlines()
            lines += _page(report, full=full)
            lines += _values(json.loads(report_json(report, full)))
        lines += handoff_text(report).splitlines()
    lines += report_markdown(period_report(journal, "2026-01-01", "2026-01-02")).splitlines()
    return lines


def test_a_visit_in_german_holds_no_english_word_in_any_form(scene: Scene, tmp_path: Path) -> None:
    """Closed or not, signed on paper or by a typed name, of one visit or of a period, as every form there is."""
    recorder, own = _record(scene, tmp_path)
    for signed in ("", "typed"):
        if signed:
            recorder.close_visit("Reihe sauber", taken_by="Kai", signed="typed", next_visit="2026-03-16")
        german = _every_form(recorder)
        with english_twin():
            english = _every_form(recorder)
        assert len(english) == len(german)
        assert mixed(english, german, own) == []
        assert any("AUSSER BETRIEB" in line for line in german)
        assert any("OUT OF SERVICE" in line for line in english)


def test_an_english_word_in_a_german_report_is_found(scene: Scene, tmp_path: Path) -> None:
    recorder, own = _record(scene, tmp_path)
    german = _every_form(recorder)
    with english_twin():
        english = _every_form(recorder)
    stray = next(line for line in english if "handed over" in line)
    assert {"handed", "over", stray} <= set(mixed(english, [*german, stray], own))
    assert mixed(english, [*german, "A-0102: passes"], own) == ["passes"]


def test_what_is_out_of_service_stays_whole_in_german(scene: Scene, tmp_path: Path) -> None:
    """Every station out of service stands in every form with its words: left off, until somebody releases it."""
    recorder, _ = _record(scene, tmp_path)
    report = visit_report(recorder.journal)
    off = [point.station for point in report.visits[0].open_points if point.kind == "withdrawn"]
    assert off == ["A-0101", "A-0106"]
    message = handoff_text(report).splitlines()
    for station in off:
        assert any(line.startswith(f"AUSSER BETRIEB: {station}, Markt S-014") for line in message)
        rows = [line for line in report_markdown(report).splitlines() if line.startswith(f"| {station} |")]
        assert any("AUSSER BETRIEB: ausgeschaltet lassen" in row for row in rows)
        assert any("ausgeschaltet lassen, bis sie freigegeben ist" in row for row in rows)
    assert "noch NICHT AN DIE HOTLINE ÜBERGEBEN" in handoff_text(report)


def _beside(recorder: Recorder, notes: Sequence[Note]) -> list[str]:
    """Return what screen and commands show of a visit beside its report."""
    view = round_view(recorder)
    assert view is not None
    journal, today = recorder.journal, recorder.today
    lines = [*before_closing(view), *plan_lines(plan(journal, today)), *plan_lines(())]
    minutes = {("S-014", "S-099"): 7.5, ("S-099", "S-014"): 7.5}
    lines += plan_lines(plan(journal, today, ["S-014", "S-099"], minutes=minutes))
    lines += bag_lines(live_bag(journal, recorder.trade), recorder.trade)
    lines += [view.word(stand) for stand in view.stations]
    lines += [entries.why_not(view, stand.station) for stand in view.stations]
    lines += [plain_order(check_notes(notes, journal)), *(one.plain for one in figures(journal, *YEAR))]
    lines += [state_word("fault", plays) for plays in ("yes", "no", "danger", "")]
    return lines


def test_what_is_shown_of_a_visit_holds_no_english_word(scene: Scene, tmp_path: Path) -> None:
    recorder, own = _record(scene, tmp_path)
    notes = [scene[2][PAD], scene[2][SCREEN]]
    german = _beside(recorder, notes)
    with english_twin():
        english = _beside(recorder, notes)
    assert mixed(english, german, own) == []
    assert len(english) == len(german)


def test_the_names_of_entries_are_german(scene: Scene, tmp_path: Path) -> None:
    """They are kept in the language in which they were entered; undo shows them."""
    recorder, own = _record(scene, tmp_path)
    german = [entry.says for entry in recorder.journal.all(Entry)]
    (tmp_path / "twin").mkdir()
    with english_twin(), Journal(tmp_path / "twin" / "journal.db", clock=(clock := Clock())) as journal:
        twin = Recorder(journal, recorder.trade, recorder.harm, clock=clock)
        _record((twin, clock, scene[2]), tmp_path / "twin")
        english = [entry.says for entry in journal.all(Entry)]
    assert len(english) == len(german) > 30
    assert mixed(english, german, own) == []


def _refusals(recorder: Recorder, notes: dict[str, Note], folder: Path) -> list[str]:
    trade, today, known = recorder.trade, recorder.today, ("A-0101", "A-0102", "A-0103", "A-0104")
    (folder / "kein.jpg").write_text("x")
    work = recorder.open_work("A-0104")
    view = round_view(recorder)
    assert work is not None
    assert view is not None
    refused: list[Callable[[], object]] = [
        lambda: find_station("S-014", known, ["S-014"]),
        lambda: find_station("", known),
        lambda: find_station("Kabel", ()),
        lambda: find_station("A-1" * 20, known),
        lambda: find_station("Kabel leise 1", known),
        lambda: find_store("Kabel", ()),
        lambda: read_line("", known),
        lambda: read_line("Kabel leise", known),
        lambda: read_amount("3 Schrankschlüssel", trade),
        lambda: read_amount("3 Bildkabell", trade),
        lambda: read_amount("3 Uhr", trade),
        lambda: read_amount("1000 Bildkabel", trade),
        lambda: read_amount("1,5 Bildkabel", trade),
        lambda: read_day("Kabel", today),
        lambda: read_day("Kabel", today, past=True),
        lambda: read_day("2026-02-01", today),
        lambda: read_day("2026-04-01", today, past=True),
        lambda: read_day("2036-04-01", today),
        lambda: read_day("03/04", today),
        lambda: keep_photo(folder / "nichts.jpg", folder),
        lambda: keep_photo(folder / "kein.jpg", folder),
        lambda: recorder.open_visit("S-014"),
        lambda: recorder.see("A-0106", "pass"),
        lambda: recorder.see("A-0104", "pass"),
        lambda: recorder.release("A-0102", by="Kai", number="R-1"),
        lambda: recorder.release("A-0106", by="Kai", number="R-1", day="2030-01-01"),
        lambda: recorder.arrange("A-0102", "fault"),
        lambda: recorder.swap("A-0102", "Controller", taken_out="H-1", put_in="h-1"),
        lambda: recorder.end(work, "mended", minutes=9999.0),
        lambda: entries.still_out(recorder, "A-0102"),
        lambda: entries.station_of(recorder, view, "A-0999"),
        lambda: entries.station_of(recorder, view, "B-9999"),
        lambda: entries.fault(recorder, "A-0102", "dunkel", work=True),
        lambda: record_station(recorder, StationEntry("A-0102", "pass", "dunkel")),
        lambda: record_station(recorder, StationEntry("A-0102", "pass", outcome="mended")),
        lambda: record_station(recorder, StationEntry("A-0102", "fault", "dunkel", outcome="mended")),
        lambda: record_station(recorder, StationEntry("A-0102", "fault", "dunkel", minutes=3.0)),
        lambda: entries.end_work(recorder, work, "mended", released=Released("", "")),
        lambda: plan(recorder.journal, today, start="Kabel"),
        lambda: visit_report(recorder.journal, 99),
        lambda: check_notes([notes[PAD]], recorder.journal),
        *(partial(clean, "", what) for what in WHAT),
        lambda: clean("x" * (MOST_CHARACTERS + 1), "remark"),
    ]
    told = []
    for refuse in refused:
        with pytest.raises(UsageError) as error:
            refuse()
        told.append(str(error.value))
    return told


def test_what_is_refused_is_told_in_german(scene: Scene, tmp_path: Path) -> None:
    recorder, own = _record(scene, tmp_path)
    german = _refusals(recorder, scene[2], tmp_path)
    with english_twin():
        english = _refusals(recorder, scene[2], tmp_path)
    typed = "pass fault new travel csv jpeg png webp heic bildkabell nichts kein"
    assert mixed(english, german, [*own, typed]) == []
    assert any("freigegeben" in told for told in german)


def test_a_station_out_of_service_is_refused_with_its_whole_reason(scene: Scene, tmp_path: Path) -> None:
    recorder, _ = _record(scene, tmp_path)
    with pytest.raises(NeedsReleaseError) as error:
        recorder.see("A-0106", "pass")
    assert str(error.value) == (
        "A-0106 ist außer Betrieb (Akku ist dick): sie geht nur wieder in Betrieb, wenn angegeben ist, "
        "wer sie wann und unter welcher Nummer freigegeben hat"
    )


def test_parts_keep_the_capitals_of_the_trade(scene: Scene) -> None:
    recorder, clock, notes = scene
    _first_visit(recorder, clock, notes)
    recorder.open_visit("S-014")
    assert recorder.part("bildkabel", "used").part == "Bildkabel"
    assert recorder.count("KABELBINDER", 2).part == "Kabelbinder"
    assert recorder.swap("A-0102", "Netzteil", taken_out="H-1", put_in="H-2").unit == "Netzteil"
    bag = live_bag(recorder.journal, recorder.trade)
    assert [row.part for row in bag.rows] == ["Kabelbinder"]
    assert "Kabelbinder" not in bag.never


def test_made_up_shops_speak_the_language_of_the_notes(german_pack: Pack, tmp_path: Path) -> None:
    speak(german_pack.language.code)
    notes = [note for name in german_pack.note_ids if (note := german_pack.note(name))]
    forms = []
    for name in ("german", "english"):
        clock = Clock()
        (tmp_path / name).mkdir()
        with Journal(tmp_path / name / "journal.db", clock=clock) as journal:
            if name == "english":
                with english_twin():
                    fill_demo(journal, german_pack.note, until=clock.time, ids=german_pack.note_ids)
                    forms.append(report_markdown(period_report(journal, *YEAR), True).splitlines())
            else:
                fill_demo(journal, german_pack.note, until=clock.time, ids=german_pack.note_ids)
                forms.append(report_markdown(period_report(journal, *YEAR), True).splitlines())
    german, english = forms
    assert mixed(english, german, ["UTC; png", *texts_of(notes, german_pack.trade)]) == []
    assert len(german) > 500
