"""One note that is being worked through, as widgets."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import Block, pictures
from assistant.languages import said, said_of, to_say
from assistant.tui.common.actions import action_of
from assistant.tui.common.card import SafetyBox, picture_line
from assistant.tui.common.entry import Entry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import ActionLine, OfferLine
from assistant.tui.common.text import literal
from assistant.tui.visit.working import Working
from assistant.visiting.report_works import whole_minutes
from assistant.visiting.standing import StepState, StepWord, as_minutes
from assistant.visiting.walk import pending
from assistant.visiting.words import outcome_word

__all__ = ["Countdown", "WorkEntry", "countdown_words"]

_INDENT = 5
_NEEDS = 2
_STATES: dict[StepWord, str] = {
    "done": to_say("done"),
    "skipped": to_say("skipped"),
    "next": to_say("next"),
    "locked": to_say("locked"),
    "later": to_say("later"),
    "left out": to_say("left out"),
}


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
        return said("This step tells to wait {whole}.", whole=whole)
    return (
        said("Wait: {as_minutes} left of {whole}.", as_minutes=as_minutes(left), whole=whole)
        if left
        else said("The time is up: {whole} have passed.", whole=whole)
    )


class WorkEntry(Entry):
    """What the work through a note shows where it stands.

    Parameters
    ----------
    working
        The work.
    all_steps
        Whether to show all steps, or the step before and the one in hand.
    emergency
        On whom to call where the note deals with harm, else empty.
    """

    def __init__(self, working: Working, *, all_steps: bool, emergency: str = "") -> None:
        super().__init__()
        self._working = working
        self._at = working.at
        self._all = all_steps
        self._emergency = emergency
        self.in_hand: Widget | None = None
        """What has to be in view: the safety message that waits, or the step in hand."""

    def compose(self) -> ComposeResult:
        """Lay out what stands before the offers, and the offers."""
        ask = self._working.ask
        if ask and ask.offers:
            yield from self._offers()
            return
        stage = self._working.stage
        if self._emergency and stage != "ended":
            yield Hanging("! ", literal(self._emergency), classes="emergency")
        if stage == "step":
            yield from self._step_page()
        elif stage == "leads":
            yield from self._leads()
        elif stage == "outcome":
            yield _label(said("How to tell that it is mended"))
            yield Hanging("- ", literal(self._at.note.result), classes="item")
            yield from self._offers()
        else:
            yield from self._ended()

    def _needs(self) -> Iterator[Widget]:
        """Yield what is needed and done before the first step; on a small screen its head is folded into few lines."""
        note, work = self._at.note, self._at.work
        head = said("{action}, {n} min: ", action=self._working.action.upper(), n=note.minutes)
        yield Hanging(head, literal(note.title), classes="-head -narrow-only", indent=0)
        action = Content.assemble(
            (f" {self._working.action} ", "reverse bold"), said(" about {minutes} min", minutes=note.minutes)
        )
        yield Static(action, classes="action -wide-only")
        yield Static(literal(note.title), classes="title -wide-only")
        if work.station:
            yield Hanging(said("Station: "), literal(work.station), classes="needs -wide-only")
        if work.condition:
            yield Hanging(said("Fault: "), literal(work.condition), classes="needs")
        yield Hanging(said("Parts: "), literal(", ".join(note.parts) or said("none")), classes="needs -wide-only")
        yield Hanging(said("Tools: "), literal(", ".join(note.tools) or said("none")), classes="needs -wide-only")
        needs = "; ".join(filter(None, (", ".join(note.parts), ", ".join(note.tools)))) or said("nothing")
        yield Hanging(said("Needs: "), literal(needs), classes="needs -narrow-only", indent=_NEEDS)
        if note.before_you_start:
            yield _label(said("Before you start"))
            yield from (Hanging("- ", literal(item), classes="item") for item in note.before_you_start)
            yield from self._pictures(0)

    def _step_page(self) -> Iterator[Widget]:
        """Yield the step in hand, before it on the first page what is needed and done first."""
        walk = self._at.walk
        if self._all or not walk.trail:
            yield from self._needs()
        before = walk.trail[-1] if walk.trail else 0
        for state in self._at.steps:
            if state.step.n == walk.step:
                yield from self._step_in_hand(state)
            elif self._all:
                yield from self._messages(state.step.n)
                yield self._line(state)
                yield from self._pictures(state.step.n)
                yield from self._branches(state)
            elif state.step.n == before:
                yield self._line(state)

    def _messages(self, n: int) -> Iterator[SafetyBox]:
        for message in self._at.note.safety:
            if message.before_step == n:
                yield SafetyBox(Block("safety", message.text, head=message.signal))

    def _pictures(self, n: int) -> Iterator[Hanging]:
        yield from map(picture_line, pictures(self._at.note, n))

    def _step_in_hand(self, state: StepState) -> Iterator[Widget]:
        waiting = pending(self._at.walk)
        messages = [message for message in self._at.note.safety if message.before_step == state.step.n]
        for message, box in zip(messages, self._messages(state.step.n), strict=True):
            if waiting and message == waiting[0]:
                self.in_hand = box
                box.add_class("-waiting")
            yield box
            if message not in waiting:
                yield Static(Content(said("You have read this.")), classes="read-as")
            elif message == waiting[0]:
                yield ActionLine(action_of("read"))
        line = self._line(state)
        self.in_hand = self.in_hand or line
        yield line
        yield from self._pictures(state.step.n)
        if waiting or self._working.ask:
            yield from self._branches(state)
            return
        if self._at.wait_seconds:
            yield Countdown(self._at.wait_seconds, self._working.seconds_left)
            if not self._at.walk.waiting:
                yield ActionLine(action_of("time"))
        if self._working.offers:
            yield from self._offers()
        else:
            yield ActionLine(action_of("done"))

    @staticmethod
    def _line(state: StepState) -> Hanging:
        hand = state.word in {"next", "locked"}
        text = f"{state.step.text} ({state.remark})" if state.remark and not hand else state.step.text
        lead = f"{'>' if hand else ' '}{state.step.n:>2}. {said(_STATES[state.word])}: "
        return Hanging(lead, literal(text), classes="step -match" if hand else "step", indent=_INDENT)

    @staticmethod
    def _branches(state: StepState) -> Iterator[Hanging]:
        for branch in state.step.branches:
            yield Hanging("- ", literal(branch.text), classes="branch")

    def _leads(self) -> Iterator[Widget]:
        chosen = next(state for state in self._at.steps if state.step.n == self._at.walk.trail[-1])
        yield self._line(chosen)
        yield from self._offers()

    def _ended(self) -> Iterator[Widget]:
        ended = self._at.ended
        if ended:
            minutes = whole_minutes(ended.minutes)
            after = said_of(", after {n} minute", ", after {n} minutes", minutes) if minutes else ""
            yield Static(
                literal(said("Ended: {outcome_word}{after}.", outcome_word=outcome_word(ended.outcome), after=after)),
                classes="text",
            )
            if ended.outcome == "not_mended":
                yield _label(said("If it still fails"))
                yield Hanging("- ", literal(self._at.note.if_it_still_fails), classes="item")
        yield from self._offers()

    def _offers(self) -> Iterator[Widget]:
        marked = self._working.marked
        for number, offer in enumerate(self._working.offers, start=1):
            yield OfferLine(number, offer.text, marked=number == marked)


def _label(text: str) -> Static:
    return Static(Content(text), classes="label")
