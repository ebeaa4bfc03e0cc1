"""Words of harm on the screens of a visit: heard wherever text is typed, taken for nothing else, nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assistant.journal.records import Arrival, Closing, Question, Remark, Sighting, Visit, Work
from assistant.model import Note
from assistant.tui.visit.harm_screen import HarmScreen
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.work_screen import WorkScreen
from tests.tui.bench import CAP, LEAD, NARROW, REST, WIDE, Bench, answer, at_foot, chain, line, painted, press, said
from tests.tui.conftest import EMERGENCY
from tests.tui.test_visit_manners import STORE, known, visit

HARM = "the pad is puffed up"
SWOLLEN = "safety-swollen-cell"
NOT_TAKEN = f"'{HARM}' was not taken as an answer: go on where you stood."


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def heard(bench: Bench, pilot: Pilot[int]) -> None:
    """Type words of harm and hold the card that comes up; then go back."""
    below = pilot.app.screen
    await answer(pilot, HARM)
    assert isinstance(pilot.app.screen, HarmScreen)
    shown = painted(pilot)
    note = bench.notes[SWOLLEN]
    places = [shown.index(EMERGENCY), shown.index(note.title)]
    places += [shown.index(f"! {note.safety[0].signal}"), shown.index("1. Move everybody away")]
    assert places == sorted(places)
    await press(pilot, "enter")
    assert "Type the number of a line, 1 to" in said(pilot)
    await press(pilot, "escape")
    assert pilot.app.screen is below
    assert said(pilot) == NOT_TAKEN


@pytest.mark.parametrize("size", [WIDE, NARROW])
@pytest.mark.parametrize(
    ("id", "texts", "head"),
    [(LEAD, [], "step 1 of 7"), (CAP, [], "step 1 of 5"), (REST, ["k"], "step 1 of 2"), (CAP, ["e"], "at the end")],
    ids=["locked", "choice", "reason", "outcome"],
)
async def test_words_of_harm_are_heard_at_a_work(
    bench: Bench, size: tuple[int, int], id: str, texts: list[str], head: str
) -> None:
    """What a stranger found: at a locked step there was nothing but that the message was to be read."""
    work = bench.begin(id)
    async with bench.app().run_test(size=size) as pilot:
        screen = await bench.show(pilot, work)
        await answer(pilot, *texts)
        asked = screen.at_work.question
        await heard(bench, pilot)
        assert screen.at_work.question == asked
        assert chain(pilot).startswith(f"A-0142, {head}")
    assert bench.acts(work) == []
    assert bench.outcomes() == []
    assert [one.id for one in bench.recorder.open_works()] == [work.id]
    assert [asked.text for asked in bench.journal.all(Question)] == [HARM]


@pytest.mark.parametrize(
    "texts",
    [[], ["S-1"], ["S-1", "Ina"], ["S-1", "Ina", "", "x"], ["S-1", "Ina", "", "r", "1"], ["S-1", "Ina", "", "y"]],
    ids=["shop", "who-visits", "permission", "takes-over", "part", "plan"],
)
async def test_words_of_harm_are_heard_at_every_question_of_a_visit(bench: Bench, texts: list[str]) -> None:
    """What a stranger found: a console on fire became the name of who took the visit over."""
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, *texts)
        before = screen.at_visit.question, screen.at_visit.page
        await heard(bench, pilot)
        assert (screen.at_visit.question, screen.at_visit.page) == before
    assert {one.rep for one in bench.journal.all(Visit)} <= {"Ina"}
    assert bench.journal.all(Arrival) == []
    assert bench.journal.all(Closing) == []


async def test_words_of_harm_are_heard_on_the_round_also_with_a_number(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot)
        asks = screen._asks
        told, _ = asks.ask(HARM)
        asks.answers["all of the 3 pads puffed up"] = told  # type: ignore[attr-defined]
        await answer(pilot, "all of the 3 pads puffed up")
        assert isinstance(pilot.app.screen, HarmScreen)
        await press(pilot, "escape")
        await heard(bench, pilot)


async def test_closing_goes_on_after_words_of_harm(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "Ina", "", "x")
        await heard(bench, pilot)
        await answer(pilot, "Bo", "2", "")
    assert [one.taken_by for one in bench.journal.all(Closing)] == ["Bo"]


async def test_what_is_meant_as_an_answer_is_taken_where_that_is_picked(bench: Bench) -> None:
    """A person may be called Blaze."""
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "Ina", HARM)
        assert bench.journal.all(Arrival) == []
        await press(pilot, "pagedown", "pagedown")
        assert f"3 No harm is meant: '{HARM}' is the answer" in painted(pilot)
        await answer(pilot, "3")
        assert said(pilot) == f"Permission by {HARM}. Recorded."
    assert len(bench.journal.all(Arrival)) == 1


async def test_the_note_on_harm_is_worked_through_above_what_stands_open(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        below = await bench.show(pilot, work)
        await answer(pilot, HARM, "1")
        above = pilot.app.screen
        assert isinstance(above, WorkScreen)
        assert above is not below
        assert chain(pilot).endswith(bench.notes[SWOLLEN].title)
        await answer(pilot, HARM, "1")
        assert pilot.app.screen is above
        await press(pilot, "escape")
        assert pilot.app.screen is below
        assert "> 1. locked" in painted(pilot)
    assert sorted(one.note for one in bench.journal.all(Work)) == sorted([LEAD, SWOLLEN])
    assert len(bench.recorder.open_works()) == 2


async def test_further_words_on_the_card_are_heard_and_others_are_not_taken(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, HARM)
        await answer(pilot, "and now")
        assert said(pilot) == "Type the number of a line, 1 to 3, or press Esc."
        await answer(pilot, HARM)
        await press(pilot, "pagedown", "pagedown")
        assert "2 Go back to what stood before" in painted(pilot)
        assert "No harm is meant" not in painted(pilot)
        await answer(pilot, "2")
        assert isinstance(pilot.app.screen, VisitScreen)
        assert said(pilot) == NOT_TAKEN


@pytest.mark.parametrize("texts", [["r", "3", HARM], ["r", "4", "2", HARM, ""]], ids=["remark", "near-miss"])
async def test_where_harm_is_what_is_told_it_is_recorded_as_it_stands(bench: Bench, texts: list[str]) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, *texts)
        assert isinstance(pilot.app.screen, VisitScreen)
        assert said(pilot).startswith("Recorded: ")
    assert bench.journal.all(Question) == []


async def test_fault_of_a_station_is_taken_with_its_messages_as_before(bench: Bench) -> None:
    known(bench, "A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, f"A-1 {HARM}")
        assert isinstance(pilot.app.screen, VisitScreen)
        assert EMERGENCY in painted(pilot)
        await press(pilot, "escape")
        await answer(pilot, "A-1", HARM)
        assert isinstance(pilot.app.screen, VisitScreen)
        assert EMERGENCY in painted(pilot)


async def test_a_pack_that_cannot_be_asked_hinders_no_answer(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, STORE, "Ina", "damaged")
        assert said(pilot) == "Permission by damaged. Recorded."


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_work_on_harm_names_on_whom_to_call_before_all_else(bench: Bench, size: tuple[int, int]) -> None:
    work = bench.begin(SWOLLEN)
    async with bench.app().run_test(size=size) as pilot:
        await bench.show(pilot, work)
        shown = painted(pilot)
        title = bench.notes[SWOLLEN].title
        assert shown.index(EMERGENCY) < shown.index(f": {title}" if size == NARROW else f" {title} Station")
        await press(pilot, "space", "enter")
        assert EMERGENCY in painted(pilot)
        await press(pilot, "escape")
        await bench.show(pilot, bench.begin(CAP))
        assert EMERGENCY not in painted(pilot)


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_what_comes_before_the_steps_stands_before_the_first(bench: Bench, size: tuple[int, int]) -> None:
    """What a stranger found: at 40x24 what never to do stood below the step in which it is done."""
    note = bench.notes[REST]._replace(before_you_start=("Never hold it.", "Never push it."))
    bench.notes[REST] = note
    async with bench.app().run_test(size=size) as pilot:
        await bench.show(pilot, bench.begin(REST))
        shown = painted(pilot)
        places = [shown.index(text) for text in ("Never hold it.", "Never push it.", "> 1. next")]
        assert places == sorted(places)
        assert shown.count("Never hold it.") == 1


async def test_step_that_is_out_of_view_is_shown_before_it_is_ticked(bench: Bench) -> None:
    bench.notes[REST] = bench.notes[REST]._replace(before_you_start=("Clear the floor around it.",) * 30)
    work = bench.begin(REST)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        assert "> 1. next" not in painted(pilot)
        await press(pilot, "enter")
        assert said(pilot) == "Read the step first, then press Enter again."
        assert "> 1. next" in painted(pilot)
        assert bench.acts(work) == []
        await press(pilot, "enter")
        assert bench.acts(work) == [("done", 1, "")]


async def test_locked_step_offers_nothing_that_is_refused_and_says_once_what_to_do(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        assert at_foot(pilot) == ["record", "end", "help"]
        await answer(pilot, "")
        assert painted(pilot).count("Read the message") == 1
        await press(pilot, "space")
        assert at_foot(pilot) == ["skip", "end", "help"]
        await press(pilot, "enter")
        assert at_foot(pilot) == ["skip", "back", "end", "help"]


@pytest.mark.parametrize("texts", [["S-1"], ["rep A-0201 stick drifts"], ["S-1", "Ina", "", "x"]])
async def test_label_of_a_station_begins_no_name(bench: Bench, texts: list[str]) -> None:
    """What a stranger found: a fault that was typed early became the name of the rep."""
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, *texts)
        asked = screen.at_visit.question
        if "rep" not in texts[0]:
            await answer(pilot, "A-0201 stick drifts")
        assert said(pilot) == "'A-0201 stick drifts' begins with the label of a station: type a name."
        assert screen.at_visit.question == asked
        assert screen.at_visit.at_shop.rep in {"", "Ina"}
    assert bench.journal.all(Closing) == []


async def test_name_that_was_typed_is_taken_back_with_the_visit(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await visit(bench, pilot, "S-1", "Ina", "", "u")
        assert bench.journal.all(Visit) == []
        assert screen.at_visit.at_shop.rep == ""
        await answer(pilot, "S-1")
        assert screen.at_visit.question == "Who visits? May be empty"
        await answer(pilot, "Bo")
        assert [one.rep for one in bench.journal.all(Visit)] == ["Bo"]
        assert line(pilot).value == ""
    assert bench.journal.all(Remark) == []
    assert bench.journal.all(Sighting) == []
