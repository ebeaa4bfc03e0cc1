"""The paper under cards: it holds no widget for a paragraph, and is marked, tapped and scrolled all the same."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from assistant.tui.ask.app import StationApp
from assistant.tui.ask.paper import Paper
from tests.tui.bench import NARROW, WIDE, answer, mark, places, texts
from tests.tui.conftest import Call

CAP, ODD = "controller stick cap broken?", "the game is odd"


def paper(pilot: Pilot[int]) -> Paper:
    return pilot.app.screen.query_one(Paper)


def marked(pilot: Pilot[int]) -> str:
    return pilot.app.screen.get_selected_text() or ""


async def test_a_card_costs_no_widget(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP)
        await answer(pilot, ODD)
        before = len(pilot.app.screen.query("*"))
        await answer(pilot, CAP, "how long", ODD, "hello", CAP)
        assert len(pilot.app.screen.query("*")) == before


async def test_dragging_marks_text_alone_over_gaps_and_frames(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP)
        box, below = places(pilot, "safety")[0], places(pilot, "step")[1]
        (message,) = texts(pilot, "safety")
        await mark(pilot, (box.x, box.y), (below.right - 1, below.y))
        assert marked(pilot) == f"{message}\n{texts(pilot, 'step')[1]}"
        await mark(pilot, (box.x + 3, box.y + 1), (box.x + 11, box.y + 1))
        assert marked(pilot) == "! CAUTION"


@pytest.mark.parametrize("look", ["option", "asked"])
async def test_dragging_over_a_line_marks_it_and_presses_nothing(app: StationApp, calls: list[Call], look: str) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, ODD)
        line = places(pilot, look)[0]
        await mark(pilot, (line.x + 1, line.bottom - 1), (line.x + 9, line.bottom - 1))
        assert len(marked(pilot)) in {8, 9}
        assert len(calls) == 1
        await pilot.click(offset=(line.x + 2, line.bottom - 1))
        await pilot.pause()
        assert len(calls) == (2 if look == "option" else 1)
        assert marked(pilot) == ""


async def test_a_second_tap_marks_the_paragraph(app: StationApp) -> None:
    async with app.run_test(size=NARROW) as pilot:
        await answer(pilot, CAP)
        step = places(pilot, "step")[0]
        await pilot.click(Paper, offset=(step.x + 9, step.y), times=2)
        assert marked(pilot) == texts(pilot, "step")[0]


async def test_the_newest_card_stays_in_view_in_another_width(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, CAP)
        for size in (NARROW, WIDE):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert places(pilot, "asked")[0].y == paper(pilot).region.y
        await pilot.press("pageup")
        await pilot.pause()
        assert places(pilot, "asked")[0].y > paper(pilot).region.y


async def test_marks_go_with_the_card_that_they_stand_on(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, "help")
        title = places(pilot, "title")[0]
        await mark(pilot, (title.x, title.y), (title.right - 1, title.y))
        assert marked(pilot) == "Help"
        await answer(pilot, ODD)
        assert marked(pilot) == ""
