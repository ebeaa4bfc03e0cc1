"""What a visit keeps, asks and shows where something is missing, unknown, refused or dangerous."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from assistant.errors import PackError
from assistant.journal.records import (
    Arrival,
    Closing,
    Count,
    Escalation,
    Incident,
    OutcomeName,
    Photo,
    Question,
    Release,
    Remark,
    Sighting,
    Swap,
    SwitchedOff,
    Visit,
    Work,
)
from assistant.model import Note
from assistant.tui.ask.screen import StationScreen
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.card import SafetyBox
from assistant.tui.common.contracts import NoteById
from assistant.tui.common.pressable import OfferLine
from assistant.tui.visit.forms import CANCELLED
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.work_screen import WorkScreen
from tests.tui.bench import NARROW, WIDE, Bench, answer, line, painted, press, said
from tests.tui.conftest import EMERGENCY, ScriptedAsks

CAP = "controller stick cap broken?"
STORE = "S-014"
PNG = b"\x89PNG\r\n\x1a\n" + bytes(32)


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def visit(bench: Bench, pilot: Pilot[int], *texts: str, note_by_id: NoteById | None = None) -> VisitScreen:
    screen = VisitScreen(bench.recorder, ScriptedAsks(bench.notes), note_by_id or bench.notes.get, clock=bench.clock)
    await pilot.app.push_screen(screen)
    await pilot.pause()
    await answer(pilot, *texts)
    return screen


def offered(screen: VisitScreen) -> list[str]:
    return [offer.text for offer in screen.at_visit.offers]


def known(bench: Bench, *stations: str, store: str = STORE) -> None:
    """Open a visit to a shop whose stations passed at an earlier one."""
    bench.recorder.open_visit(store, "Ina")
    for station in stations:
        bench.clock.pass_(minutes=1)
        bench.recorder.see(station, "pass")
    bench.recorder.close_visit()
    bench.clock.pass_(days=1)
    bench.recorder.open_visit(store, "Ina")


def out_of_service(bench: Bench, station: str) -> None:
    """Take a station out of service at the visit that is open, and open the next one."""
    bench.recorder.see(station, "fault", condition="plug smokes", plays="no")
    work = bench.recorder.take_up(bench.notes["disc-clean"], station=station, condition="plug smokes")
    bench.recorder.end(work, "withdrawn")
    bench.recorder.close_visit()
    bench.clock.pass_(days=1)
    bench.recorder.open_visit(STORE, "Ina")


def results(bench: Bench) -> list[tuple[str, str]]:
    visit_ = bench.recorder.visit
    assert visit_
    return [(one.station, one.result) for one in bench.journal.all(Sighting, visit=visit_.id)]


async def test_fault_is_recorded_where_no_note_can_be_looked_for(bench: Bench) -> None:
    known(bench, "A-0142")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "A-0142 fault damaged")
        assert "the pack is damaged" in painted(pilot)
        assert offered(screen) == ["No note, only the fault"]
        await answer(pilot, "1")
    assert [(one.station, one.condition) for one in bench.journal.all(Sighting)][-1] == ("A-0142", "damaged")


async def test_nothing_is_recorded_before_the_note_is_chosen(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, f"A-1 {CAP}")
        assert results(bench) == []
        await press(pilot, "escape")
        assert said(pilot) == CANCELLED
        assert results(bench) == []
        assert bench.journal.all(Question) == []


async def test_fault_and_its_work_are_one_entry_and_taken_back_together(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, f"A-1 {CAP}")
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, WorkScreen)
        (work,), sighting = bench.journal.all(Work), bench.journal.all(Sighting)[-1]
        assert (work.entry, sighting.note) == (sighting.entry, "pad-stick-cap")
        await answer(pilot, "undo")
        assert isinstance(pilot.app.screen, VisitScreen)
        assert results(bench) == []
        assert bench.journal.all(Work) == []


async def test_work_that_stands_open_on_a_station_is_taken_up_and_not_begun_twice(bench: Bench) -> None:
    """What strangers found (B7): one note, three works."""
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        for _ in range(2):
            await answer(pilot, f"A-1 {CAP}", "")
            await press(pilot, "escape")
        assert len(bench.journal.all(Work)) == 1
        assert offered(screen)[-1] == "Go on: A-1, Thumb stick cap torn or missing, step 1"


@pytest.mark.parametrize("word", ["p", "x", "rest", "r", "u"])
async def test_fault_that_was_typed_is_not_dropped_by_another_word(bench: Bench, word: str) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, f"A-1 {CAP}", word)
        assert said(pilot) == "Answer on the line first, or press Esc."
        await press(pilot, "enter")
    assert bench.journal.all(Sighting)[-1].note == "pad-stick-cap"


async def test_work_whose_note_cannot_be_read_stays_in_sight_and_can_be_ended(bench: Bench) -> None:
    def damaged(note_id: str) -> Note | None:
        raise PackError("the pack is damaged")

    known(bench)
    bench.begin("disc-clean")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, note_by_id=damaged)
        assert offered(screen) == ["Open: A-0142, Wipe a dirty demo disc the right way, whose note cannot be read"]
        await answer(pilot, "1", "1")
        assert said(pilot) == "The pack is damaged."
        await answer(pilot, "2")
        assert not any(text.startswith("Open") for text in offered(screen))
    assert bench.outcomes() == [(1, "not_mended")]


async def test_works_elsewhere_stand_last_and_can_be_ended(bench: Bench) -> None:
    """What strangers found (B7): works of other shops were the first lines, and were ended by typing 1."""
    bench.begin("disc-clean")
    bench.recorder.open_visit("S-9")
    bench.begin("pad-cable-damage")
    bench.recorder.close_visit()
    known(bench, "A-1", "A-2")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        lines = offered(screen)
        assert [text.split()[0] for text in lines] == ["A-1:", "A-1", "A-2", "Open:", "Open:"]
        assert lines[3].startswith("Open: shop S-9, A-0142")
        await answer(pilot, "4")
        assert bench.outcomes() == []
        await answer(pilot, "2")
        assert said(pilot) == "Pad lead cut or crushed: ended as not mended. Recorded."
        assert len(bench.outcomes()) == 1


async def test_stations_keep_their_order_and_their_numbers(bench: Bench) -> None:
    known(bench, "A-3", "A-1", "A-2")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        before = [text.split()[0] for text in offered(screen)[1:]]
        assert before == ["A-3", "A-1", "A-2"]
        await answer(pilot, "A-1 pass", "", "")
        assert [text.split()[0] for text in offered(screen)[1:]] == before
        assert offered(screen)[0] == "All stations are seen: close the visit"
        assert screen.at_visit.marked == 0
        assert results(bench) == [("A-1", "pass"), ("A-3", "pass"), ("A-2", "pass")]


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        ("mended", "A-1 mended"),
        ("replaced", "A-1 replaced"),
        ("withdrawn", "A-1 out of service"),
        ("escalated", "A-1 handed over to the support desk"),
        ("not_mended", "A-1 not mended"),
    ],
)
async def test_station_tells_how_its_work_ended(bench: Bench, outcome: OutcomeName, words: str) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "A-1 hello", "1")
        assert offered(screen)[1] == "A-1 has a fault: hello"
        work = bench.recorder.take_up(bench.notes["disc-clean"], station="A-1")
        screen.at_visit.look()
        assert offered(screen)[1] == "A-1 being worked on: hello"
        bench.clock.pass_(minutes=1)
        bench.recorder.end(work, outcome)
        screen.at_visit.look()
        assert offered(screen)[1].startswith(words)


async def test_what_was_left_open_stands_below_the_round_before_anything_is_seen(bench: Bench) -> None:
    bench.recorder.open_visit(STORE)
    bench.recorder.see("A-1", "fault", condition="lamp dark")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "")
        assert "Open in this shop A-1: lamp dark" in painted(pilot)
        await answer(pilot, "A-1 pass")
        assert "Open in this shop" not in painted(pilot)


async def test_danger_is_met_with_its_messages_whole_and_nothing_marked(bench: Bench) -> None:
    known(bench, "A-1")
    note = bench.notes["safety-swollen-cell"]
    async with bench.app().run_test(size=NARROW) as pilot:
        screen = await visit(bench, pilot, "A-1 the pad is puffed up")
        assert note.safety
        boxes = list(pilot.app.screen.query(SafetyBox))
        for message, box in zip(note.safety, boxes, strict=True):
            assert message.signal in str(box.content)
            assert message.text in str(box.content)
        first = next(iter(pilot.app.screen.query(OfferLine)))
        assert all(box.region.bottom <= first.region.y for box in boxes)
        assert EMERGENCY in painted(pilot)
        assert offered(screen)[0].startswith(f"Work through it now: {note.title}")
        assert screen.at_visit.marked == 0
        await press(pilot, "enter")
        assert results(bench) == []


async def test_station_out_of_service_is_still_so_at_enter_and_never_passes(bench: Bench) -> None:
    """What strangers found (A2): a pass put a smoking plug back into service."""
    known(bench, "A-1", "A-2")
    out_of_service(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        assert offered(screen)[0] == "A-1: still out of service, next"
        await press(pilot, "enter")
        assert results(bench) == [("A-1", "fault")]
        await press(pilot, "enter")
        assert results(bench) == [("A-1", "fault"), ("A-2", "pass")]
        assert bench.recorder.out_of_service("A-1")
        assert "A-1 out of service: plug smokes" in offered(screen)


async def test_pass_of_a_station_out_of_service_asks_who_released_it(bench: Bench) -> None:
    known(bench, "A-1")
    out_of_service(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "A-1 pass", "Ann", "")
        assert said(pilot) == "This cannot be empty: type it, or press Esc."
        assert results(bench) == []
        await answer(pilot, "R-7", "in 3 days")
        assert "still to come" in said(pilot)
        await press(pilot, "enter")
    (release,) = bench.journal.all(Release)
    assert (release.by, release.number) == ("Ann", "R-7")
    assert results(bench) == [("A-1", "pass")]
    assert bench.journal.all(Sighting)[-1].entry == release.entry


async def test_all_pass_shows_first_which_do_and_which_do_not(bench: Bench) -> None:
    """What strangers found (A5): a station called ALL."""
    known(bench, "A-1", "A-2", "A-3", "A-4", "A-5")
    out_of_service(bench, "A-2")
    bench.recorder.take_up(bench.notes["disc-clean"], station="A-3")
    bench.recorder.switched_off("A-4", "display moved")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "all pass")
        text = painted(pilot)
        assert "These pass: A-1, A-5" in text
        for why in ("A-2, out of service", "A-3, being worked on", "A-4, switched off by the staff"):
            assert f"Not: {why}" in text
        assert results(bench) == []
        await press(pilot, "escape")
        assert results(bench) == []
        await answer(pilot, "j", "")
        assert results(bench) == [("A-1", "pass"), ("A-5", "pass")]
        await answer(pilot, "u")
        assert results(bench) == []
        assert said(pilot) == "Taken back: the rest pass: 2 stations."


async def test_pass_beside_a_work_that_stands_open_is_asked_about(bench: Bench) -> None:
    """What strangers found (B6): the fault vanished without a question."""
    known(bench, "A-1")
    bench.recorder.take_up(bench.notes["disc-clean"], station="A-1", condition="greasy")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "A-1 pass")
        assert "this work stands open" in painted(pilot)
        assert results(bench) == []
        assert offered(screen)[0] == "Go on with Wipe a dirty demo disc the right way, step 1"
        await answer(pilot, "1")
        assert isinstance(pilot.app.screen, WorkScreen)


async def test_words_after_a_pass_are_asked_about(bench: Bench) -> None:
    """What strangers found (B5): they were dropped in silence."""
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "A-1 pass cap is loose")
        assert offered(screen) == ["It passes; keep 'cap is loose' as a remark", "It has a fault: cap is loose"]
        await answer(pilot, "1")
    assert results(bench) == [("A-1", "pass")]
    assert [remark.text for remark in bench.journal.all(Remark)] == ["cap is loose"]


@pytest.mark.parametrize(
    ("typed", "store"), [("open S-014", "S-014"), ("s014", "S-014"), ("visit open s 014", "S-014")]
)
async def test_code_of_a_shop_is_read_in_any_spelling(bench: Bench, typed: str, store: str) -> None:
    """What strangers found (B2): a shop called OPEN S-014."""
    known(bench)
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, typed)
    assert bench.recorder.visit is not None
    assert bench.recorder.visit.store == store


async def test_unknown_shop_is_asked_about(bench: Bench) -> None:
    known(bench)
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "S-041")
        assert screen.at_visit.question == "S-041 is not known here."
        assert offered(screen) == ["A new shop: S-041", "S-014"]
        assert screen.at_visit.marked == 0
        await answer(pilot, "2")
        assert bench.journal.all(Visit)[-1].store == "S-014"


async def test_unknown_station_is_asked_about_and_a_known_one_found_however_spelt(bench: Bench) -> None:
    """What strangers found (B3): A-0101, A0101 and 0101 were three stations, and the shop was a fourth."""
    known(bench, "A-0101", "A-0102")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "a0101 pass", "0102 pass")
        assert results(bench) == [("A-0101", "pass"), ("A-0102", "pass")]
        await answer(pilot, "A-0111 pass")
        assert offered(screen)[0] == "A new station: A-0111"
        assert "A-0101" in offered(screen)
        await press(pilot, "escape")
        assert said(pilot) == CANCELLED
        await answer(pilot, "S-014 pass")
        assert "is a shop, not a station" in said(pilot)
        await answer(pilot, "A-0111 pass", "1")
    assert results(bench)[-1] == ("A-0111", "pass")


@pytest.mark.parametrize("typed", ["how do i get paid", "what is this?", "smoke", "3 pads are dead?"])
async def test_question_typed_on_the_round_is_asked(bench: Bench, typed: str) -> None:
    known(bench, "A-1")
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await visit(bench, pilot, typed)
        await pilot.pause()
        assert isinstance(pilot.app.screen, StationScreen)
    assert [question.text for question in bench.journal.all(Question)] == [typed]
    assert bench.recorder.visit is not None


async def test_number_that_is_no_line_is_no_station_and_is_cleared(bench: Bench) -> None:
    """What strangers found (D5): the refused 8 stayed, and the next 2 became 82."""
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "77")
        assert said(pilot) == "Type 1 to 2."
        assert line(pilot).value == ""


async def test_leaving_says_that_the_visit_stays_open(bench: Bench) -> None:
    """What strangers found (D6): it went back without a sign."""
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, StationScreen)
        assert said(pilot) == "The visit at S-014 stays open."


async def test_what_was_typed_where_questions_are_asked_is_taken(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "A-1 pass")
        assert isinstance(pilot.app.screen, VisitScreen)
        assert results(bench) == [("A-1", "pass")]


async def test_arrival_is_offered_and_never_in_the_way(bench: Bench) -> None:
    known(bench, "A-1", "A-2")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, STORE, "1", "a2", "display moved", "Bo")
        assert said(pilot) == "Permission by Bo. Recorded."
        assert [one.allowed_by for one in bench.journal.all(Arrival)] == ["Bo"]
        assert [(one.station, one.reason) for one in bench.journal.all(SwitchedOff)] == [("A-2", "display moved")]
        await answer(pilot, "")
        assert offered(screen)[0] == "A-2: passes, next (the staff had switched it off: display moved)"


async def test_station_typed_instead_of_a_name_is_a_station(bench: Bench) -> None:
    known(bench, "A-1")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "A-1 pass")
    assert results(bench) == [("A-1", "pass")]
    assert bench.journal.all(Arrival) == []


async def test_short_forms_of_a_station_are_one_entry_each(bench: Bench) -> None:
    known(bench, "A-1")
    picture = bench.path.with_name("lead.png")
    picture.write_bytes(PNG)
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        for words, texts in (
            ("A whole unit", ("pad", "N-1", "N-2")),
            ("Somebody was hurt", ("1", "a cut thumb", "Bo")),
            ("A picture", (str(picture), "the lead")),
            ("A remark", ("all fine",)),
            ("Hand it over", ("no note for it", "J-9")),
            ("The staff had", ("moved",)),
            ("Fault, it does not play", ("hello", "1")),
        ):
            await answer(pilot, "A-1")
            number = next(n for n, text in enumerate(offered(screen), start=1) if text.startswith(words))
            await answer(pilot, str(number), *texts)
            assert "ecorded" in said(pilot), words
            assert screen.at_visit.ask is None
    assert [swap[:4] for swap in bench.journal.all(Swap)] == [("A-1", "pad", "N-1", "N-2")]
    assert [(one.incident, one.text, one.told) for one in bench.journal.all(Incident)] == [
        ("injury", "a cut thumb", "Bo")
    ]
    assert [photo.shows for photo in bench.journal.all(Photo)] == ["the lead"]
    assert [remark.station for remark in bench.journal.all(Remark)] == ["A-1"]
    assert [(one.reason, one.job) for one in bench.journal.all(Escalation)] == [("no note for it", "J-9")]
    assert bench.journal.all(Sighting)[-1].plays == "no"


async def test_bag_is_counted_and_shown_and_the_plan_too(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "record", "5", "4 cable ties")
        assert said(pilot) == "Recorded: 4 cable ties in the bag."
        assert [(one.part, one.quantity) for one in bench.journal.all(Count)] == [("cable tie", 4)]
        await answer(pilot, "bag")
        assert "4 cable ties (counted" in painted(pilot)
        await press(pilot, "escape")
        await answer(pilot, "plan")
        assert "Nothing is open in any shop" in painted(pilot)
        (bench.path.with_name("travel.csv")).write_text("from,to\n", "utf-8")
        await answer(pilot, "b", "y")
        assert "the first line must be" in painted(pilot)
        assert screen.at_visit.page == "plan"


async def test_taking_back_an_out_of_service_is_asked_first(bench: Bench) -> None:
    known(bench, "A-1")
    work = bench.recorder.take_up(bench.notes["disc-clean"], station="A-1", condition="smokes")
    bench.recorder.end(work, "withdrawn")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "u")
        assert screen.at_visit.marked == 0
        assert bench.recorder.out_of_service("A-1")
        await answer(pilot, "2")
        assert bench.recorder.out_of_service("A-1")
        await answer(pilot, "u", "1")
        assert not bench.recorder.out_of_service("A-1")


async def test_undo_takes_back_one_entry_after_the_other(bench: Bench) -> None:
    known(bench, "A-1", "A-2")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "", "", "undo")
        assert said(pilot) == "Taken back: A-2: passes."
        await answer(pilot, "u")
        assert results(bench) == []
        await answer(pilot, "x", "", "", "", "u")
        assert not bench.journal.all(Closing)[1:]
        await answer(pilot, "u")
        assert len(bench.journal.all(Visit)) == 1
        assert "No visit is open." in painted(pilot)


async def test_a_finger_that_slips_on_enter_passes_one_station(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    known(bench, "A-1", "A-2", "A-3")
    monkeypatch.setattr(OneScreenApp, "BOUNCE", 1e9)
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        await press(pilot, "enter", "enter", "enter")
        assert [seen.station for seen in bench.journal.all(Sighting, visit=2)] == []
        monkeypatch.setattr(OneScreenApp, "BOUNCE", 0.0)
        await press(pilot, "enter")
        monkeypatch.setattr(OneScreenApp, "BOUNCE", 1e9)
        await press(pilot, "enter", "enter")
    assert [seen.station for seen in bench.journal.all(Sighting, visit=2)] == ["A-1"]


async def test_a_question_that_is_entered_twice_at_once_leaves_the_round_once(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        for _ in range(3):
            screen.line.post_message(Input.Submitted(screen.line, CAP))
        await pilot.pause()
        assert isinstance(pilot.app.screen, StationScreen)
    assert len(bench.journal.all(Question)) <= 1


async def test_enter_passes_no_station_that_had_a_fault_or_was_switched_off(bench: Bench) -> None:
    known(bench, "A-1", "A-2")
    bench.recorder.see("A-1", "fault", condition="drifts")
    bench.recorder.close_visit()
    bench.clock.pass_(days=1)
    bench.recorder.open_visit(STORE, "Ina")
    bench.recorder.switched_off("A-2")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        await press(pilot, "enter")
        await answer(pilot, "A-1")
        await press(pilot, "enter", "escape")
        await answer(pilot, "A-2")
        await press(pilot, "enter")
    assert bench.journal.all(Sighting, visit=3) == []
