"""How a work ends, what it leads on to, what is recorded beside it, and what a full disk does."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.errors import JournalError
from assistant.journal.records import Escalation, Outcome, Part, Photo, Record, Remark, Work
from assistant.journal.store import Journal
from assistant.model import Branch, Note, Step
from assistant.tui.common.pressable import OfferLine
from assistant.tui.visit.working import Left, Working
from assistant.visiting.walk import acknowledge, tick
from tests.tui.bench import (
    CAP,
    LEAD,
    NARROW,
    ON_THE_WAY,
    REST,
    WIDE,
    Bench,
    answer,
    chain,
    key_of,
    line,
    offers,
    painted,
    press,
    said,
    tap,
)


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def test_not_mended_leads_on_and_the_chain_is_kept(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f10")
        await answer(pilot, "5")
        assert 'If it still fails - Look for a fault in the lead: "Pad lead cut or crushed".' in painted(pilot)
        assert offers(pilot) == ["Open: Pad lead cut or crushed", "Close"]
        await tap(pilot, pilot.app.screen.query(OfferLine).first())
        assert chain(pilot) == "Thumb stick cap torn or missing > Pad lead cut or crushed: step 1 of 7"
        child = bench.journal.all(Work)[-1]
        assert (child.parent, child.station, child.condition) == (work.id, "A-0142", "cap torn")
        await press(pilot, "f10")
        await answer(pilot, "4")
        assert offers(pilot) == ["Close"]
        await answer(pilot, "1")
    assert bench.outcomes() == [(work.id, "not_mended"), (child.id, "withdrawn")]
    assert bench.left == [Left(child, "withdrawn")]


async def _to_the_lead(pilot: Pilot[int]) -> None:
    await answer(pilot, "2")
    await press(pilot, "f2", "f3", "f3", "f3")
    await answer(pilot, "2")


async def test_a_choice_that_goes_to_another_note_leaves_the_first_for_good(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await _to_the_lead(pilot)
        assert offers(pilot) == ["Leave this note, and go to: Pad lead cut or crushed"]
        await press(pilot, "f3")
        assert said(pilot) == "pick one of the numbered lines first"
        await press(pilot, "f7")
        assert chain(pilot) == "Thumb stick cap torn or missing: step 5 of 5"
        await answer(pilot, "2", "1")
        assert chain(pilot) == "Thumb stick cap torn or missing > Pad lead cut or crushed: step 1 of 7"
        child = bench.journal.all(Work)[-1]
        assert bench.outcomes() == [(work.id, "led_on")]
        await press(pilot, "f10")
        assert len(offers(pilot)) == 5
        await answer(pilot, "1")
        assert offers(pilot) == ["Close"]
        await answer(pilot, "1")
    assert bench.outcomes() == [(work.id, "led_on"), (child.id, "mended")]
    assert bench.left == [Left(child, "mended")]


async def test_a_note_on_the_way_is_opened_at_once_and_comes_back_at_its_step(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1")
        assert chain(pilot) == "Pad acts up > Pad does odd things: step 1 of 2"
        child = bench.journal.all(Work)[-1]
        assert (child.parent, child.station, child.condition) == (work.id, "A-0142", "cap torn")
        await press(pilot, "f3", "f3", "f3")
        assert offers(pilot)[0] == "Done. Go on with: Pad acts up, step 3"
        assert len(offers(pilot)) == 6
        await answer(pilot, "1")
        assert chain(pilot) == "Pad acts up: step 3 of 3"
        await press(pilot, "f3")
        assert len(offers(pilot)) == 5
        await answer(pilot, "1")
    assert bench.outcomes() == [(child.id, "done"), (work.id, "mended")]


@pytest.mark.parametrize(("number", "state"), [("1", "step 3 of 3"), ("2", "ended")])
async def test_a_note_on_the_way_that_ended_otherwise_asks_how_to_go_on(bench: Bench, number: str, state: str) -> None:
    work = bench.begin(ON_THE_WAY)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1")
        await press(pilot, "f10")
        await answer(pilot, "5")
        assert offers(pilot)[:2] == [
            "Go on with: Pad acts up, step 3",
            "End with the same outcome (withdrawn): Pad acts up",
        ]
        await answer(pilot, number)
        assert chain(pilot) == f"Pad acts up: {state}"


def _resumed(bench: Bench, note_id: str, work: Work) -> Working:
    """Take a work up as after a kill, which closes nothing."""
    bench.open()
    return Working(bench.recorder, work, bench.notes[note_id], bench.notes.get, bench.clock)


def test_broken_off_on_the_way_it_goes_on_there_and_then_comes_back(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    working = Working(bench.recorder, work, bench.notes[ON_THE_WAY], bench.notes.get, bench.clock)
    bench.clock.pass_(seconds=10)
    working.take("1")
    working.done()
    child = bench.journal.all(Work)[-1]
    for begun in (work, child):
        working = _resumed(bench, begun.note, begun)
        assert (working.at.work.id, working.at.walk.step) == (child.id, 2)
    working.done()
    working.take("1")
    for _ in range(2):
        assert (working.at.work.id, working.at.walk.step, working.stage) == (work.id, 3, "step")
        working = _resumed(bench, ON_THE_WAY, work)
    assert len(bench.journal.all(Work)) == 2


def test_broken_off_before_the_note_on_the_way_began_it_is_offered(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    walk = bench.recorder.walk_of(work, bench.notes[ON_THE_WAY])
    bench.recorder.act(walk, tick(walk, 0))
    working = _resumed(bench, ON_THE_WAY, work)
    assert [offer.text for offer in working.offers] == ["Do it now: Pad does odd things", "Go on here: step 3"]
    working.take("1")
    assert working.at.work.note == REST


def test_broken_off_while_leaving_the_other_note_is_taken_up(bench: Bench) -> None:
    work = bench.begin(LEAD)
    note = bench.notes[LEAD]
    walk = bench.recorder.walk_of(work, note)
    for act in (acknowledge, tick, tick):
        walk = bench.recorder.act(walk, act(walk))
    walk = bench.recorder.act(walk, tick(walk, 0))
    working = _resumed(bench, LEAD, work)
    assert [offer.text for offer in working.offers] == ["Leave this note, and go to: Thumb stick cap torn or missing"]
    child = bench.recorder.begin(bench.notes[CAP], parent=work.id)
    working = _resumed(bench, LEAD, work)
    assert working.at.work.id == child.id
    assert bench.outcomes() == [(work.id, "led_on")]


def test_a_note_on_the_way_that_left_for_another_one_comes_back_from_there(bench: Bench) -> None:
    bench.notes[REST] = bench.notes[REST]._replace(
        steps=(Step(1, "Look again.", (Branch("If not", 'If not: go to "Lead".', note=LEAD),)),)
    )
    work = bench.begin(ON_THE_WAY)
    working = Working(bench.recorder, work, bench.notes[ON_THE_WAY], bench.notes.get, bench.clock)
    for _ in range(3):
        bench.clock.pass_(seconds=10)
        working.take("1")
    lead = bench.journal.all(Work)[-1]
    assert [one.note for one in working.at.chain] == [ON_THE_WAY, REST, LEAD]
    assert _resumed(bench, ON_THE_WAY, work).at.work.id == lead.id
    working.end()
    working.take("2")
    assert [offer.text.partition(":")[0] for offer in working.offers][-3:] == [
        "Go on with",
        "End with the same outcome (replaced)",
        "Close",
    ]
    again = _resumed(bench, ON_THE_WAY, work)
    assert [offer.text.partition(":")[0] for offer in again.offers] == [
        "Go on here",
        "End here with the same outcome",
        "Do it again",
    ]


async def test_long_chain_shows_its_last_notes(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        for _ in range(3):
            await press(pilot, "f10")
            bench.notes[LEAD] = bench.notes[LEAD]._replace(on_failure=(CAP,))
            await answer(pilot, "5", "1")
        assert chain(pilot).startswith("... > Thumb stick cap torn or missing > Pad lead cut or crushed: ")


async def test_note_that_is_not_there_is_said_in_words(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        del bench.notes[LEAD]
        await press(pilot, "f10")
        await answer(pilot, "5")
        assert offers(pilot) == ["Open: pad-cable-damage", "Close"]
        await answer(pilot, "1")
        assert said(pilot) == "no note 'pad-cable-damage' in this pack"
        assert len(bench.journal.all(Work)) == 1


async def test_escalation_asks_one_thing_after_the_other(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f10")
        await answer(pilot, "3", "")
        assert "cannot be empty" in said(pilot)
        await press(pilot, "f7")
        assert said(pilot) == "answer on the line first, or press Esc"
        await answer(pilot, "socket \x1b[31mloose", "", "second line", "Friday")
        assert "Ended: escalated" in painted(pilot)
    (made,) = bench.journal.all(Escalation)
    assert made[:6] == ("socket [31mloose", "A-0142", CAP, "", "second line", "Friday")
    assert bench.outcomes() == [(work.id, "escalated")]


async def test_cancelled_escalation_records_nothing(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f10")
        await answer(pilot, "3", "socket loose")
        await tap(pilot, key_of(pilot, "close"))
        assert len(pilot.app.screen.query(OfferLine)) == 5
    assert not bench.journal.all(Escalation)
    assert not bench.outcomes()


async def test_replaced_offers_the_parts(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f10")
        await answer(pilot, "2")
        assert offers(pilot) == ["Record as used: wired pad", "Record as used: cable tie", "Close"]
        await answer(pilot, "2")
        assert said(pilot) == "Recorded: 1 cable tie, used."
        assert offers(pilot) == ["Record as used: wired pad", "Close"]
    assert [(part.part, part.use, part.work) for part in bench.journal.all(Part)] == [("cable tie", "used", work.id)]


async def test_parts_pictures_and_remarks_are_recorded_beside(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f8")
        await answer(pilot, "9")
        assert said(pilot) == "type a number from 1 to 4, or use a key"
        await answer(pilot, "1", "7")
        assert said(pilot) == "name the part too, such as: 2 pad"
        await answer(pilot, "2 Cable Tie")
        assert said(pilot) == "Recorded: 2 cable tie, used."
        await press(pilot, "ctrl+y")
        await answer(pilot, "2", "1")
        assert said(pilot) == "Recorded: 1 wired pad, wanted."
        await press(pilot, "f8")
        await answer(pilot, "3", "C:\\pictures\\lead.jpg", "the cut")
        assert said(pilot) == "Recorded: picture lead.jpg."
        await press(pilot, "f8")
        await answer(pilot, "4", "shelf is wet")
        assert said(pilot) == "Recorded: the remark."
        assert chain(pilot) == "Pad lead cut or crushed: step 1 of 7"
    parts = [(part.part, part.use, part.quantity, part.station) for part in bench.journal.all(Part, work=work.id)]
    assert parts == [("cable tie", "used", 2, "A-0142"), ("wired pad", "wanted", 1, "A-0142")]
    assert [photo[:3] for photo in bench.journal.all(Photo)] == [("lead.jpg", "A-0142", "the cut")]
    assert [remark.text for remark in bench.journal.all(Remark)] == ["shelf is wet"]


async def test_full_disk_is_said_and_nothing_moves_on(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    work = bench.begin(CAP)

    def full(self: Journal, record: Record) -> Record:
        raise JournalError("journal.db:1: the disk is full: this was not recorded; make room")

    async def refused(pilot: Pilot[int], act: Callable[[], Awaitable[None]]) -> None:
        before = painted(pilot).partition(" journal.db:1")[0], chain(pilot), offers(pilot)
        with monkeypatch.context() as patch:
            patch.setattr(Journal, "add", full)
            await act()
        assert "the disk is full" in said(pilot)
        assert (chain(pilot), offers(pilot)) == before[1:]

    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await refused(pilot, lambda: answer(pilot, "2"))
        assert line(pilot).value == "2"
        assert bench.acts(work) == []
        await answer(pilot, "2")
        await refused(pilot, lambda: press(pilot, "f2"))
        assert "> 2. locked" in painted(pilot)
        await press(pilot, "f2")
        await refused(pilot, lambda: press(pilot, "f3"))
        await press(pilot, "f5")
        await refused(pilot, lambda: answer(pilot, "why not"))
        assert line(pilot).value == "why not"
        await press(pilot, "enter")
        assert "2. skipped" in painted(pilot)
        await press(pilot, "f10")
        await refused(pilot, lambda: answer(pilot, "1"))
    assert bench.outcomes() == []


async def test_escalation_is_recorded_once_where_the_outcome_had_to_be_told_again(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = bench.begin(CAP)
    real = Journal.add

    def full(self: Journal, record: Record) -> Record:
        if isinstance(record, Outcome):
            raise JournalError("the disk is full")
        return real(self, record)

    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f10")
        with monkeypatch.context() as patch:
            patch.setattr(Journal, "add", full)
            await answer(pilot, "3", "socket loose", "J-7", "", "Friday")
        assert said(pilot) == "the disk is full"
        await press(pilot, "enter")
        assert "Ended: escalated" in painted(pilot)
    assert len(bench.journal.all(Escalation)) == 1
    assert bench.outcomes() == [(work.id, "escalated")]
