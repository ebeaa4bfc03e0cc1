"""Working through a note under a rep's hands: steps, messages, waits, going on after a crash, keys and looks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual.pilot import Pilot
from textual.theme import Theme

from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.journal.records import Act, Work
from assistant.model import Branch, Figure, Note, SafetyMessage, Step
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.record import Record as RecordPane
from assistant.tui.common.theme import PAIRS, THEMES, colours
from assistant.tui.visit.forms import CANCELLED
from assistant.tui.visit.work_screen import WorkScreen
from assistant.tui.visit.working import EARLY, READ_FIRST, Left, Working
from tests.tui.bench import (
    CAP,
    LEAD,
    NARROW,
    ON_THE_WAY,
    REST,
    WIDE,
    Bench,
    answer,
    at_foot,
    chain,
    key_of,
    line,
    offers,
    painted,
    press,
    said,
    tap,
    tap_foot,
    until,
)
from tests.tui.test_contrast import LEAST, Rgb, _painted, contrast, rgb

Compare = Callable[..., bool]
HOSTILE = "[bold red]x[/] [@click=app.exit]y[/] \x1b[2J\x1b]0;t\x07 \u202e\u200d\ufeff\x00 \U0001f9f0 end"
_DOINGS = ["read", "done", "skip", "wait", "back", "end", "record", "undo", "cancel", "1", "2", "3", "no key", ""]


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def test_first_page_names_what_is_needed_before_the_first_step(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=(100, 60)) as pilot:
        await bench.show(pilot, work)
        shown = painted(pilot)
        pieces = ["A-0142, step 1 of 5: Thumb stick cap torn or missing", "Replace about 6 min", "Station: A-0142"]
        pieces += ["Fault: cap torn", "Parts: wired pad", "Tools: cabinet key", "Before you start"]
        pieces += ["> 1. next: Look at both sticks", "1 If both caps sit firmly", "2 None of these: go on."]
        places = [shown.index(piece) for piece in pieces]
        assert places == sorted(places)
        assert "Unplug the pad" not in shown
        await answer(pilot, "all")
        for step in bench.notes[CAP].steps[1:]:
            assert f"{step.n}. later: " in painted(pilot)
        assert "! CAUTION" in painted(pilot)


@pytest.mark.parametrize("size", [(100, 60), NARROW])
async def test_a_picture_is_told_under_its_step_and_under_no_message(bench: Bench, size: tuple[int, int]) -> None:
    figures = (Figure("look.svg", "Both sticks from above", 1), Figure("part.svg", "The part in its place", 2))
    bench.notes[CAP] = bench.notes[CAP]._replace(figures=figures)
    work = bench.begin(CAP)
    async with bench.app().run_test(size=size) as pilot:
        await bench.show(pilot, work)
        shown = " ".join(painted(pilot).split())
        told = "Picture: Both sticks from above (pad/look.svg)"
        assert shown.index("1. next: Look at both sticks") < shown.index(told)
        assert "The part in its place" not in shown
        if size != NARROW:
            await answer(pilot, "all")
            shown = " ".join(painted(pilot).split())
            assert shown.index("2. later: ") < shown.index("Picture: The part in its place") < shown.index("3. later: ")


@pytest.mark.parametrize(
    ("id", "first", "how"),
    [
        (CAP, "> 1. next: Look at both sticks", "Number of a line, then Enter"),
        (LEAD, "Switch the console off before you touch the lead.", "Read it, then press Space"),
        (REST, "> 1. next: Leave the pad alone", "Enter when it is done"),
    ],
)
async def test_small_first_page_shows_the_first_step_and_how_to_go_on(
    bench: Bench, id: str, first: str, how: str
) -> None:
    """What strangers missed (D4): at 40x24 nothing told how to go on."""
    work = bench.begin(id)
    async with bench.app().run_test(size=NARROW) as pilot:
        await bench.show(pilot, work)
        shown = painted(pilot)
        assert first in shown
        assert how in shown
        assert 0 < shown.index("Needs: ") < shown.index(first)
        assert pilot.app.screen.query_one("#head").region.height == 1


async def test_whole_walk_is_recorded_step_by_step(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "enter")
        assert said(pilot) == "What did you find? Type the number of a line, 1 to 2."
        await answer(pilot, "7")
        assert said(pilot) == "Type 1 to 2."
        await answer(pilot, "2")
        for refused in ("", "skip", "done", "time", "what"):
            await answer(pilot, refused)
            assert said(pilot) == READ_FIRST
        assert "> 2. locked: Unplug the pad" in painted(pilot)
        assert "Keep your thumb off the bare stick." in painted(pilot)
        await press(pilot, "space")
        assert "You have read this." in painted(pilot)
        await press(pilot, "space")
        assert said(pilot) == "No message is waiting to be read."
        bench.clock.pass_(seconds=40)
        await press(pilot, "enter")
        await answer(pilot, "k", "  ")
        assert "cannot be empty" in said(pilot)
        await answer(pilot, "no key at hand")
        assert "3. skipped: Open the cabinet with the cabinet key. (no key at hand)" in painted(pilot)
        await answer(pilot, "", "1")
        assert "The figure in the game walks each way." in painted(pilot)
        assert chain(pilot) == "A-0142, at the end: Thumb stick cap torn or missing"
        assert offers(pilot)[0] == "Mended: it works again"
        bench.clock.pass_(minutes=5)
        await press(pilot, "enter")
        assert not isinstance(pilot.app.screen, WorkScreen)
    assert bench.acts(work) == [
        ("done", 1, ""),
        ("acknowledged", 2, ""),
        ("done", 2, ""),
        ("skipped", 3, "no key at hand"),
        ("done", 4, ""),
        ("done", 5, ""),
    ]
    assert [act.seconds for act in bench.journal.all(Act, act="done")] == [0, 40, 0, 0]
    assert bench.outcomes() == [(work.id, "mended")]
    assert bench.left == [Left(work, "mended")]


async def test_all_steps_show_their_states_in_words(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=(100, 60)) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "space", "enter")
        await answer(pilot, "skip", "no room", "a")
        shown = painted(pilot)
        for piece in ("1. done: Switch", "2. skipped: Unplug the pad at the console. (no room)", "> 3. next: Look"):
            assert piece in shown
        assert "4. later: Open" in shown
        await answer(pilot, "a")
        assert "4. later" not in painted(pilot)


def test_steps_that_a_choice_jumps_over_are_left_out(bench: Bench) -> None:
    note = bench.notes[CAP]
    jump = Step(1, "Look at it.", (Branch("If it is whole", "If it is whole: go to step 4.", step=4),))
    work = bench.begin(CAP)
    working = Working(bench.recorder, work, note._replace(steps=(jump, *note.steps[1:])), bench.notes.get, bench.clock)
    working.take("1")
    assert [state.word for state in working.at.steps] == ["done", "left out", "left out", "next", "later"]


async def test_back_goes_to_the_step_before(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "b")
        assert said(pilot) == "This is the first step."
        await answer(pilot, "2")
        await press(pilot, "space", "enter")
        await answer(pilot, "back", "b")
        assert chain(pilot) == "A-0142, step 1 of 5: Thumb stick cap torn or missing"
        await answer(pilot, "2")
        assert "> 2. next" in painted(pilot)
        await answer(pilot, "end", "back")
        assert chain(pilot) == "A-0142, step 2 of 5: Thumb stick cap torn or missing"
    assert [act[:2] for act in bench.acts(work)][-3:] == [("back", 2), ("back", 1), ("done", 1)]


@pytest.mark.parametrize(("size", "keys"), [(WIDE, []), (NARROW, [])])
async def test_message_out_of_view_cannot_be_acknowledged(bench: Bench, size: tuple[int, int], keys: list[str]) -> None:
    note = bench.notes[CAP]
    bench.notes[LEAD] = bench.notes[LEAD]._replace(before_you_start=note.before_you_start * 20)
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=size) as pilot:
        await bench.show(pilot, work)
        await press(pilot, *keys)
        assert "bare wires" not in painted(pilot)
        await press(pilot, "space")
        assert said(pilot) == "Read this message first, then press Space again."
        assert "Switch the console off before you touch the lead." in painted(pilot)
        assert bench.acts(work) == []
        await press(pilot, "space")
        assert bench.acts(work) == [("acknowledged", 1, "")]


async def test_two_messages_are_acknowledged_one_by_one(bench: Bench) -> None:
    note = bench.notes[LEAD]
    second = SafetyMessage("NOTICE", "Dust harms the plug. It fails later. Keep the cap on.", 1)
    bench.notes[LEAD] = note._replace(safety=(*note.safety, second))
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=(100, 60)) as pilot:
        await bench.show(pilot, work)
        await tap(pilot, key_of(pilot, "read"))
        assert "> 1. locked" in painted(pilot)
        assert painted(pilot).count("You have read this.") == 1
        await tap(pilot, key_of(pilot, "read"))
        assert "> 1. next" in painted(pilot)
        await tap(pilot, key_of(pilot, "done"))
        assert chain(pilot) == "A-0142, step 2 of 7: Pad lead cut or crushed"


async def test_countdown_runs_and_an_early_tick_is_asked_twice(bench: Bench) -> None:
    work = bench.begin(REST)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        assert "This step tells to wait 02:00." in painted(pilot)
        await answer(pilot, "time", "t")
        assert said(pilot) == "The countdown has begun already."
        bench.clock.pass_(seconds=29.5)
        await until(pilot, lambda: "Wait: 01:31 left of 02:00." in painted(pilot))
        await press(pilot, "enter")
        assert said(pilot) == f"01:31 are left. Do the same again to go on {EARLY}."
        assert bench.acts(work) == [("waiting", 1, "")]
        await press(pilot, "enter")
        assert bench.acts(work)[1:] == [("done", 1, EARLY)]
        assert f"1. done: Leave the pad alone for two minutes. ({EARLY})" in painted(pilot)
        await answer(pilot, "t")
        assert said(pilot) == "This step tells no time to wait."


async def test_end_of_the_countdown_is_said_in_words(bench: Bench) -> None:
    work = bench.begin(REST)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await tap(pilot, key_of(pilot, "time"))
        bench.clock.pass_(seconds=120)
        await until(pilot, lambda: said(pilot) == "The time is up.")
        await until(pilot, lambda: "The time is up: 02:00 have passed." in painted(pilot))
        await press(pilot, "enter")
    assert bench.acts(work) == [("waiting", 1, ""), ("done", 1, "")]


async def test_countdown_goes_on_after_a_crash(bench: Bench) -> None:
    work = bench.begin(REST)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "t")
    bench.open()
    bench.clock.pass_(seconds=80)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, bench.recorder.open_works()[0])
        assert "Wait: 00:40 left of 02:00." in painted(pilot)


async def test_app_dropped_in_mid_step_goes_on_where_it_stood(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "2")
        await press(pilot, "space")
        await answer(pilot, "skip", "already out", "skip")
        await press(pilot, "h", "a", "l", "f")
    bench.open()
    (again,) = bench.recorder.open_works()
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, again)
        assert chain(pilot) == "A-0142, step 3 of 5: Thumb stick cap torn or missing"
        assert "2. skipped: Unplug the pad from the console. (already out)" in painted(pilot)
        assert said(pilot) == ""
        assert line(pilot).value == ""


async def test_revised_note_begins_at_its_first_step_and_says_so(bench: Bench) -> None:
    work = bench.begin(CAP)
    bench.recorder.act(bench.recorder.walk_of(work, bench.notes[CAP]), Act(work.id, "done", 1, to_step=2))
    bench.notes[CAP] = bench.notes[CAP]._replace(revision=2)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        assert said(pilot) == "The note is at revision 2 now, no longer 1: it begins at step 1."
        assert chain(pilot) == "A-0142, step 1 of 5: Thumb stick cap torn or missing"


@pytest.mark.parametrize("size", [(100, 90), (40, 90)])
async def test_hostile_note_is_shown_as_it_stands(bench: Bench, size: tuple[int, int]) -> None:
    note = bench.notes[CAP]
    step = Step(1, HOSTILE, (Branch(HOSTILE, HOSTILE, note=LEAD), Branch("If not", "If not: " + HOSTILE, step=2)))
    bench.notes[CAP] = note._replace(
        title=HOSTILE,
        steps=(step, *note.steps[1:]),
        safety=(SafetyMessage("WARNING", HOSTILE, 1),),
        parts=(HOSTILE,),
        before_you_start=(HOSTILE,),
        result=HOSTILE,
        if_it_still_fails=HOSTILE,
    )
    bench.notes[LEAD] = bench.notes[LEAD]._replace(title=HOSTILE)
    work = bench.recorder.begin(bench.notes[CAP], condition=HOSTILE)
    async with bench.app().run_test(size=size) as pilot:
        await bench.show(pilot, work)
        shown = painted(pilot)
        assert shown.count("[bold red]x[/]") >= 7
        await press(pilot, "space")
        await answer(pilot, "1")
        shown += painted(pilot)
        await answer(pilot, "record", "1")
        shown += painted(pilot)
        await press(pilot, "escape")
        await answer(pilot, "end")
        shown += painted(pilot)
        await answer(pilot, "5")
        shown += painted(pilot)
        await answer(pilot, "1")
        shown += painted(pilot)
        assert shown.count("[bold red]x[/]") >= 14
        assert not set("\x1b\x07\x00\u202e\u200d\ufeff") & set(shown)
        assert pilot.app.is_running


@pytest.mark.parametrize("leave", ["", "leave", "l"])
async def test_leaving_asks_nothing_and_tells_the_caller(bench: Bench, leave: str) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "2")
        if leave:
            await answer(pilot, leave)
        else:
            await press(pilot, "escape")
        assert bench.left == [Left(work)]
        assert not isinstance(pilot.app.screen, WorkScreen)
        assert pilot.app.is_running


async def test_escape_takes_back_one_thing_at_a_time(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        screen = await bench.show(pilot, work)
        await answer(pilot, "r", "3")
        await press(pilot, "escape")
        assert screen.at_work.ask is None
        assert said(pilot) == CANCELLED
        await answer(pilot, "h")
        await press(pilot, "escape")
        assert "> 1. locked" in painted(pilot)
        await press(pilot, "x", "escape")
        assert line(pilot).value == ""
        assert bench.left == []
        await press(pilot, "escape")
        assert bench.left == [Left(work)]


async def test_ctrl_c_closes_at_the_second_time(bench: Bench) -> None:
    work = bench.begin(CAP)
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "ctrl+c")
        assert "again" in said(pilot)
        await press(pilot, "x", "ctrl+c")
        assert app.is_running
        await pilot.press("ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


async def test_help_names_every_action_and_what_to_type(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=(100, 60)) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "help")
        shown = painted(pilot)
        for action in WorkScreen.ACTIONS:
            assert action.tooltip in shown
        await answer(pilot, "h")
        assert "> 1. next" in painted(pilot)


async def test_behind_help_nothing_is_done(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "h")
        await press(pilot, "space")
        assert "> 1. locked" in painted(pilot)
        assert bench.acts(work) == []
        await press(pilot, "space")
        assert bench.acts(work) == [("acknowledged", 1, "")]


async def test_second_press_on_a_line_that_is_gone_does_nothing(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "e")
        last = pilot.app.screen.query(OfferLine).last()
        last.action_press()
        last.action_press()
        await pilot.pause()
        assert "Ended: not mended" in painted(pilot)
        assert bench.left == []


async def test_all_that_goes_on_can_be_tapped(bench: Bench) -> None:
    """Gloves, one thumb: nothing needs a key (common practice)."""
    bench.notes[LEAD] = bench.notes[LEAD]._replace(
        steps=(Step(1, "Wait for two minutes."), *bench.notes[LEAD].steps[1:])
    )
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=(100, 60)) as pilot:
        await bench.show(pilot, work)
        await tap(pilot, key_of(pilot, "read"))
        assert at_foot(pilot) == ["time", "skip", "end", "help"]
        await tap(pilot, key_of(pilot, "time"))
        bench.clock.pass_(minutes=2)
        await tap(pilot, key_of(pilot, "done"))
        assert at_foot(pilot) == ["skip", "back", "end", "help"]
        await tap_foot(pilot, "back")
        await tap_foot(pilot, "skip")
        assert pilot.app.focused is line(pilot)
        await tap(pilot, key_of(pilot, "escape"))
        await tap_foot(pilot, "end")
        await tap(pilot, pilot.app.screen.query(OfferLine).first())
    assert [act[:2] for act in bench.acts(work)] == [("acknowledged", 1), ("waiting", 1), ("done", 1), ("back", 1)]
    assert bench.outcomes() == [(work.id, "mended")]


async def test_offer_is_reached_with_tab_and_typing_goes_to_the_line(bench: Bench) -> None:
    work = bench.begin(CAP)
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "tab", "7")
        assert line(pilot).value == "7"
        await press(pilot, "backspace", "tab", "down", "enter")
        assert bench.acts(work) == [("done", 1, "")]
        await pilot.click(pilot.app.screen.query_one(RecordPane), offset=(1, 0))
        assert pilot.app.focused is line(pilot)


async def test_narrow_safety_message_has_no_box(bench: Bench) -> None:
    work = bench.begin(LEAD)
    async with bench.app().run_test(size=(40, 60)) as pilot:
        await bench.show(pilot, work)
        assert "┏" not in painted(pilot)
        await pilot.resize_terminal(100, 60)
        await pilot.pause()
        assert "┏" in painted(pilot)


def test_every_action_of_the_screen_has_its_method() -> None:
    assert all(hasattr(WorkScreen, f"action_{action.id}") for action in WorkScreen.ACTIONS)


async def test_what_was_recorded_last_is_taken_back(bench: Bench) -> None:
    work = bench.recorder.take_up(bench.notes[LEAD], station="A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await answer(pilot, "r", "3", "shelf is wet", "u")
        assert said(pilot) == "Taken back: A-1: remark."
        await answer(pilot, "undo")
        assert bench.left == [Left(work)]
    assert bench.journal.all(Work) == []


async def test_what_has_gone_on_is_not_taken_back(bench: Bench) -> None:
    work = bench.recorder.take_up(bench.notes[LEAD], station="A-1")
    async with bench.app().run_test(size=WIDE) as pilot:
        await bench.show(pilot, work)
        await press(pilot, "space", "enter")
        await answer(pilot, "u")
        assert "has gone on since" in said(pilot)
    assert bench.journal.all(Work) == [work]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(_DOINGS), max_size=25), st.sampled_from([CAP, LEAD, REST, ON_THE_WAY]))
def test_whatever_is_done_a_new_start_stands_where_this_one_stood(bench: Bench, doings: list[str], id: str) -> None:
    working = Working(bench.recorder, bench.begin(id), bench.notes[id], bench.notes.get, bench.clock)
    for doing in doings:
        try:
            getattr(working, doing)() if doing.isalpha() else working.take(doing)
        except AssistantError as error:
            assert isinstance(error, UsageError)
        at = working.at
        again = Working(bench.recorder, at.work, at.note, bench.notes.get, bench.clock)
        assert again.at.walk == at.walk
        assert again.at.steps == at.steps
        assert again.at.chain == at.chain
        assert again.result == working.result
        skipped = [act for act in at.acts if act.act == "skipped"]
        assert all(act.reason for act in skipped)


@pytest.mark.parametrize("width", [100, 40])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_every_painted_pair_is_readable_and_named(bench: Bench, theme: Theme, width: int) -> None:
    named = {(rgb(colours(theme)[a]), rgb(colours(theme)[b])) for a, b in PAIRS}
    app = bench.app()
    app.theme = theme.name
    seen: set[tuple[Rgb, Rgb]] = set()
    async with app.run_test(size=(width, 60)) as pilot:
        for name in (LEAD, REST):
            await bench.show(pilot, bench.begin(name))
            for text in ("a", " ", "t", "", "k", "-", "r", "-", "e", "h", "-", "tab", "-"):
                if text in {" ", "-", "tab"}:
                    await press(pilot, {" ": "space", "-": "escape"}.get(text, text))
                else:
                    await answer(pilot, text)
                seen |= set(_painted(app))
    assert len(seen) >= 8
    assert not {pair for pair in seen if contrast(*pair) < LEAST}
    assert seen <= named


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
@pytest.mark.parametrize(
    ("id", "keys"),
    [
        (LEAD, []),
        (CAP, ["2", "enter", "space", "enter", "enter", "enter"]),
        (REST, ["t", "enter"]),
        (CAP, ["e", "enter"]),
        (CAP, ["e", "enter", "4", "enter"]),
        (CAP, ["e", "enter", "5", "enter", "1", "enter"]),
        (LEAD, ["space", "enter", "k", "enter"]),
        (LEAD, ["space", "enter", "a", "enter"]),
    ],
    ids=["safety", "choices", "countdown", "outcome", "out-of-service", "chain", "reason", "all-steps"],
)
def test_work_looks_as_before(
    bench: Bench, snap_compare: Compare, id: str, keys: list[str], size: tuple[int, int]
) -> None:
    work = bench.begin(id)

    async def act(pilot: Pilot[int]) -> None:
        await bench.show(pilot, work)
        await press(pilot, *keys)
        await pilot.pause()

    assert snap_compare(bench.app(), terminal_size=size, run_before=act)
