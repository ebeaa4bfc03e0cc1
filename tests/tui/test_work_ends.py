"""How a work ends, what it leads on to, what is recorded beside it, and what a full disk does."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.errors import JournalError, UsageError
from assistant.journal.records import (
    Escalation,
    Incident,
    Outcome,
    Part,
    Photo,
    Record,
    Release,
    Remark,
    Swap,
    Work,
)
from assistant.journal.store import Journal
from assistant.model import Branch, Note, Step
from assistant.tui.common.pressable import OfferLine
from assistant.tui.visit.forms import CANCELLED
from assistant.tui.visit.working import Left, Working
from assistant.visiting.walk import NONE_OF_THESE, acknowledge, tick
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
    offers,
    painted,
    press,
    said,
    tap,
)

PNG = b"\x89PNG\r\n\x1a\n" + bytes(32)


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def test_not_mended_leads_on_and_the_chain_is_kept(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "end", "5")
        assert 'If it still fails - Look for a fault in the lead: "Pad lead cut or crushed".' in painted(pilot)
        assert offers(pilot) == ["Open: Pad lead cut or crushed", "Leave it at that"]
        await tap(pilot, pilot.app.screen.query(OfferLine).first())
        assert chain(pilot) == "A-0142, step 1 of 7: ... > Pad lead cut or crushed"
        child = bench.journal.all(Work)[-1]
        assert (child.parent, child.station, child.condition) == (work.id, "A-0142", "cap torn")
        await answer(pilot, "e", "4")
        assert offers(pilot) == ["Hand it over to the support desk now", "Leave it at that"]
        await answer(pilot, "2")
    assert bench.outcomes() == [(work.id, "not_mended"), (child.id, "withdrawn")]
    assert bench.left == [Left(child, "withdrawn")]


async def test_out_of_service_is_handed_over_at_once_in_two_fields(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    work = bench.begin(CAP)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "e", "4")
        await press(pilot, "enter", "enter")
        await answer(pilot, "J-9")
    (made,) = bench.journal.all(Escalation)
    assert (made.reason, made.station, made.job, made.work) == ("cap torn", "A-0142", "J-9", work.id)
    assert bench.left == [Left(work, "withdrawn")]


async def _to_the_lead(pilot: Pilot[int]) -> None:
    await answer(pilot, "2")
    await press(pilot, "space", "enter", "enter", "enter")
    await answer(pilot, "2")


async def test_a_choice_that_goes_to_another_note_leaves_the_first_for_good(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await _to_the_lead(pilot)
        assert offers(pilot) == ["Leave this note, and go to: Pad lead cut or crushed"]
        await answer(pilot, "skip")
        assert said(pilot) == "Pick one of the numbered lines first."
        await answer(pilot, "back")
        assert chain(pilot) == "A-0142, step 5 of 5: Thumb stick cap torn or missing"
        await answer(pilot, "2", "")
        assert chain(pilot) == "A-0142, step 1 of 7: ... > Pad lead cut or crushed"
        child = bench.journal.all(Work)[-1]
        assert bench.outcomes() == [(work.id, "led_on")]
        await answer(pilot, "e")
        assert len(offers(pilot)) == 5
        await answer(pilot, "1")
    assert bench.outcomes() == [(work.id, "led_on"), (child.id, "mended")]
    assert bench.left == [Left(child, "mended")]


async def test_a_note_on_the_way_is_opened_at_once_and_comes_back_at_its_step(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1")
        assert chain(pilot) == "A-0142, step 1 of 2: ... > Pad does odd things"
        child = bench.journal.all(Work)[-1]
        assert (child.parent, child.station, child.condition) == (work.id, "A-0142", "cap torn")
        await press(pilot, "enter", "enter")
        assert offers(pilot)[0] == "Done. Go on with: Pad acts up, step 3"
        assert len(offers(pilot)) == 6
        await press(pilot, "enter")
        assert chain(pilot) == "A-0142, step 3 of 3: Pad acts up"
        await press(pilot, "enter")
        assert len(offers(pilot)) == 5
        await press(pilot, "enter")
    assert bench.outcomes() == [(child.id, "done"), (work.id, "mended")]


async def test_a_note_on_the_way_that_ended_otherwise_asks_how_to_go_on(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1", "e", "6")
        assert offers(pilot) == [
            "Open: Pad lead cut or crushed",
            "Go on with: Pad acts up, step 3",
            "End with the same outcome (not mended): Pad acts up",
            "Leave it at that",
        ]
        await answer(pilot, "2")
        assert chain(pilot) == "A-0142, step 3 of 3: Pad acts up"


def test_taking_the_end_of_a_note_on_the_way_back_stands_in_it_again(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    working = Working(bench.recorder, work, bench.notes[ON_THE_WAY], bench.notes.get, bench.clock)
    working.take("1")
    working.done()
    working.done()
    working.pick(working.marked)
    assert working.at.work.id == work.id
    working.undo()
    assert (working.at.work.note, working.stage) == (REST, "outcome")


async def test_the_work_above_can_end_with_the_same_outcome(bench: Bench) -> None:
    work = bench.begin(ON_THE_WAY)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "1", "e", "6", "3", "2")
    child = bench.journal.all(Work)[-1]
    assert bench.outcomes() == [(child.id, "not_mended"), (work.id, "not_mended")]


def _resumed(bench: Bench, note_id: str, work: Work) -> Working:
    """Take a work up as after a kill, which closes nothing."""
    harm = bench.recorder.harm
    bench.open()
    bench.recorder.harm = harm
    return Working(bench.recorder, work, bench.notes[note_id], bench.notes.get, bench.clock)


def _lines(working: Working) -> list[str]:
    return [offer.text for offer in working.offers]


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
    assert _lines(working) == ["Do it now: Pad does odd things", "Go on here: step 3"]
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
    assert _lines(working) == ["Leave this note, and go to: Thumb stick cap torn or missing"]
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
    working.pick(working.marked)
    assert [text.partition(":")[0] for text in _lines(working)] == [
        "Go on with",
        "End with the same outcome (replaced)",
        "Leave it at that",
    ]
    again = _resumed(bench, ON_THE_WAY, work)
    assert [text.partition(":")[0] for text in _lines(again)] == [
        "Go on here",
        "End here with the same outcome",
        "Do it again",
    ]


SMOKE = "pad-smoke"


def _with_smoke(bench: Bench, *, on_the_way: bool) -> None:
    """Add a note on harm, and let the first choice of another lead to it."""
    smoke = bench.notes[REST]._replace(id=SMOKE, title="Smoke", action="withdraw", on_failure=())
    step = 3 if on_the_way else None
    does = Branch("If it smokes", f'If it smokes: do "{smoke.title}", then go to step 3.', step=step, note=SMOKE)
    first, *rest = bench.notes[ON_THE_WAY].steps
    bench.notes[ON_THE_WAY] = bench.notes[ON_THE_WAY]._replace(
        steps=(first._replace(branches=(does, first.branches[1])), *rest)
    )
    bench.notes[SMOKE] = smoke
    bench.recorder.harm = frozenset({SMOKE})


@pytest.mark.parametrize("on_the_way", [True, False])
def test_after_a_yes_to_smoke_nothing_offers_to_go_on(bench: Bench, on_the_way: bool) -> None:
    """What strangers found (A3): "Go on here" stood below a yes to smoke."""
    _with_smoke(bench, on_the_way=on_the_way)
    work = bench.begin(ON_THE_WAY)
    working = Working(bench.recorder, work, bench.notes[ON_THE_WAY], bench.notes.get, bench.clock)
    working.take("1")
    assert _lines(working) == ["Leave this note, and go to: Smoke"]
    assert _lines(_resumed(bench, ON_THE_WAY, work)) == ["Leave this note, and go to: Smoke"]
    working = _resumed(bench, ON_THE_WAY, work)
    working.pick(working.marked)
    assert bench.outcomes() == [(work.id, "led_on")]
    working.done()
    working.done()
    assert working.marked == 0
    assert not any("Go on" in text for text in _lines(working))
    working.take("1")
    assert _lines(working) == ["Hand it over to the support desk now", "Leave it at that"]


def test_what_led_to_harm_in_the_end_only_ends_as_that_did(bench: Bench) -> None:
    """A note on the way that led on to one on harm (A3)."""
    smoke = bench.notes[REST]._replace(id=SMOKE, title="Smoke", action="withdraw", on_failure=())
    bench.notes[SMOKE] = smoke
    bench.recorder.harm = frozenset({SMOKE})
    to_smoke = Branch("If it smokes", 'If it smokes: go to "Smoke".', note=SMOKE)
    rest = Branch("If not", "If not: the work is done.")
    bench.notes[REST] = bench.notes[REST]._replace(steps=(Step(1, "Look again.", (to_smoke, rest)),))
    work = bench.begin(ON_THE_WAY)
    working = Working(bench.recorder, work, bench.notes[ON_THE_WAY], bench.notes.get, bench.clock)
    for taken in ("1", "1", "1"):
        bench.clock.pass_(seconds=10)
        working.take(taken)
    assert [one.note for one in working.at.chain] == [ON_THE_WAY, REST, SMOKE]
    working.end()
    working.take("3")
    assert _lines(working) == ["End with the same outcome (not mended): Pad acts up", "Leave it at that"]
    assert _lines(_resumed(bench, ON_THE_WAY, work)) == ["End here with the same outcome: not mended"]


def test_old_record_of_a_way_back_from_harm_is_not_followed(bench: Bench) -> None:
    """A record that was made before a link to harm led there alone."""
    work = bench.begin(ON_THE_WAY)
    _with_smoke(bench, on_the_way=True)
    walk = bench.recorder.walk_of(work, bench.notes[ON_THE_WAY])
    bench.recorder.act(walk, tick(walk, 0))
    working = _resumed(bench, ON_THE_WAY, work)
    assert _lines(working) == ["Leave this note, and go to: Smoke"]


def test_grave_work_ends_out_of_service_first_and_never_just_mended(bench: Bench) -> None:
    """What strangers found (A4): a work on a burning smell ended as mended with one key."""
    _with_smoke(bench, on_the_way=False)
    bench.recorder.open_visit("S-1")
    work = bench.begin(SMOKE)
    working = Working(bench.recorder, work, bench.notes[SMOKE], bench.notes.get, bench.clock)
    working.done()
    working.done()
    assert _lines(working) == [
        "Taken out of service",
        "Handed over to the support desk",
        "Not mended",
        "It may be played again: somebody has released it",
    ]
    assert working.marked == 0
    working.take("4")
    working.take("Ann of the desk")
    with pytest.raises(UsageError, match="cannot be empty"):
        working.take("")
    working.take("R-7")
    assert bench.outcomes() == []
    working.pick(working.marked)
    (release,) = bench.journal.all(Release)
    (outcome,) = bench.journal.all(Outcome)
    assert (release.by, release.number, release.day) == ("Ann of the desk", "R-7", bench.recorder.today.isoformat())
    assert (outcome.outcome, outcome.entry) == ("mended", release.entry)
    assert working.closed


def test_mended_at_a_station_out_of_service_asks_for_its_release(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    before = bench.begin(LEAD)
    bench.recorder.end(before, "withdrawn")
    bench.clock.pass_(minutes=1)
    work = bench.begin(REST)
    working = Working(bench.recorder, work, bench.notes[REST], bench.notes.get, bench.clock)
    for _ in range(2):
        working.done()
    working.pick(working.marked)
    assert working.question == "A-0142 is out of service. Who released it?"
    for text in ("Ann", "R-7", "yesterday"):
        working.take(text)
    assert bench.outcomes()[-1] == (work.id, "mended")


def test_note_that_is_only_read_ends_as_done(bench: Bench) -> None:
    bench.notes[REST] = bench.notes[REST]._replace(action="inform")
    work = bench.begin(REST)
    working = Working(bench.recorder, work, bench.notes[REST], bench.notes.get, bench.clock)
    working.done()
    working.done()
    assert _lines(working)[0] == "Done: nothing was to be mended"
    assert not any("Mended" in text for text in _lines(working))
    working.pick(working.marked)
    assert bench.outcomes() == [(work.id, "done")]
    assert working.closed


@pytest.mark.parametrize("rest", ["If not", "If no", "Otherwise", "If there is none"])
def test_step_with_a_choice_for_the_rest_offers_no_other(bench: Bench, rest: str) -> None:
    step = Step(1, "Look.", (Branch("If lit", "If lit: the work is done."), Branch(rest, f"{rest}: go to step 2.", 2)))
    bench.notes[REST] = bench.notes[REST]._replace(steps=(step, Step(2, "Look again.")))
    working = Working(bench.recorder, bench.begin(REST), bench.notes[REST], bench.notes.get, bench.clock)
    assert NONE_OF_THESE not in _lines(working)


def test_nothing_is_marked_where_a_work_is_ended_early(bench: Bench) -> None:
    working = Working(bench.recorder, bench.begin(REST), bench.notes[REST], bench.notes.get, bench.clock)
    working.end()
    assert working.marked == 0
    working.back()
    working.done()
    working.done()
    assert working.marked == 1


async def test_long_chain_is_told_short(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        bench.notes[LEAD] = bench.notes[LEAD]._replace(on_failure=(CAP,))
        for _ in range(3):
            await answer(pilot, "e", "5", "1")
        assert chain(pilot) == "A-0142, step 1 of 7: ... > Pad lead cut or crushed"


async def test_note_that_is_not_there_is_said_in_words(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        del bench.notes[LEAD]
        await answer(pilot, "e", "5")
        assert offers(pilot) == ["Open: pad-cable-damage", "Leave it at that"]
        await answer(pilot, "1")
        assert said(pilot) == "No note 'pad-cable-damage' in this pack."
        assert len(bench.journal.all(Work)) == 1


async def test_hand_over_is_two_fields_and_one_entry(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "e", "3")
        assert offers(pilot) == ["cap torn"]
        await answer(pilot, "end")
        assert said(pilot) == "Answer on the line first, or press Esc."
        await answer(pilot, "socket \x1b[31mloose", "")
    (made,) = bench.journal.all(Escalation)
    (outcome,) = bench.journal.all(Outcome)
    assert made[:4] == ("socket [31mloose", "A-0142", CAP, "")
    assert (outcome.outcome, outcome.entry) == ("escalated", made.entry)
    assert bench.left == [Left(work, "escalated")]


async def test_cancelled_hand_over_records_nothing_and_says_so(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "e", "3", "socket loose")
        await tap(pilot, key_of(pilot, "escape"))
        assert said(pilot) == CANCELLED
        assert len(pilot.app.screen.query(OfferLine)) == 5
    assert not bench.journal.all(Escalation)
    assert not bench.outcomes()


@pytest.mark.parametrize(
    ("typed", "used"),
    [
        (("1 2",), ["wired pad 1", "cable tie 1"]),
        (("2", ""), ["cable tie 1"]),
        (("1", "1"), ["wired pad 1", "cable tie 1"]),
        (("3 cable ties", "1"), ["cable tie 3", "wired pad 1"]),
        (("",), []),
    ],
)
def test_replaced_asks_for_the_parts_in_one_entry(bench: Bench, typed: tuple[str, ...], used: list[str]) -> None:
    work = bench.begin(LEAD)
    working = Working(bench.recorder, work, bench.notes[LEAD], bench.notes.get, bench.clock)
    working.end()
    working.take("2")
    assert _lines(working) == ["wired pad", "cable tie", "A whole unit was exchanged", "No part was used"]
    for text in typed:
        assert bench.outcomes() == []
        if text:
            working.take(text)
        else:
            working.pick(working.marked)
    assert [f"{part.part} {part.quantity}" for part in bench.journal.all(Part, work=work.id, use="used")] == used
    (outcome,) = bench.journal.all(Outcome)
    assert {part.entry for part in bench.journal.all(Part)} <= {outcome.entry}
    assert working.closed


def test_replaced_takes_the_numbers_of_a_whole_unit(bench: Bench) -> None:
    work = bench.begin(LEAD)
    working = Working(bench.recorder, work, bench.notes[LEAD], bench.notes.get, bench.clock)
    working.end()
    for text in ("2", "3", "pad", "N-1"):
        working.take(text)
    with pytest.raises(UsageError, match="same number"):
        working.take("n-1")
    assert bench.outcomes() == []
    working.take("N-2")
    (swap,) = bench.journal.all(Swap)
    assert (swap.station, swap.unit, swap.taken_out, swap.put_in) == ("A-0142", "pad", "N-1", "N-2")
    assert bench.outcomes() == [(work.id, "replaced")]


async def test_parts_pictures_and_remarks_are_recorded_beside(bench: Bench) -> None:
    work = bench.begin(LEAD)
    picture = bench.path.with_name("lead.png")
    picture.write_bytes(PNG)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "record", "9")
        assert said(pilot) == "Type 1 to 5."
        await answer(pilot, "1", "unicorn")
        assert "no part that is known here" in said(pilot)
        await answer(pilot, "2 Cable Ties", "1")
        assert said(pilot) == "Recorded: 2 cable ties, used."
        await answer(pilot, "r", "1", "1", "2")
        assert said(pilot) == "Recorded: 1 wired pad, wanted."
        await answer(pilot, "r", "2", "nowhere.png", "the cut")
        assert "nowhere.png" in said(pilot)
        await press(pilot, "escape")
        await answer(pilot, "r", "2", str(picture), "the cut")
        assert said(pilot) == "Recorded: picture lead.png."
        await answer(pilot, "r", "3", "shelf is wet")
        assert said(pilot) == "Recorded: the remark."
        await answer(pilot, "r", "4")
        assert "no visit is open" in said(pilot)
        await press(pilot, "escape")
        bench.recorder.open_visit("S-014")
        await answer(pilot, "r", "4", "4", "a toe under the foot of it", "")
        assert said(pilot) == "Recorded: a near miss."
        assert chain(pilot) == "A-0142, step 1 of 7: Pad lead cut or crushed"
    parts = [(part.part, part.use, part.quantity, part.station) for part in bench.journal.all(Part, work=work.id)]
    assert parts == [("cable tie", "used", 2, "A-0142"), ("wired pad", "wanted", 1, "A-0142")]
    assert [photo[:3] for photo in bench.journal.all(Photo)] == [("lead.png", "A-0142", "the cut")]
    assert [remark.text for remark in bench.journal.all(Remark)] == ["shelf is wet"]
    told = [(one.text, one.station) for one in bench.journal.all(Incident)]
    assert told == [("a toe under the foot of it", "A-0142")]


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
        assert bench.acts(work) == []
        await answer(pilot, "2")
        await refused(pilot, lambda: press(pilot, "space"))
        assert "> 2. locked" in painted(pilot)
        await press(pilot, "space")
        await refused(pilot, lambda: press(pilot, "enter"))
        await answer(pilot, "skip")
        await refused(pilot, lambda: answer(pilot, "why not"))
        await answer(pilot, "why not")
        assert "2. skipped" in painted(pilot)
        await answer(pilot, "e")
        await refused(pilot, lambda: answer(pilot, "1"))
    assert bench.outcomes() == []


async def test_hand_over_whose_outcome_was_not_recorded_is_not_recorded_either(
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
        await answer(pilot, "e", "3", "1")
        with monkeypatch.context() as patch:
            patch.setattr(Journal, "add", full)
            await answer(pilot, "J-7")
        assert said(pilot) == "The disk is full."
        assert not bench.journal.all(Escalation)
        await answer(pilot, "J-7")
    assert len(bench.journal.all(Escalation)) == 1
    assert bench.outcomes() == [(work.id, "escalated")]
