"""How a work ends, what it leads on to, what is recorded beside it, and what a full disk does."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.errors import JournalError
from assistant.journal.records import Escalation, Outcome, Part, Photo, Record, Remark, Work
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.tui.widgets.work import OfferLine
from assistant.tui.working import Left, Working
from tests.tui.bench import (
    CAP,
    LEAD,
    NARROW,
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
        assert "If it still fails - Look for a fault in the lead: pad-cable-damage." in painted(pilot)
        assert offers(pilot) == ["Open: Pad lead cut or crushed (pad-cable-damage)", "Close"]
        await tap(pilot, pilot.app.screen.query(OfferLine).first())
        assert chain(pilot) == "pad-stick-cap > pad-cable-damage: step 1 of 7"
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


@pytest.mark.parametrize(("number", "outcomes"), [("1", ["mended"]), ("2", ["mended", "mended"])])
async def test_after_the_other_note_the_first_is_offered_again(bench: Bench, number: str, outcomes: list[str]) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await _to_the_lead(pilot)
        assert offers(pilot) == [
            "Open it now: Pad lead cut or crushed (pad-cable-damage)",
            "Go on here: to the outcome",
        ]
        await press(pilot, "f3")
        assert said(pilot) == "pick one of the numbered lines first"
        await answer(pilot, "1")
        assert chain(pilot) == "pad-stick-cap > pad-cable-damage: step 1 of 7"
        await press(pilot, "f10")
        await answer(pilot, "1")
        assert offers(pilot)[:2] == [
            "Go on with: Thumb stick cap torn or missing, to the outcome",
            "End with the same outcome (mended): Thumb stick cap torn or missing",
        ]
        await answer(pilot, number)
        state = "how did it end?" if number == "1" else "ended"
        assert chain(pilot) == f"pad-stick-cap: {state}"
    assert [outcome.outcome for outcome in bench.journal.all(Outcome)] == outcomes


async def test_going_on_here_opens_no_other_note(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "f2", "f3", "f3")
        await answer(pilot, "1", "2")
        assert chain(pilot) == "pad-cable-damage: step 4 of 7"
        assert "> 4. next" in painted(pilot)
    assert len(bench.journal.all(Work)) == 1


async def test_dropped_between_two_notes_both_are_found_again(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await _to_the_lead(pilot)
        await answer(pilot, "1")
    bench.open()
    child = bench.recorder.open_works()[0]
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1")
        assert len(bench.journal.all(Work)) == 2
        await press(pilot, "escape")
        await bench.show(pilot, child)
        assert chain(pilot) == "pad-stick-cap > pad-cable-damage: step 1 of 7"
        await press(pilot, "f10")
        await answer(pilot, "2")
    bench.open()
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        assert offers(pilot)[:2] == ["Go on here: to the outcome", "End here with the same outcome: replaced"]
        await answer(pilot, "2")
        assert "Ended: replaced" in painted(pilot)
    assert bench.outcomes() == [(child.id, "replaced"), (work.id, "replaced")]


def test_choice_made_again_leads_to_the_note_as_at_first(bench: Bench) -> None:
    working = Working(bench.recorder, bench.begin(LEAD), bench.notes[LEAD], bench.notes.get, bench.clock)
    working.read()
    for _ in range(2):
        working.done()
    for number in "11":
        bench.clock.pass_(seconds=10)
        working.take(number)
    working.end()
    working.take("1")
    above = bench.journal.all(Work)[0]
    for _ in range(2):
        working = Working(bench.recorder, above, bench.notes[LEAD], bench.notes.get, bench.clock)
        words = [offer.text.partition(":")[0] for offer in working.offers]
        assert words == ["Go on here", "End here with the same outcome", "Open it again"]
    working.back()
    bench.clock.pass_(seconds=10)
    working.take("1")
    assert [offer.text.partition(":")[0] for offer in working.offers] == ["Open it now", "Go on here"]
    again = Working(bench.recorder, above, bench.notes[LEAD], bench.notes.get, bench.clock)
    assert again.offers[0].text == working.offers[0].text


async def test_long_chain_shows_its_last_notes(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        for _ in range(3):
            await press(pilot, "f10")
            bench.notes[LEAD] = bench.notes[LEAD]._replace(if_it_still_fails="See pad-stick-cap.")
            await answer(pilot, "5", "1")
        assert chain(pilot).startswith("... > pad-cable-damage > pad-stick-cap > pad-cable-damage: ")


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
        assert chain(pilot) == "pad-cable-damage: step 1 of 7"
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
