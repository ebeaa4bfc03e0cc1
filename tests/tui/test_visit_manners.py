"""What a visit keeps and shows where something is missing, refused or done with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.errors import PackError
from assistant.journal.records import Closing, OutcomeName, Question, Sighting
from assistant.model import Note
from assistant.tui.common.card import SafetyBox
from assistant.tui.common.contracts import NoteById
from assistant.tui.common.pressable import OfferLine
from assistant.tui.visit.screen import VisitScreen
from tests.tui.bench import NARROW, WIDE, Bench, answer, painted, press, said
from tests.tui.conftest import ScriptedAsks, answer_from

CAP = "controller stick cap broken?"
STORE = "S-014"


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


async def test_fault_is_recorded_where_no_note_can_be_looked_for(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, STORE, "", "A-0142 fault damaged")
        assert "the pack is damaged" in said(pilot)
        assert offered(screen) == ["No note, just record the fault"]
        await answer(pilot, "1")
    assert [(one.station, one.condition) for one in bench.journal.all(Sighting)] == [("A-0142", "damaged")]


async def test_work_whose_note_cannot_be_read_stays_in_sight(bench: Bench) -> None:
    def damaged(note_id: str) -> Note | None:
        raise PackError("the pack is damaged")

    bench.recorder.open_visit(STORE)
    bench.begin("disc-clean")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, note_by_id=damaged)
        assert offered(screen) == ["Go on: A-0142, disc-clean, whose note cannot be read"]
        await answer(pilot, "1")
        assert said(pilot) == "the note 'disc-clean' cannot be read in this pack"
        await press(pilot, "f10")
        assert "! Not finished: A-0142 disc-clean" in painted(pilot)


@pytest.mark.parametrize("key", ["f7", "f10"])
async def test_fault_that_was_typed_is_not_dropped_by_another_key(bench: Bench, key: str) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "", f"A-0142 fault {CAP}")
        await press(pilot, key)
        assert said(pilot) == "answer on the line first, or press Esc"
        await answer(pilot, "1")
    assert [one.note for one in bench.journal.all(Sighting)] == ["pad-stick-cap"]


async def test_round_keeps_the_order_of_the_last_one(bench: Bench) -> None:
    bench.recorder.open_visit(STORE)
    for station in ("A-3", "A-1", "A-2"):
        bench.clock.pass_(minutes=1)
        bench.recorder.see(station, "pass")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, STORE, "", "A-0 pass", "A-1 pass")
        assert [text.split()[0] for text in offered(screen)] == ["A-3", "A-1", "A-2", "A-0"]


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        ("mended", "A-1 + mended"),
        ("replaced", "A-1 + replaced"),
        ("withdrawn", "A-1 x withdrawn"),
        ("escalated", "A-1 ! escalated"),
        ("not_mended", "A-1 ! not mended"),
    ],
)
async def test_station_tells_how_its_work_ended(bench: Bench, outcome: OutcomeName, words: str) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, STORE, "", "A-1 fault hello", "1")
        assert offered(screen) == ["A-1 ! fault: hello"]
        work = bench.recorder.begin(bench.notes["disc-clean"], station="A-1")
        screen.at_visit.look()
        assert offered(screen)[1] == "A-1 > being worked on: hello"
        bench.clock.pass_(minutes=1)
        bench.recorder.end(work, outcome)
        screen.at_visit.look()
        assert offered(screen)[0].startswith(words)
        bench.clock.pass_(minutes=1)
        await answer(pilot, "A-1 pass")
        assert offered(screen) == ["A-1 + pass"]


async def test_what_was_left_open_stands_before_the_first_station(bench: Bench) -> None:
    notes = {**bench.notes, "visit-round": bench.notes["disc-clean"]._replace(title="Going round")}
    bench.recorder.open_visit(STORE)
    bench.recorder.see("A-1", "fault", condition="lamp dark")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "", note_by_id=notes.get)
        assert "A-1: lamp dark" in painted(pilot)
        assert "check it; note: none yet" in painted(pilot)
        assert "Going round: 1 not seen yet" in painted(pilot)
        await answer(pilot, "A-1 pass")
        assert "Open in this shop" not in painted(pilot)


async def test_second_press_closes_the_visit(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "", "A-1 pass")
        await press(pilot, "f10")
        assert bench.journal.all(Closing) == []
        await press(pilot, "f10")
        assert "assistant visit report --visit 1" in said(pilot)
    assert len(bench.journal.all(Closing)) == 1


async def test_a_fault_that_tells_of_danger_is_met_with_the_safety_message_whole(bench: Bench) -> None:
    asks = ScriptedAsks(bench.notes)
    note = bench.notes["safety-swollen-cell"]
    asks.answers["cell is swollen"] = answer_from(note, "cell is swollen")._replace(safety_first=True)
    screen = VisitScreen(bench.recorder, asks, bench.notes.get, clock=bench.clock)
    async with bench.app().run_test(size=NARROW) as pilot:
        await pilot.app.push_screen(screen)
        await answer(pilot, "S-1", "", "A-1 fault cell is swollen")
        assert note.safety
        boxes = list(pilot.app.screen.query(SafetyBox))
        shown = [(box._signal, box._text) for box in boxes]
        assert shown == [(message.signal, message.text) for message in note.safety]
        first = next(iter(pilot.app.screen.query(OfferLine)))
        assert all(box.region.bottom <= first.region.y for box in boxes)
        assert screen.at_visit.offers[0].text.endswith("(safety-swollen-cell)")
        assert [question.text for question in bench.journal.all(Question)] == ["cell is swollen"]


async def test_a_typed_fault_is_not_dropped_and_a_number_is_no_station(bench: Bench) -> None:
    screen = VisitScreen(bench.recorder, ScriptedAsks(bench.notes), bench.notes.get, clock=bench.clock)
    async with bench.app().run_test(size=WIDE) as pilot:
        await pilot.app.push_screen(screen)
        await answer(pilot, "S-1", "", "77")
        assert "or an asset label" in said(pilot)
        await answer(pilot, "A-1 fault controller stick cap broken?")
        await press(pilot, "f5")
        assert pilot.app.screen is screen
        assert "numbered lines first" in said(pilot)
