"""A whole visit under a rep's hands: the shop, the round, faults and their notes, works, closing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.theme import Theme

from assistant.errors import ExitCode, JournalError
from assistant.journal.records import Feedback, Outcome, Question, Work
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.tui.ask.app import StationApp
from assistant.tui.common.actions import ACTIONS
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.theme import PAIRS, THEMES, colours
from assistant.tui.visit.actions import VISIT_ACTIONS
from assistant.tui.visit.at_visit import AtVisit
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.widgets import VisitEntry
from assistant.tui.visit.work_screen import WorkScreen
from assistant.visiting.report import visit_report
from assistant.visiting.report_forms import report_markdown
from assistant.visiting.walk import pending
from tests.tui.bench import NARROW, WIDE, Bench, answer, key_of, line, painted, press, said, tap
from tests.tui.conftest import ScriptedAsks
from tests.tui.test_contrast import LEAST, _painted, contrast, rgb

Compare = Callable[..., bool]
CAP = "controller stick cap broken?"


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as made:
        yield made


async def visit(bench: Bench, pilot: Pilot[int], *texts: str) -> VisitScreen:
    screen = VisitScreen(bench.recorder, ScriptedAsks(bench.notes), bench.notes.get, clock=bench.clock)
    await pilot.app.push_screen(screen)
    await pilot.pause()
    await answer(pilot, *texts)
    return screen


def at(pilot: Pilot[int]) -> AtVisit:
    screen = pilot.app.screen
    assert isinstance(screen, VisitScreen)
    return screen.at_visit


def offered(pilot: Pilot[int]) -> list[str]:
    return [offer.text for offer in at(pilot).offers]


def shown(pilot: Pilot[int]) -> str:
    return type(pilot.app.screen).__name__


async def work_on(bench: Bench, pilot: Pilot[int], *picks: str, until: int = 99) -> None:
    """Read, tick and pick through the work on the screen, a minute an act, up to a step."""
    picked = list(picks)
    while isinstance(screen := pilot.app.screen, WorkScreen) and screen.at_work.stage == "step":
        bench.clock.pass_(minutes=1)
        walk = screen.at_work.at.walk
        if walk.step >= until:
            return
        if pending(walk):
            await press(pilot, "f2")
        elif screen.at_work.offers:
            await answer(pilot, picked.pop(0) if picked else "1")
        else:
            await press(pilot, "f3")


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
async def test_a_visit_of_five_stations(bench: Bench, size: tuple[int, int]) -> None:
    """A branch, a chain after "not mended", an escalation, a withdrawal, and a work taken up again after a kill."""
    async with bench.app().run_test(size=size) as pilot:
        await visit(bench, pilot, "s-014", "Ina")
        assert "0 open points" in said(pilot)
        await answer(pilot, "a-1 pass", "a-2", "2", CAP)
        assert "(pad-stick-cap)" in offered(pilot)[0]
        await answer(pilot, "1", "1")
        await work_on(bench, pilot, "1")
        await answer(pilot, "1", "1")
        assert "A-2: mended" in said(pilot)

        await answer(pilot, f"a-3 fault {CAP}", "1", "1")
        await work_on(bench, pilot, "2", "2")
        assert isinstance(pilot.app.screen, WorkScreen)
        assert pilot.app.screen.at_work.stage == "leads"
        await answer(pilot, "1")
        await work_on(bench, pilot, "2", "1")
        await answer(pilot, "2")
        work = pilot.app.screen
        assert isinstance(work, WorkScreen)
        assert [one.note for one in work.at_work.at.chain] == ["pad-stick-cap", "pad-cable-damage"]
        await press(pilot, "escape")

        await answer(pilot, "a-4 fault when do i get paid", "1")
        await answer(pilot, "a-4", "4", "no note for it", "J-9", "desk", "2026-03-09")
        assert "handed to the support desk" in said(pilot)

        await answer(pilot, "a-5 fault the game is odd", "1", "1")
        await work_on(bench, pilot, until=3)
    bench.journal.close()

    bench.clock.pass_(days=1)
    bench.open()
    async with bench.app().run_test(size=size) as pilot:
        await visit(bench, pilot)
        assert offered(pilot)[0] == "Go on: A-5, disc-clean, step 3"
        await answer(pilot, "1")
        assert isinstance(pilot.app.screen, WorkScreen)
        await press(pilot, "f10")
        await answer(pilot, "4")
        await press(pilot, "escape")
        await press(pilot, "f10")
        assert "5 stations seen: 1 pass, 4 fault" in painted(pilot)
        await answer(pilot, "1")
        assert at(pilot).page == "closed"
        assert "J-9" in at(pilot).handoff

    outcomes = {work.id: work.note for work in bench.journal.all(Work)}
    assert [(outcomes[o.work], o.outcome) for o in bench.journal.all(Outcome)] == [
        ("pad-stick-cap", "mended"),
        ("pad-stick-cap", "led_on"),
        ("pad-cable-damage", "replaced"),
        ("disc-clean", "withdrawn"),
    ]
    text = report_markdown(visit_report(bench.journal))
    for fact in (
        "S-014",
        "Ina",
        "If both caps sit firmly: the work is done.",
        "led on from pad-stick-cap",
        "no note for it",
        "J-9",
        "withdrawn from service",
        "broken off and taken up again",
        "read before step 2: CAUTION: A bare stick has a sharp edge.",
    ):
        assert fact in text, fact


async def test_shops_visited_before_are_offered_latest_first(bench: Bench) -> None:
    for store in ("S-1", "S-2", "S-1", "S-3"):
        bench.recorder.open_visit(store)
        bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        assert offered(pilot) == ["Shop S-3", "Shop S-1", "Shop S-2"]
        await answer(pilot, "2", "")
        assert bench.recorder.visit is not None
        assert bench.recorder.visit.store == "S-1"


async def test_what_was_left_open_is_shown(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    bench.recorder.see("A-1", "fault", condition="lamp dark")
    bench.recorder.part("pad", "wanted", station="A-1")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "S-1", "")
        assert "2 open points from before" in said(pilot)
        assert offered(pilot) == ["A-1 ? not seen yet: lamp dark"]
        await press(pilot, "f7")
        assert "A-1: lamp dark" in painted(pilot)
        assert "1 pad" in painted(pilot)
        await press(pilot, "f7")
        assert at(pilot).page == "round"


async def test_closing_warns_of_what_is_not_done(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    bench.recorder.see("A-1", "pass")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "S-1", "", "A-2 pass")
        bench.begin("disc-clean")
        await press(pilot, "f7", "f7", "f10")
        assert "Not seen: A-1" in painted(pilot)
        assert bench.recorder.visit is not None
        await answer(pilot, "2")
        assert at(pilot).page == "round"


async def test_parts_pictures_and_remarks_of_a_station(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "S-1", "")
        await answer(pilot, "A-1", "3", "2", "2 pad", "A-1", "3", "3", "../x.jpg", "lead", "A-1", "3", "4", "all fine")
        report = visit_report(bench.journal).visits[0]
        assert report.stations[0].wanted == ("2 pad",)
        assert report.stations[0].photos == ("x.jpg (lead)",)
        assert report.stations[0].remarks == ("all fine",)


async def test_what_is_refused_is_said_and_nothing_moves(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "")
        assert "type something" in said(pilot)
        await press(pilot, "f10")
        assert "no visit is open" in said(pilot)
        await answer(pilot, "S-1", "", "A-1 broken")
        assert "a station reads" in said(pilot)

        def full(*_: object) -> None:
            raise JournalError("journal.db:1: the disk is full")

        with monkeypatch.context() as patch:
            patch.setattr(Journal, "add", full)
            await answer(pilot, "A-1 pass")
        assert "disk is full" in said(pilot)
        assert at(pilot).seen == set()
        await answer(pilot, "A-1 pass")
        assert at(pilot).seen == {"A-1"}


async def test_hostile_shop_and_station_are_text(bench: Bench) -> None:
    hostile = "[bold red]x[/] \x1b[31m <b>"
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, hostile, hostile)
        assert "[BOLD RED]X[/] [31M <B>" in painted(pilot)
        at(pilot)._pick("[link=x]a[/]")
        await answer(pilot, "A-1 fault [red]it[/] is \x1b]8;;odd")
        await answer(pilot, "1")
        assert "[red]it[/]" in painted(pilot)


async def test_keys_taps_help_and_leaving(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await press(pilot, "f8")
        assert shown(pilot) == "VisitScreen"
        await press(pilot, "f4")
        assert "F10 or Ctrl+P" in painted(pilot)
        await press(pilot, "escape")
        await answer(pilot, "S-1", "")
        await tap(pilot, key_of(pilot, "open_points"))
        assert at(pilot).page == "open"
        await tap(pilot, next(iter(app.screen.query(OfferLine))))
        assert at(pilot).page == "round"
        await answer(pilot, "A-7")
        await press(pilot, "f5")
        assert shown(pilot) == "StationScreen"
        assert "Ask about A-7" in said(pilot)
        await answer(pilot, CAP)
        await press(pilot, "f5")
        assert shown(pilot) == "WorkScreen"
        assert bench.journal.all(Work)[-1].station == "A-7"
        await press(pilot, "escape")
        assert "not finished" in said(pilot)
        assert [question.text for question in bench.journal.all(Question)] == [CAP]
        await press(pilot, "f8", "ctrl+c")
        assert "again to close" in said(pilot)
        await press(pilot, "ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


async def test_not_helpful_is_kept_with_its_question(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await press(pilot, "f7", "f5")
        assert "Ask first" in said(pilot)
        await answer(pilot, CAP)
        await press(pilot, "f7")
        assert "authors will see" in said(pilot)
    assert [(entry.question, entry.verdict) for entry in bench.journal.all(Feedback)] == [(1, "not_helpful")]


async def test_without_a_journal_questions_are_answered(bench: Bench) -> None:
    app = StationApp(ScriptedAsks(bench.notes), str, bench.notes.get)
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP)
        for key in ("f5", "f7", "f8"):
            await press(pilot, key)
            assert "no journal" in said(pilot)


def test_every_action_has_a_way_to_tap_it_and_a_method() -> None:
    for action in VISIT_ACTIONS:
        assert hasattr(VisitScreen, f"action_{action.id}")
        assert action.tap or action.id in {"ask", "open_points", "close_visit", "help", "theme", "leave"}
    keys = [key for action in VISIT_ACTIONS for key in action.keys]
    assert len(keys) == len(set(keys))
    assert {action.id for action in ACTIONS} >= {"work", "visit", "not_helpful"}


@pytest.mark.parametrize("width", [100, 40])
@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
async def test_every_painted_pair_is_readable_and_named(bench: Bench, theme: Theme, width: int) -> None:
    named = {(rgb(colours(theme)[a]), rgb(colours(theme)[b])) for a, b in PAIRS}
    app = bench.app()
    app.theme = theme.name
    seen = set()
    async with app.run_test(size=(width, 60)) as pilot:
        await visit(bench, pilot)
        seen |= set(_painted(app))
        for text in ("S-1", "", "A-1 pass", f"A-2 fault {CAP}", "1", "2"):
            await answer(pilot, text)
            seen |= set(_painted(app))
        for key in ("f7", "f10", "f4", "tab"):
            await press(pilot, key)
            seen |= set(_painted(app))
    assert len(seen) >= 6
    assert not {pair for pair in seen if contrast(*pair) < LEAST}
    assert seen <= named


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
@pytest.mark.parametrize("page", ["shop", "round", "fault", "closing", "closed"])
def test_visit_looks_as_before(bench: Bench, snap_compare: Compare, page: str, size: tuple[int, int]) -> None:
    if page != "shop":
        bench.recorder.open_visit("S-014", "Ina")
        bench.recorder.see("A-1", "pass", model="disc")
        bench.recorder.see("A-2", "fault", model="pad", condition="lamp dark")
        bench.recorder.part("wired pad", "wanted", station="A-2")
        bench.begin("disc-clean")

    async def act(pilot: Pilot[int]) -> None:
        await visit(bench, pilot)
        if page == "fault":
            await answer(pilot, f"A-3 fault {CAP}")
        if page in {"closing", "closed"}:
            await press(pilot, "f10")
        if page == "closed":
            await answer(pilot, "1")
        assert pilot.app.screen.query(VisitEntry)
        assert line(pilot).has_focus
        await pilot.pause()

    assert snap_compare(bench.app(), terminal_size=size, run_before=act)
