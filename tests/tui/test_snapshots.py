"""Pictures of the screen at two sizes; a picture that changes has to be looked at."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from assistant.tui.ask.app import StationApp
from assistant.tui.common.question import QuestionLine

Compare = Callable[..., bool]
SIZES = [(100, 30), (40, 24)]


@pytest.mark.parametrize("size", SIZES, ids=["100x30", "40x24"])
@pytest.mark.parametrize(
    ("question", "keys"),
    [
        ("", []),
        ("controller stick cap broken?", []),
        ("controller stick cap broken?", ["pagedown"] * 4),
        ("the game is odd", []),
        ("when do i get paid", []),
        ("the pad is puffed up", []),
        ("something here hurt me", []),
        ("thanks", []),
        ("controller stick cap broken?", ["h", "enter"]),
        ("controller stick cap broken?", ["m", "enter"]),
    ],
    ids=[
        "welcome",
        "answer",
        "answer-end",
        "choice",
        "none",
        "emergency",
        "emergency-choice",
        "small-talk",
        "help",
        "light",
    ],
)
def test_screen_looks_as_before(
    app: StationApp, snap_compare: Compare, question: str, keys: list[str], size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[int]) -> None:
        await pilot.pause()
        if question:
            app.screen.query_one(QuestionLine).value = question
            await pilot.press("enter")
            await pilot.pause()
        await pilot.press(*keys)
        await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=act)
