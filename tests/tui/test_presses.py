"""How many presses a visit costs beside the words typed: a press is a key, or one character of a number or a letter.

The bounds are the product's own: a pass 1, a hand-over two fields, five stations with one ten-step fault 30.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.journal.records import Escalation, Sighting, Work
from assistant.model import Branch, Note, SafetyMessage, Step
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.work_screen import WorkScreen
from assistant.visiting.walk import pending
from tests.tui.bench import NARROW, WIDE, Bench, line, press
from tests.tui.conftest import ScriptedAsks, answer_from

STATIONS = ("A-0101", "A-0102", "A-0103", "A-0104", "A-0105")
DRIFTS = "pad-drift"
SAID = "stick drifts"
MOST_PRESSES = 30
SIZES = pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])


class Hand:
    """A hand that counts what it presses; words are typed and not counted, but the Enter after them is."""

    def __init__(self, pilot: Pilot[int]) -> None:
        self.pilot = pilot
        self.presses = 0

    async def press(self, *keys: str) -> None:
        """Press keys, each counted."""
        await press(self.pilot, *keys)
        self.presses += len(keys)

    async def words(self, text: str) -> None:
        """Type words, then Enter."""
        line(self.pilot).value = text
        await self.press("enter")


def drifts(notes: dict[str, Note]) -> Note:
    """Return a note of ten steps with two choices, one of them the last, and one message."""
    on = (Branch("If it drifts", "If it drifts: go to step 4.", step=4), Branch("If not", "If not: the work is done."))
    end = (Branch("If it rests", "If it rests: the work is done."), Branch("If not", "If not: go to step 4.", step=4))
    choices = {3: on, 10: end}
    steps = tuple(Step(n, f"Do thing {n} of the ten.", choices.get(n, ())) for n in range(1, 11))
    message = SafetyMessage("CAUTION", "A bare stick has a sharp edge. It can cut a thumb. Keep off it.", 5)
    return notes["pad-stick-cap"]._replace(id=DRIFTS, title="Stick drifts", steps=steps, safety=(message,))


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    note = drifts(mini_notes)
    with Bench(tmp_path / "journal.db", {**mini_notes, DRIFTS: note}) as made:
        made.recorder.open_visit("S-014", "Ina")
        for station in STATIONS:
            made.clock.pass_(minutes=1)
            made.recorder.see(station, "pass", model="pad")
        made.recorder.close_visit()
        made.clock.pass_(days=1)
        yield made


async def at_the_round(bench: Bench, pilot: Pilot[int]) -> VisitScreen:
    asks = ScriptedAsks(bench.notes)
    asks.answers[SAID] = answer_from(bench.notes[DRIFTS], SAID)
    screen = VisitScreen(bench.recorder, asks, bench.notes.get, clock=bench.clock)
    await pilot.app.push_screen(screen)
    await pilot.pause()
    return screen


async def work_through(hand: Hand, bench: Bench) -> None:
    """Read, tick and pick until the work is over."""
    while isinstance(screen := hand.pilot.app.screen, WorkScreen):
        bench.clock.pass_(seconds=20)
        working = screen.at_work
        if working.stage == "step" and pending(working.at.walk):
            await hand.press("space")
        elif working.stage == "step" and working.offers:
            await hand.press("1", "enter")
        else:
            await hand.press("enter")


@SIZES
async def test_five_stations_with_a_ten_step_fault(bench: Bench, size: tuple[int, int]) -> None:
    async with bench.app().run_test(size=size) as pilot:
        screen = await at_the_round(bench, pilot)
        hand = Hand(pilot)
        await hand.press("1", "enter")
        await hand.press("enter")
        await hand.press("enter", "enter")
        await hand.words(f"A-0103 {SAID}")
        await hand.press("enter")
        assert isinstance(pilot.app.screen, WorkScreen)
        await work_through(hand, bench)
        await hand.press("enter", "enter")
        await hand.press("x", "enter")
        await hand.press("enter", "enter", "enter")
        assert screen.at_visit.page == "closed"
    assert bench.outcomes() == [(1, "mended")]
    seen = [(one.station, one.result) for one in bench.journal.all(Sighting, visit=2)]
    assert sorted(seen) == [(station, "fault" if station == "A-0103" else "pass") for station in STATIONS]
    (work,) = bench.journal.all(Work)
    assert [act[:2] for act in bench.acts(work) if act[0] == "done"] == [("done", n) for n in range(1, 11)]
    assert hand.presses <= MOST_PRESSES


@SIZES
async def test_a_pass_is_one_press_and_the_next_station_comes_up(bench: Bench, size: tuple[int, int]) -> None:
    bench.recorder.open_visit("S-014", "Ina")
    async with bench.app().run_test(size=size) as pilot:
        screen = await at_the_round(bench, pilot)
        hand = Hand(pilot)
        for number, station in enumerate(STATIONS, start=1):
            assert screen.at_visit.offers[0].text.startswith(station)
            await hand.press("enter")
            assert len(bench.journal.all(Sighting, visit=2)) == number
    assert hand.presses == len(STATIONS)


@SIZES
async def test_the_rest_pass_in_three_presses(bench: Bench, size: tuple[int, int]) -> None:
    bench.recorder.open_visit("S-014", "Ina")
    async with bench.app().run_test(size=size) as pilot:
        await at_the_round(bench, pilot)
        hand = Hand(pilot)
        await hand.press("j", "enter", "enter")
    assert len(bench.journal.all(Sighting, visit=2)) == len(STATIONS)


@SIZES
async def test_a_hand_over_is_two_fields(bench: Bench, size: tuple[int, int]) -> None:
    bench.recorder.open_visit("S-014", "Ina")
    bench.recorder.see("A-0102", "fault", condition="lamp dark")
    async with bench.app().run_test(size=size) as pilot:
        screen = await at_the_round(bench, pilot)
        hand = Hand(pilot)
        await hand.words("A-0102")
        await hand.press("4", "enter")
        await hand.press("enter", "enter")
        assert screen.at_visit.ask is None
    (made,) = bench.journal.all(Escalation)
    assert (made.station, made.reason, made.job) == ("A-0102", "lamp dark", "")
    assert made.contact == "support desk"
