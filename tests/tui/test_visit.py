"""A whole visit under a rep's hands: the shop, the round, faults and their notes, works, closing, and its looks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.theme import Theme

from assistant.errors import ExitCode, JournalError
from assistant.journal.records import Closing, Outcome, Question, Visit, Work
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.tui.ask.app import StationApp
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.settings import Settings
from assistant.tui.common.theme import PAIRS, THEMES, colours
from assistant.tui.visit.at_visit import AtVisit
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.widgets import VisitEntry
from assistant.tui.visit.work_screen import WorkScreen
from assistant.visiting.report import visit_report
from assistant.visiting.report_forms import report_markdown
from assistant.visiting.walk import pending
from tests.tui.bench import NARROW, WIDE, Bench, answer, at_foot, line, painted, press, said, tap, tap_foot
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
            await press(pilot, "space")
        elif screen.at_work.offers:
            await answer(pilot, picked.pop(0) if picked else "1")
        else:
            await press(pilot, "enter")


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
async def test_a_visit_of_five_stations(bench: Bench, size: tuple[int, int]) -> None:
    """A branch, a chain after "not mended", a hand-over, one out of service, and a work taken up again after a kill."""
    async with bench.app().run_test(size=size) as pilot:
        await visit(bench, pilot, "s-014", "Ina")
        assert said(pilot) == "The visit at S-014 is open: nothing is open from before."
        await answer(pilot, "Bo", "a-1 pass", f"a-2 fault {CAP}")
        assert offered(pilot)[0] == "Work through it now: Thumb stick cap torn or missing, about 6 min"
        await press(pilot, "enter")
        await work_on(bench, pilot, "1")
        await press(pilot, "enter")
        assert said(pilot) == "A-2: mended. Recorded."

        await answer(pilot, f"a-3 fault {CAP}", "1")
        await work_on(bench, pilot, "2", "2")
        assert isinstance(pilot.app.screen, WorkScreen)
        assert pilot.app.screen.at_work.stage == "leads"
        await press(pilot, "enter")
        await work_on(bench, pilot, "2", "1")
        await answer(pilot, "2", "1", "")
        assert said(pilot) == "A-3: replaced. Recorded."

        await answer(pilot, "a-4 fault when do i get paid", "1", "a-4", "4", "", "J-9")
        assert said(pilot) == "A-4: handed over to the support desk. Recorded."

        await answer(pilot, "a-5 fault the game is odd", "1")
        await work_on(bench, pilot, until=3)
    bench.journal.close()

    bench.clock.pass_(days=1)
    bench.open()
    async with bench.app().run_test(size=size) as pilot:
        await visit(bench, pilot)
        assert offered(pilot)[-1] == "Go on: A-5, Wipe a dirty demo disc the right way, step 3"
        await answer(pilot, str(len(offered(pilot))))
        assert isinstance(pilot.app.screen, WorkScreen)
        await answer(pilot, "e", "4", "", "", "J-10", "x")
        assert "5 stations seen: 1 pass, 4 faults" in painted(pilot)
        await answer(pilot, "", "", "")
        assert at(pilot).page == "closed"
        assert "J-9" in at(pilot).closed.message  # type: ignore[union-attr]
        assert "OUT OF SERVICE" in painted(pilot)

    outcomes = {work.id: work.note for work in bench.journal.all(Work)}
    assert [(outcomes[o.work], o.outcome) for o in bench.journal.all(Outcome)] == [
        ("pad-stick-cap", "mended"),
        ("pad-stick-cap", "led_on"),
        ("pad-cable-damage", "replaced"),
        ("disc-clean", "withdrawn"),
    ]
    text = report_markdown(visit_report(bench.journal), True)
    for fact in ("S-014", "Ina", "Bo", "If both caps sit firmly: the work is done.", "J-9", "J-10", "OUT OF SERVICE"):
        assert fact.replace("-", "\\-") in text or fact in text, fact


async def test_shops_are_offered_with_what_is_open_and_none_is_taken_by_accident(bench: Bench) -> None:
    for store in ("S-1", "S-2", "S-1", "S-3"):
        bench.recorder.open_visit(store, "Ina")
        if store == "S-2":
            bench.recorder.see("A-1", "fault", condition="lamp dark")
        bench.recorder.close_visit(next_visit="2026-03-04" if store == "S-2" else "")
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        due, *others = offered(pilot)
        assert due.startswith("S-2: 1 open point, due Wed 2026-03-04")
        assert others == ["S-3: nothing is open", "S-1: nothing is open"]
        assert at(pilot).marked == 0
        await press(pilot, "enter")
        assert len(bench.journal.all(Visit)) == 4
        await answer(pilot, "3")
        opened = bench.journal.all(Visit)[4:]
        assert [(one.store, one.rep) for one in opened] == [("S-1", "Ina")]


async def test_rep_is_remembered_and_can_be_changed(bench: Bench) -> None:
    bench.recorder.open_visit("S-1", "Ina")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        assert "Who visits: Ina" in painted(pilot)
        await answer(pilot, "rep Mo", "S-1")
        assert bench.recorder.visit is not None
        assert bench.recorder.visit.rep == "Mo"


async def test_what_was_left_open_is_shown_and_can_be_given_an_owner_and_a_day(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    bench.recorder.see("A-1", "fault", condition="lamp dark")
    bench.recorder.part("pad", "wanted", station="A-1")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "S-1")
        assert said(pilot) == "The visit at S-1 is open: 2 open points from before."
        await answer(pilot, "")
        assert offered(pilot) == [
            "A-1: passes now, next (it had: lamp dark)",
            "A-1 not seen yet: lamp dark",
        ]
        assert "seen to by: rep" in painted(pilot)
        await answer(pilot, "open")
        assert len(offered(pilot)) == 2
        await answer(pilot, "1", "Ann", "tomorrow")
        assert said(pilot) == "A-1: Ann sees to it. Recorded."
        assert "seen to by: Ann, by Tue 2026-03-03" in painted(pilot)
        await answer(pilot, "p")
        assert at(pilot).page == "round"


async def test_closing_names_first_what_must_not_be_forgotten(bench: Bench) -> None:
    bench.recorder.open_visit("S-1")
    for station in ("A-1", "A-2", "A-3"):
        bench.recorder.see(station, "pass")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=(40, 60)) as pilot:
        await visit(bench, pilot, "S-1", "", "A-2 pass")
        bench.recorder.take_up(bench.notes["disc-clean"], station="A-2")
        work = bench.recorder.take_up(bench.notes["pad-cable-damage"], station="A-3", condition="smokes")
        bench.recorder.see("A-3", "fault", condition="smokes")
        bench.recorder.end(work, "withdrawn")
        await answer(pilot, "p", "p", "x")
        text = painted(pilot)
        names = ["! A-3 is out of service (smokes), and nobody", "! Not finished: A-2", "! Not seen: A-1"]
        places = [text.index(name) for name in names]
        assert places == sorted(places)
        assert bench.recorder.visit is not None
        await press(pilot, "escape")
        assert at(pilot).page == "round"
        assert bench.journal.all(Closing)[1:] == []


async def test_closing_takes_who_how_and_when_and_its_report_is_saved_and_copied(bench: Bench, tmp_path: Path) -> None:
    """What strangers missed (D8): the report was not on the screen, and nothing could be saved or copied."""
    app = bench.app()
    app.settings = Settings(tmp_path / "home")
    async with app.run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "S-1", "", "", "A-1 pass", "s")
        assert said(pilot).startswith("Close the visit first")
        await answer(pilot, "close", "Bo", "2", "in 2 weeks")
        (closing,) = bench.journal.all(Closing)
        assert (closing.taken_by, closing.signed, closing.next_visit) == ("Bo", "typed", "2026-03-16")
        assert at_foot(pilot)[:2] == ["save", "copy"]
        assert "Message for the desk" in painted(pilot)
        assert "Stations A-1 passes" in painted(pilot)
        await answer(pilot, "save")
        (text,) = (tmp_path / "home" / "saved").glob("*.txt")
        assert said(pilot) == f"Saved in {text.parent}: {text.name}, and the report: {text.stem}.html."
        assert "Shop S-1" in text.read_text("utf-8")
        assert "<html" in text.with_suffix(".html").read_text("utf-8")
        await answer(pilot, "c")
        assert said(pilot) == "Copied."
        assert app.clipboard == text.read_text("utf-8")
        await answer(pilot, "1")
        assert at(pilot).page == "shop"


async def test_what_is_refused_is_said_and_nothing_moves(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot, "")
        assert said(pilot).startswith("Type the code of the shop")
        for word in ("x", "p", "rest"):
            await answer(pilot, word)
            assert said(pilot).startswith("No visit is open")
        await answer(pilot, "S-1", "", "", "A-1 pass", "99 2")
        assert "begins with no asset label" in said(pilot)

        def full(*_: object) -> None:
            raise JournalError("journal.db:1: the disk is full")

        with monkeypatch.context() as patch:
            patch.setattr(Journal, "add", full)
            await answer(pilot, "A-1 pass")
        assert "disk is full" in said(pilot)
        assert line(pilot).value == ""


async def test_hostile_shop_and_fault_are_text(bench: Bench) -> None:
    bench.recorder.open_visit("S-1", "[bold red]x[/] \x1b[31m <b>")
    bench.recorder.close_visit()
    async with bench.app().run_test(size=WIDE) as pilot:
        await visit(bench, pilot)
        assert "[bold red]x[/] [31m <b>" in painted(pilot)
        await answer(pilot, "S-1", "", "A-1 [red]it[/] is \x1b]8;;odd", "1")
        assert "[red]it[/]" in painted(pilot)


async def test_words_taps_help_and_leaving(bench: Bench) -> None:
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, "visit")
        assert shown(pilot) == "VisitScreen"
        await answer(pilot, "h")
        assert "undo (u): Take back the last entry." in painted(pilot)
        await press(pilot, "escape")
        await answer(pilot, "S-1", "", "", "A-1 pass")
        await tap_foot(pilot, "open")
        assert at(pilot).page == "open"
        await answer(pilot, "back")
        assert at(pilot).page == "round"
        await tap(pilot, list(app.screen.query(OfferLine))[1])
        assert at(pilot).question.startswith("A-1: how is it?")
        await answer(pilot, "leave")
        assert shown(pilot) == "StationScreen"
        assert said(pilot) == "Ask about A-1."
        await answer(pilot, CAP, "work")
        assert shown(pilot) == "WorkScreen"
        assert bench.journal.all(Work)[-1].station == "A-1"
        await press(pilot, "escape")
        assert "not finished" in said(pilot)
        assert [question.text for question in bench.journal.all(Question)] == [CAP]
        await answer(pilot, "v")
        await press(pilot, "ctrl+c")
        assert "again to close" in said(pilot)
        await press(pilot, "ctrl+c")
    assert app.return_value == ExitCode.INTERRUPTED


async def test_without_a_journal_questions_are_answered(bench: Bench) -> None:
    app = StationApp(ScriptedAsks(bench.notes), str, bench.notes.get)
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP)
        for word in ("work", "wrong", "visit"):
            await answer(pilot, word)
            assert "no journal" in said(pilot)


def test_every_action_of_the_screen_has_its_method() -> None:
    assert all(hasattr(VisitScreen, f"action_{action.id}") for action in VisitScreen.ACTIONS)


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
        texts = (
            "S-1",
            "",
            "",
            "A-1 pass",
            f"A-2 {CAP}",
            "1",
            "5",
            "p",
            "p",
            "y",
            "y",
            "g",
            "g",
            "h",
            "h",
            "x",
            "",
            "",
            "",
        )
        for text in texts:
            await answer(pilot, text)
            seen |= set(_painted(app))
        await press(pilot, "tab")
        seen |= set(_painted(app))
    assert len(seen) >= 6
    assert not {pair for pair in seen if contrast(*pair) < LEAST}
    assert seen <= named


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["100x30", "40x24"])
@pytest.mark.parametrize(
    "page", ["shop", "permission", "round", "station", "fault", "safety", "rest", "open", "closing", "closed"]
)
def test_visit_looks_as_before(bench: Bench, snap_compare: Compare, page: str, size: tuple[int, int]) -> None:
    recorder = bench.recorder
    recorder.open_visit("S-014", "Ina")
    for station in ("A-1", "A-2", "A-3", "A-4"):
        bench.clock.pass_(minutes=1)
        recorder.see(station, "pass", model="disc" if station == "A-1" else "pad")
    recorder.see("A-2", "fault", condition="lamp dark")
    recorder.close_visit(next_visit="2026-03-04")
    bench.clock.pass_(days=1)
    if page not in {"shop", "permission"}:
        recorder.open_visit("S-014", "Ina")
        recorder.see("A-1", "pass")
        recorder.part("wired pad", "wanted", station="A-2")
        recorder.take_up(bench.notes["disc-clean"], station="A-3", condition="greasy")

    async def act(pilot: Pilot[int]) -> None:
        await visit(bench, pilot)
        texts = {
            "permission": ["S-014"],
            "station": ["A-4"],
            "fault": [f"A-3 {CAP}"],
            "safety": ["A-3 the pad is puffed up"],
            "rest": ["rest"],
            "open": ["p"],
            "closing": ["x"],
            "closed": ["x", "Bo", "", ""],
        }
        await answer(pilot, *texts.get(page, []))
        assert pilot.app.screen.query(VisitEntry)
        assert line(pilot).has_focus
        await pilot.pause()

    assert snap_compare(bench.app(), terminal_size=size, run_before=act)
