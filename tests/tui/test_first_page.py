"""A card at 40x24: the first step and how to go on are on the first page, and no safety message makes way for it."""

from __future__ import annotations

from functools import cache

import pytest

from assistant.model import Note
from assistant.tui.ask.app import StationApp
from assistant.tui.ask.paper import Paper
from tests.shipped import shipped_corpus
from tests.tui.bench import NARROW, answer, at_foot, places, texts
from tests.tui.conftest import ScriptedAsks

ON_IT = ("screen-no-signal", "power-strip-dead", "cab-castor", "cab-residue", "visit-arrival")
"""Of 120 of the 158 notes the first step began on the first page when this was measured last, with the emergency line
on cards of harm and all that is needed before the first step."""
TOO_LONG = ("disc-noise", "screen-swap", "cab-move", "pad-stick-cap", "vr-charge")


@cache
def notes() -> dict[str, Note]:
    """Return the notes as they ship."""
    return {note.id: note for note in shipped_corpus().notes}


def app_of(note_id: str) -> StationApp:
    """Return the app over the scripted answers and one note of those that ship."""
    shipped = {note_id: notes()[note_id]}
    return StationApp(_Shipped(shipped), str, shipped.get)


class _Shipped(ScriptedAsks):
    def __init__(self, shipped: dict[str, Note]) -> None:
        self.notes = shipped
        self.calls = []
        self.answers = {}


@pytest.mark.parametrize("note_id", ON_IT)
async def test_first_step_and_how_to_go_on_are_on_the_first_page(note_id: str) -> None:
    async with app_of(note_id).run_test(size=NARROW) as pilot:
        await answer(pilot, note_id)
        await pilot.pause()
        paper = pilot.app.screen.query_one(Paper)
        step = places(pilot, "step")[0]
        assert paper.region.y < step.y < paper.region.bottom
        assert at_foot(pilot) == ["work", "visit", "help"]
        assert pilot.app.screen.query_one("#foot").region.bottom == NARROW[1]
        assert pilot.app.screen.query_one("#scroll_down").display


@pytest.mark.parametrize("note_id", [*ON_IT, *TOO_LONG])
async def test_every_safety_message_is_whole_and_above_its_step(note_id: str) -> None:
    note = notes()[note_id]
    async with app_of(note_id).run_test(size=(NARROW[0], 400)) as pilot:
        await answer(pilot, note_id)
        await pilot.pause()
        tops = [place.y for place in places(pilot, "step")]
        boxes = places(pilot, "safety")
        assert len(tops) == len(note.steps)
        messages = sorted(note.safety, key=lambda message: message.before_step)
        assert [" ".join(text.split()) for text in texts(pilot, "safety")] == [
            " ".join(f"! {message.signal} {message.text}".split()) for message in messages
        ]
        for box, message in zip(boxes, messages, strict=True):
            assert box.bottom <= tops[message.before_step - 1]
            assert message.before_step == 1 or box.y > tops[message.before_step - 2]


@pytest.mark.parametrize("note_id", TOO_LONG)
async def test_what_fills_the_first_page_stays_and_goes_on_below(note_id: str) -> None:
    async with app_of(note_id).run_test(size=NARROW) as pilot:
        await answer(pilot, note_id)
        await pilot.pause()
        paper = pilot.app.screen.query_one(Paper)
        assert places(pilot, "step")[0].y >= paper.region.bottom
        assert places(pilot, "item")[0].y < paper.region.bottom
        assert pilot.app.screen.query_one("#scroll_down").display


@pytest.mark.parametrize(("width", "lines"), [(40, 1), (30, 1), (100, 2)])
async def test_long_question_is_one_line_above_the_card_on_a_narrow_screen(
    app: StationApp, width: int, lines: int
) -> None:
    story = "the cap of the stick came off and " + "somebody wrote a whole story about it, " * 3
    async with app.run_test(size=(width, 30)) as pilot:
        await answer(pilot, story)
        paper = pilot.app.screen.query_one(Paper)
        (shown,) = texts(pilot, "asked")
        assert len(shown.split("\n")) == lines
        assert shown.endswith("...") is (lines == 1)
        assert paper.newest_answer is not None
        assert paper.newest_answer.question == story.strip()
