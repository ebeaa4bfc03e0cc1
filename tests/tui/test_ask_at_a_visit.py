"""Asking while a visit is open: the head, a label on the line, a work that is taken up and not begun twice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.errors import ExitCode, JournalError
from assistant.journal.records import Feedback, Question, Work
from assistant.model import Answer, Note
from assistant.tui.ask.app import StationApp
from assistant.tui.ask.screen import StationScreen
from assistant.tui.common.question import QuestionLine
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.work_screen import WorkScreen
from tests.tui.bench import CAP, NARROW, WIDE, Bench, answer, chain, painted, press, said
from tests.tui.conftest import ScriptedAsks

ASKED = "controller stick cap broken?"


@pytest.fixture
def bench(tmp_path: Path, mini_notes: dict[str, Note]) -> Iterator[Bench]:
    with Bench(tmp_path / "journal.db", mini_notes) as bench:
        yield bench


@pytest.fixture
def at_shop(bench: Bench) -> Bench:
    """A visit at which one of two known stations was seen."""
    bench.recorder.open_visit("S-014")
    bench.recorder.see("A-0101", "pass")
    bench.recorder.see("A-0102", "pass")
    bench.recorder.close_visit()
    bench.recorder.open_visit("S-014")
    bench.recorder.see("A-0101", "pass")
    return bench


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_the_open_visit_stands_in_the_head(at_shop: Bench, size: tuple[int, int]) -> None:
    async with at_shop.app().run_test(size=size) as pilot:
        await pilot.pause()
        assert chain(pilot) == "Visit at S-014, 1 of 2 stations seen"
        await answer(pilot, ASKED)
        assert painted(pilot).startswith("Visit at S-014, 1 of 2 stations seen")


async def test_without_a_visit_there_is_no_head(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, ASKED)
        assert pilot.app.screen.query_one("#head").display is False
        bench.recorder.open_visit("S-014")
        await answer(pilot, ASKED)
        assert chain(pilot) == "Visit at S-014, no station seen yet"


@pytest.mark.parametrize("typed", ["A-0101 fault stick drifts", "a0102 stick drifts", "A-0101"])
async def test_a_line_that_begins_with_a_known_label_goes_to_the_visit(at_shop: Bench, typed: str) -> None:
    async with at_shop.app().run_test(size=WIDE) as pilot:
        await answer(pilot, typed)
        await pilot.pause()
        assert isinstance(pilot.app.screen, VisitScreen)
        assert "A-010" in painted(pilot)
        assert at_shop.journal.all(Question) == [] or "stick" in typed


@pytest.mark.parametrize("typed", ["2 pads dead", "A-0999 fault", "0101", "the stick of A-0101 drifts"])
async def test_other_lines_are_asked(at_shop: Bench, typed: str) -> None:
    async with at_shop.app().run_test(size=WIDE) as pilot:
        await answer(pilot, typed)
        assert isinstance(pilot.app.screen, StationScreen)
        assert [question.text for question in at_shop.journal.all(Question)] == [typed]


async def test_a_label_is_a_question_where_no_visit_is_open(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "A-0101 fault")
        assert isinstance(pilot.app.screen, StationScreen)


async def test_work_that_stands_open_is_taken_up_and_not_begun_twice(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, ASKED)
        for word in ("w", "work", "work through"):
            await answer(pilot, word)
            worked: object = pilot.app.screen
            assert isinstance(worked, WorkScreen)
            await press(pilot, "escape")
            left: object = pilot.app.screen
            assert isinstance(left, StationScreen)
            assert "is not finished" in said(pilot)
        assert [work.note for work in bench.journal.all(Work)] == [CAP]


async def test_work_is_on_the_fault_that_was_asked_about_and_not_on_a_short_question(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, ASKED, "how long", "w")
    assert [work.condition for work in bench.journal.all(Work)] == [ASKED]


async def test_what_did_not_help_is_recorded_at_the_foot_too(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        await answer(pilot, "hello", "did not help", "n")
        assert "Noted" in said(pilot)
    assert [feedback.verdict for feedback in bench.journal.all(Feedback)] == ["not_helpful"] * 2


@pytest.mark.parametrize("word", ["w", "v", "n"])
async def test_without_a_journal_it_is_said(bench: Bench, word: str) -> None:
    app = StationApp(ScriptedAsks(bench.notes), str, bench.notes.get)
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, ASKED, word)
        assert said(pilot) == "There is no journal to record in; the message at the start says why."


async def test_a_question_is_kept_where_the_program_is_left_at_once(bench: Bench) -> None:
    async with bench.app().run_test(size=WIDE) as pilot:
        pilot.app.screen.query_one(QuestionLine).value = ASKED
        await pilot.press("enter")
        await answer(pilot, "wrong", "leave")
    (kept,) = bench.journal.all(Question)
    assert kept.text == ASKED
    assert [judged.verdict for judged in bench.journal.all(Feedback)] == ["not_helpful"]


async def test_a_question_that_cannot_be_kept_when_the_program_is_left_is_told_on_stderr(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_: Answer) -> Question:
        raise JournalError("the disk is full")

    monkeypatch.setattr(bench.recorder, "question", full)
    app = bench.app()
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, "hello")
        assert said(pilot) == "The question was not kept: the disk is full."
        screen = app.screen
        assert isinstance(screen, StationScreen)
        monkeypatch.setattr(screen, "call_after_refresh", lambda _: True)
        await screen.enter_text(ASKED)
        app.exit(int(ExitCode.DONE))
    assert capsys.readouterr().err == "The question was not kept: the disk is full.\n"
    assert (app.return_value, app.return_code) == (ExitCode.DONE, 0)
