"""One note that is being worked through, as widgets."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import Block
from assistant.tui.common.actions import action_of
from assistant.tui.common.card import SafetyBox
from assistant.tui.common.entry import ActionRow, Entry, HelpEntry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import ActionKey, OfferLine
from assistant.tui.common.text import literal
from assistant.tui.visit.standing import StepState, as_minutes, outcome_word
from assistant.tui.visit.work_actions import WORK_ACTIONS
from assistant.tui.visit.working import Working
from assistant.visiting.walk import pending

__all__ = ["Countdown", "WorkEntry", "WorkHelp", "countdown_words"]

_INDENT = 5


class Countdown(Static):
    """How much of the time that a step tells to wait is left."""

    def __init__(self, seconds: int, left: int | None) -> None:
        super().__init__(classes="countdown", markup=False)
        self._seconds = seconds
        self.show(left)

    def show(self, left: int | None) -> None:
        """Show the seconds that are left; None where the countdown has not begun."""
        self.update(Content(countdown_words(self._seconds, left)))


def countdown_words(seconds: int, left: int | None) -> str:
    """Return how a countdown stands, in words.

    >>> countdown_words(300, 125)
    'Wait: 02:05 left of 05:00.'
    """
    whole = as_minutes(seconds)
    if left is None:
        return f"This step tells to wait {whole}."
    return f"Wait: {as_minutes(left)} left of {whole}." if left else f"The time is up: {whole} have passed."


class WorkEntry(Entry):
    """What the work through a note shows where it stands.

    Parameters
    ----------
    working
        The work.
    all_steps
        Whether to show all steps, or the step before and the one in hand.
    """

    def __init__(self, working: Working, *, all_steps: bool) -> None:
        super().__init__()
        self._working = working
        self._at = working.at
        self._all = all_steps
        self.in_hand: Widget | None = None
        """What has to be in view: the safety message that waits, or the step in hand."""

    def compose(self) -> ComposeResult:
        """Lay out what stands before the offers, the offers, and the row of actions."""
        ask = self._working.ask
        if ask and ask.offers:
            yield from self._title()
            yield from self._offers("Tap a line, or type its number")
            return
        stage = self._working.stage
        if stage == "step":
            yield from self._step_page()
        elif stage == "leads":
            yield from self._leads()
        elif stage == "outcome":
            yield from self._outcome()
        else:
            yield from self._ended()
        if ask is None:
            alone = {"read", "done", "wait"}
            yield ActionRow(tuple(a for a in WORK_ACTIONS if a.id in self._working.can - alone))

    def _title(self) -> Iterator[Widget]:
        work = self._at.work
        yield Static(literal(self._at.note.title), classes="title")
        if work.station:
            yield Hanging("Station: ", literal(work.station), classes="needs")

    def _head(self) -> Iterator[Widget]:
        note, work = self._at.note, self._at.work
        action = f" {self._working.action.upper()} "
        head = Content.assemble((action, "reverse bold"), f" about {note.minutes} min")
        yield Static(head, classes="action")
        yield from self._title()
        if work.condition:
            yield Hanging("Fault: ", literal(work.condition), classes="needs")
        yield Hanging("Parts: ", literal(", ".join(note.parts) or "none"), classes="needs")
        yield Hanging("Tools: ", literal(", ".join(note.tools) or "none"), classes="needs")
        if note.before_you_start:
            yield _label("Before you start")
            for item in note.before_you_start:
                yield Hanging("- ", literal(item), classes="item")
        yield _label("Steps")

    def _step_page(self) -> Iterator[Widget]:
        walk = self._at.walk
        whole = self._all or not walk.trail
        yield from self._head() if whole else self._title()
        before = walk.trail[-1] if walk.trail else 0
        for state in self._at.steps:
            if state.step.n == walk.step:
                yield from self._step_in_hand(state)
            elif self._all:
                yield from self._messages(state.step.n)
                yield self._line(state)
                yield from self._branches(state)
            elif state.step.n == before:
                yield self._line(state)

    def _messages(self, n: int) -> Iterator[SafetyBox]:
        for message in self._at.note.safety:
            if message.before_step == n:
                yield SafetyBox(Block("safety", message.text, head=message.signal))

    def _step_in_hand(self, state: StepState) -> Iterator[Widget]:
        free = self._working.ask is None
        waiting = pending(self._at.walk)
        messages = [message for message in self._at.note.safety if message.before_step == state.step.n]
        for message, box in zip(messages, self._messages(state.step.n), strict=True):
            if waiting and message == waiting[0]:
                self.in_hand = box
                box.add_class("-waiting")
            yield box
            if message not in waiting:
                yield Static(Content("You have read this."), classes="read-as")
            elif message == waiting[0] and free:
                yield _key("read")
        line = self._line(state)
        self.in_hand = self.in_hand or line
        yield line
        if waiting or not free:
            yield from self._branches(state)
            return
        if self._at.wait_seconds:
            yield Countdown(self._at.wait_seconds, self._working.seconds_left)
        for key in ("wait", "done"):
            if key in self._working.can:
                yield _key(key)
        if self._working.offers:
            yield from self._offers("What did you find? Tap a line, or type its number")

    @staticmethod
    def _line(state: StepState) -> Hanging:
        hand = state.word in {"next", "locked"}
        text = f"{state.step.text} ({state.remark})" if state.remark and not hand else state.step.text
        lead = f"{'>' if hand else ' '}{state.step.n:>2}. {state.word}: "
        return Hanging(lead, literal(text), classes="step -match" if hand else "step", indent=_INDENT)

    @staticmethod
    def _branches(state: StepState) -> Iterator[Hanging]:
        for branch in state.step.branches:
            yield Hanging("- ", literal(branch.text), classes="branch")

    def _leads(self) -> Iterator[Widget]:
        yield from self._title()
        chosen = next(state for state in self._at.steps if state.step.n == self._at.walk.trail[-1])
        yield self._line(chosen)
        leaves = self._at.walk.leaves
        yield from self._offers("The work goes on in another note" if leaves else "Another note is done first")

    def _outcome(self) -> Iterator[Widget]:
        yield from self._title()
        yield _label("How to tell that it is mended")
        yield Hanging("- ", literal(self._at.note.result), classes="item")
        yield from self._offers("How did it end? Tap a line, or type its number")

    def _ended(self) -> Iterator[Widget]:
        yield from self._title()
        ended = self._at.ended
        if ended:
            words = f"Ended: {outcome_word(ended.outcome)}, after {round(ended.minutes)} min."
            yield Static(Content(words), classes="text")
            if ended.outcome == "not_mended":
                yield _label("If it still fails")
                yield Hanging("- ", literal(self._at.note.if_it_still_fails), classes="item")
        yield from self._offers("What next?")

    def _offers(self, label: str) -> Iterator[Widget]:
        if self._working.ask is None or self._working.ask.offers:
            yield _label(label)
            for number, offer in enumerate(self._working.offers, start=1):
                yield OfferLine(number, offer.text)


class WorkHelp(HelpEntry):
    """What working through a note is, and every action."""

    TEXTS = (
        "Do the step that is next, tick it, and the one after it comes up. All is recorded at once.",
        "Pick a numbered line: tap it, type its number and Enter, or go to it with Tab and press Enter.",
        "A step behind a safety message is locked until you have read the message.",
        "> marks the step in hand.",
    )
    ACTIONS = WORK_ACTIONS


def _label(text: str) -> Static:
    return Static(Content(text), classes="label")


def _key(id: str) -> ActionKey:
    key = ActionKey(action_of(WORK_ACTIONS, id))
    key.add_class("-alone")
    return key
