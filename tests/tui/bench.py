"""A rep at work over one journal file, and hands on the terminal."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Self

from textual.geometry import Region
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Static

from assistant.journal.records import Act, Outcome, Work
from assistant.journal.store import Journal
from assistant.model import Branch, Note, Step
from assistant.tui.ask.app import StationApp
from assistant.tui.ask.paper import Paper
from assistant.tui.common.foot import Foot
from assistant.tui.common.pressable import ActionLine, OfferLine
from assistant.tui.common.question import QuestionLine
from assistant.tui.visit.work_screen import WorkScreen
from assistant.tui.visit.working import Left
from assistant.visiting.recorder import Recorder
from tests.making import TRADE
from tests.tui.conftest import ScriptedAsks
from tests.unit.visiting.conftest import Clock

WIDE = (100, 30)
NARROW = (40, 24)
CAP, LEAD, REST, ON_THE_WAY = "pad-stick-cap", "pad-cable-damage", "pad-rest", "pad-on-the-way"


_NEVER_SECONDS = 600.0
"""After so long what is waited for will not come any more."""


class Bench:
    """One rep, one journal file, and apps over it, one after the other; a context that closes what it opened."""

    def __init__(self, path: Path, notes: dict[str, Note]) -> None:
        rest = notes[CAP]._replace(
            id=REST,
            title="Pad does odd things",
            steps=(Step(1, "Leave the pad alone for two minutes."), Step(2, "Press each button once.")),
            safety=(),
            parts=(),
        )
        self.path = path
        does = Branch("If it is odd", f'If it is odd: do "{rest.title}", then go to step 3.', step=3, note=REST)
        on_the_way = rest._replace(
            id=ON_THE_WAY,
            title="Pad acts up",
            steps=(
                Step(1, "Look at the pad.", (does, Branch("If not", "If not: go to step 2.", step=2))),
                Step(2, "Shake the pad."),
                Step(3, "Play one demo loop."),
            ),
        )
        self.notes = {**notes, REST: rest, ON_THE_WAY: on_the_way}
        self.clock = Clock()
        self.left: list[Left | None] = []
        self._opened = ExitStack()
        self.open()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._opened.close()

    def open(self) -> None:
        """Open the journal, again after a crash, which closes nothing."""
        self.journal = self._opened.enter_context(Journal(self.path, clock=self.clock))
        self.recorder = Recorder(self.journal, TRADE, clock=self.clock)

    def begin(self, note_id: str) -> Work:
        return self.recorder.begin(self.notes[note_id], station="a-0142", condition="cap torn")

    def app(self) -> StationApp:
        return StationApp(ScriptedAsks(self.notes), str, self.notes.get, self.recorder)

    async def show(self, pilot: Pilot[int], work: Work) -> WorkScreen:
        note, asks = self.notes[work.note], ScriptedAsks(self.notes)
        screen = WorkScreen(self.recorder, work, note, asks, self.notes.get, clock=self.clock)
        await pilot.app.push_screen(screen, self.left.append)
        await pilot.pause()
        return screen

    def acts(self, work: Work) -> list[tuple[str, int, str]]:
        return [(act.act, act.step, act.reason) for act in self.journal.all(Act, work=work.id)]

    def outcomes(self) -> list[tuple[int, str]]:
        return [(outcome.work, outcome.outcome) for outcome in self.journal.all(Outcome)]


def painted(pilot: Pilot[int]) -> str:
    """Return what the terminal shows as one line of words."""
    strips = pilot.app.screen._compositor.render_strips()
    return " ".join("\n".join("".join(segment.text for segment in strip) for strip in strips).replace("┃", " ").split())


def said(pilot: Pilot[int]) -> str:
    return str(pilot.app.screen.query_one("#notice", Static).content)


def chain(pilot: Pilot[int]) -> str:
    return str(pilot.app.screen.query_one("#head", Static).content)


def line(pilot: Pilot[int]) -> QuestionLine:
    return pilot.app.screen.query_one(QuestionLine)


def offers(pilot: Pilot[int]) -> list[str]:
    screen = pilot.app.screen
    assert isinstance(screen, WorkScreen)
    shown = [offer.text for offer in screen.at_work.offers]
    assert len(pilot.app.screen.query(OfferLine)) in {0, len(shown)}
    return shown


async def until(pilot: Pilot[int], seen: Callable[[], bool]) -> None:
    """Let the screen go on until ``seen`` holds; fail only where it never does."""
    async with asyncio.timeout(_NEVER_SECONDS):
        while not seen():
            await pilot.pause(0.01)


async def press(pilot: Pilot[int], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def answer(pilot: Pilot[int], *texts: str) -> None:
    for text in texts:
        line(pilot).value = text
        await press(pilot, "enter")


async def tap(pilot: Pilot[int], widget: Widget) -> None:
    widget.scroll_visible(animate=False, immediate=True)
    await pilot.pause()
    assert await pilot.click(widget, offset=(2, 0))
    await pilot.pause()


def key_of(pilot: Pilot[int], action: str) -> ActionLine:
    return next(line for line in pilot.app.screen.query(ActionLine) if line.action_id == action)


def at_foot(pilot: Pilot[int]) -> list[str]:
    """Return the ids of the actions at the foot."""
    return [action.id for action in pilot.app.screen.query_one(Foot).actions]


async def tap_foot(pilot: Pilot[int], action: str) -> None:
    """Tap a word at the foot."""
    foot = pilot.app.screen.query_one(Foot)
    column = next(column for column, _, shown in foot.words() if shown.id == action)
    assert await pilot.click(foot, offset=(column + 2, 0))
    await pilot.pause()


def places(pilot: Pilot[int], look: str) -> list[Region]:
    """Return where the paragraphs of the newest sheet that have this look lie; what is out of view lies beyond it."""
    paper = pilot.app.screen.query_one(Paper)
    left, top = paper.region.x, paper.region.y - round(paper.scroll_y)
    return [
        Region(left + box.edge, top + row, box.outer, box.rows)
        for row, box in paper.boxes()
        if look in box.paragraph.look.split()
    ]


def texts(pilot: Pilot[int], look: str) -> list[str]:
    """Return the text of these paragraphs, line by line as it is wrapped."""
    boxes = [box for _, box in pilot.app.screen.query_one(Paper).boxes() if look in box.paragraph.look.split()]
    return ["\n".join(line.plain for line in box.lines) for box in boxes]


async def tap_paper(pilot: Pilot[int], look: str, number: int = 0) -> None:
    """Scroll to a paragraph of the newest sheet and tap it; ``number`` counts those of its look."""
    paper = pilot.app.screen.query_one(Paper)
    place = places(pilot, look)[number]
    if not paper.region.contains_region(place):
        paper.scroll_to(y=paper.scroll_y + place.y - paper.region.y, animate=False)
        await pilot.pause()
        place = places(pilot, look)[number]
    assert await pilot.click(offset=(place.x + 2, place.y))
    await pilot.pause()


async def mark(pilot: Pilot[int], start: tuple[int, int], end: tuple[int, int]) -> None:
    """Drag over the screen from one place to another."""
    await pilot.mouse_down(offset=start)
    await pilot.hover(offset=end)
    await pilot.mouse_up(offset=end)
    await pilot.pause()
