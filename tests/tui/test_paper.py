"""The paper under cards: it holds no widget for a paragraph, and is marked, tapped and scrolled all the same."""

from __future__ import annotations

import pytest
from textual import events
from textual.pilot import Pilot

from assistant.tui.ask.app import StationApp
from assistant.tui.ask.paper import Paper
from tests.tui.bench import NARROW, WIDE, answer, mark, places, press, texts
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


@pytest.mark.parametrize("heights", [(40,), (24, 31), (60, 20, 30)], ids=str)
async def test_the_newest_card_stays_at_the_top_in_another_height(app: StationApp, heights: tuple[int, ...]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, "hello", "hello")
        for height in heights:
            await pilot.resize_terminal(WIDE[0], height)
            await pilot.pause()
            assert places(pilot, "asked")[0].y == paper(pilot).region.y


async def test_the_newest_card_stays_at_the_top_when_a_notice_goes(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, "hello", "copy")
        before = paper(pilot).size.height
        await answer(pilot, "hello")
        assert paper(pilot).size.height == before + 1
        assert places(pilot, "asked")[0].y == paper(pilot).region.y


@pytest.mark.parametrize("size", [(5, 40), (3, 3), (2, 10), (1, 1)], ids=str)
async def test_no_row_is_longer_than_the_paper(app: StationApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, ODD)
        await pilot.resize_terminal(*size)
        await pilot.pause()
        width, height = paper(pilot).size
        assert {paper(pilot).render_line(y).cell_length for y in range(height)} == {width}


async def test_the_line_that_was_reached_stays_while_another_window_has_the_keyboard(
    app: StationApp, calls: list[Call]
) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, ODD)
        await press(pilot, "tab", "tab")
        for event in (events.AppBlur(), events.AppFocus()):
            app.post_message(event)
            await pilot.pause()
        await press(pilot, "enter")
        assert calls[-1][:2] == ("show", "screen-no-signal")
        await answer(pilot, ODD)
        await press(pilot, "tab", "enter")
        assert calls[-1][:2] == ("show", "disc-clean")


async def test_marks_go_in_another_width_and_stay_in_another_height(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, CAP)
        step = places(pilot, "step")[0]
        await mark(pilot, (step.x, step.y), (step.right - 1, step.y))
        before = marked(pilot)
        assert before == texts(pilot, "step")[0]
        await pilot.resize_terminal(WIDE[0], WIDE[1] + 9)
        await pilot.pause()
        assert marked(pilot) == before
        await pilot.resize_terminal(*NARROW)
        await pilot.pause()
        assert marked(pilot) == ""


async def test_marks_go_with_the_card_that_they_stand_on(app: StationApp) -> None:
    async with app.run_test(size=WIDE) as pilot:
        await answer(pilot, CAP, "help")
        title = places(pilot, "title")[0]
        await mark(pilot, (title.x, title.y), (title.right - 1, title.y))
        assert marked(pilot) == "Help"
        await answer(pilot, ODD)
        assert marked(pilot) == ""
