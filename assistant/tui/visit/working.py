"""Working through notes as the screen offers it: what can be done now, what is asked, where it leads.

Nothing is drawn here. What changes the journal changes the state only after the recorder has returned.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Literal, NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import TOLD_OUTCOMES, Act, Escalation, OutcomeName, Work
from assistant.journal.store import now
from assistant.model import Note
from assistant.tui.common.asking import HANDED_OVER, Ask, Beside, Offer, in_turn
from assistant.tui.common.contracts import NoteById
from assistant.tui.visit.standing import (
    OUTCOME_WORDS,
    as_minutes,
    begun_from,
    chain_of,
    note_or_none,
    outcome_word,
    standing,
    where,
)
from assistant.visiting.recorder import LONGEST_PAUSE, Recorder
from assistant.visiting.walk import acknowledge, choices, go_back, pending, skip, tick, wait

__all__ = ["EARLY", "Left", "Stage", "Working"]

EARLY = "before the time was up"
"""The reason that is recorded where a step was ticked while its countdown still ran."""
Stage = Literal["step", "leads", "outcome", "ended"]


class Left(NamedTuple):
    """How the screen was left: the work that was in hand, and how that ended; empty while it stands open."""

    work: Work
    outcome: OutcomeName | Literal[""] = ""


class Working:
    """One work through a note, the works that led to it, and those that it leads to.

    Parameters
    ----------
    recorder
        Records all that is done.
    work
        A work that has begun; where it waits for one on its way, that one is taken up.
    note
        Its note.
    note_by_id
        Returns a note of the pack.
    clock
        Tells the time; the same as the journal's.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """

    def __init__(
        self, recorder: Recorder, work: Work, note: Note, note_by_id: NoteById, clock: Callable[[], datetime] = now
    ) -> None:
        self._recorder = recorder
        self._note_by_id = note_by_id
        self._clock = clock
        self.said = ""
        self.closed = False
        self._enter(chain_of(recorder.journal, work), note)
        self._take_up()

    def _take_up(self) -> None:
        """Go on where it was broken off: in the work to which this one led, or here where that is done."""
        while (begun := begun_from(self._recorder.journal, self.at.walk)) and self.at.ended is None:
            if self.at.walk.leaves:
                self._end("led_on")
            note = note_or_none(self._note_by_id, begun[-1].note)
            if self.at.child or note is None:
                self._stayed = self.at.child is not None and self.at.child.outcome == "done"
                return
            self._enter((*self.at.chain, *begun), note)

    def _enter(self, chain: tuple[Work, ...], note: Note, *, stayed: bool = False) -> None:
        """Take up the last work of a chain where it stands; ``stayed`` where its last choice has been dealt with."""
        self.at = standing(self._recorder, chain, note, self._note_by_id)
        revision = self.at.work.revision
        if note.revision != revision:
            self.said = f"The note is at revision {note.revision} now, no longer {revision}: it begins at step 1."
        self.ask: Ask | None = None
        self._beside = Beside(self._recorder, self.at.work, note.parts, self._tell)
        self._stayed = stayed
        self._ending = False
        self._sure: tuple[int, int | None] | None = None
        self._used: frozenset[str] = frozenset()
        self._since = self._clock()

    @property
    def action(self) -> str:
        """What the note in hand does, in the words of the trade."""
        action = self.at.note.action
        return self._recorder.trade.actions.get(action, action)

    @property
    def result(self) -> Left:
        """What the screen returns."""
        return Left(self.at.work, self.at.ended.outcome if self.at.ended else "")

    @property
    def stage(self) -> Stage:
        """What the rep is at: a step, a choice that leads to another note, the outcome, or past it."""
        if self.at.ended:
            return "ended"
        if self._ending:
            return "outcome"
        if self.at.walk.leads_to and not self._stayed:
            return "leads"
        return "outcome" if self.at.walk.finished else "step"

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        step = self.at.walk.current
        if self.stage == "step" and step:
            return tuple(Offer(b.text, partial(self.done, place)) for place, b in enumerate(choices(step)))
        if self.stage == "leads":
            return self._leads()
        if self.stage == "outcome":
            return self._outcomes()
        return self._after_the_end()

    def _leads(self) -> tuple[Offer, ...]:
        target = self.at.walk.leads_to
        if self.at.walk.leaves:
            return (self._lead(target, "Leave this note, and go to"),)
        on = Offer(f"Go on here: {where(self.at.walk)}", self._stay)
        if self.at.child is None:
            return self._lead(target, "Do it now"), on
        same = self.at.child.outcome
        end = Offer(f"End here with the same outcome: {outcome_word(same)}", partial(self._outcome, same))
        return on, end, self._lead(target, "Do it again")

    def _outcomes(self) -> tuple[Offer, ...]:
        told = tuple(Offer(OUTCOME_WORDS[name], partial(self._outcome, name)) for name in TOLD_OUTCOMES)
        if not (self.at.on_the_way and self.at.above):
            return told
        place, words = self.at.above
        return Offer(f"Done. Go on with: {words}", partial(self._come_back, place)), *told

    def _after_the_end(self) -> tuple[Offer, ...]:
        offers: list[Offer] = []
        outcome = self.result.outcome
        if outcome == "not_mended":
            offers += [self._lead(target, "Open") for target in self.at.note.on_failure]
        if outcome == "replaced":
            left = [part for part in self.at.note.parts if part not in self._used]
            offers += [Offer(f"Record as used: {part}", partial(self._use_up, part)) for part in left]
        if self.at.above and outcome:
            place, words = self.at.above
            offers.append(Offer(f"Go on with: {words}", partial(self._go_up, place)))
            same = f"End with the same outcome ({outcome_word(outcome)}): {self.at.chain[place].title}"
            offers.append(Offer(same, partial(self._end_up, place, outcome)))
        return (*offers, Offer("Close", self._close))

    def _lead(self, target: str, words: str) -> Offer:
        note = note_or_none(self._note_by_id, target)
        return Offer(f"{words}: {note.title if note else target}", partial(self._open, target))

    @property
    def can(self) -> frozenset[str]:
        """Ids of the actions that make sense now."""
        able = {"record", "help", "theme", "leave"}
        if self.stage == "step":
            able |= {"steps", "end", *self._at_step()}
        if self.stage == "leads":
            able.add("end")
        if not self.at.ended and (self._ending or self.at.walk.trail):
            able.add("back")
        return frozenset(able)

    def _at_step(self) -> set[str]:
        if pending(self.at.walk):
            return {"read"}
        able = {"skip"}
        if not self.offers:
            able.add("done")
        if self.at.wait_seconds and not self.at.walk.waiting:
            able.add("wait")
        return able

    @property
    def seconds_left(self) -> int | None:
        """How much of the countdown is left, 0 when it is over; None where none was begun."""
        return self.at.seconds_left(self._clock())

    def read(self) -> None:
        """Acknowledge the next safety message."""
        self._at("step")
        self._record(acknowledge(self.at.walk))

    def done(self, choice: int | None = None) -> None:
        """Tick the step in hand; while its countdown runs, only at the second time."""
        self._at("step")
        left = self.seconds_left
        act = tick(self.at.walk, choice, seconds=self._spent(), reason=EARLY if left else "")
        asked = (self.at.walk.step, choice)
        if left and self._sure != asked:
            self._sure = asked
            self.said = f"{as_minutes(left)} are left. Do the same again to go on {EARLY}."
        else:
            self._record(act)
            if act.to_note and act.to_step and note_or_none(self._note_by_id, act.to_note):
                self._open(act.to_note)

    def skip(self) -> None:
        """Ask why the step in hand is skipped."""
        self._at("step")
        step = skip(self.at.walk, "to be asked").step
        self.ask = in_turn((f"Why is step {step} skipped?",), self._skip)

    def _skip(self, answers: tuple[str, ...]) -> None:
        self._record(skip(self.at.walk, answers[0]))

    def wait(self) -> None:
        """Begin the countdown of the step in hand."""
        self._at("step")
        if self.at.walk.waiting:
            raise UsageError("the countdown has begun already")
        if not self.at.wait_seconds:
            raise UsageError("this step tells no time to wait")
        self._record(wait(self.at.walk, self.at.wait_seconds))

    def back(self) -> None:
        """Go back to the step before, or from the early end to the step in hand."""
        self._free()
        if self._ending:
            self._ending = False
        else:
            self._record(go_back(self.at.walk))

    def end(self) -> None:
        """Ask for the outcome, wherever the work stands."""
        self._free()
        self._ending = True

    def record(self) -> None:
        """Ask what is to be recorded beside the steps."""
        self._unasked()
        self.ask = self._beside.menu()

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""
        asked, self.ask = self.ask, None
        return asked is not None

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, or an answer."""
        number = int(text) if text.isascii() and text.isdigit() else 0
        if 1 <= number <= len(self.offers):
            self.pick(number)
        elif self.ask and self.ask.take:
            self.ask = self.ask.take(text)
        elif self.offers:
            raise UsageError(f"type a number from 1 to {len(self.offers)}, or use a key")
        else:
            raise UsageError("nothing is asked here: use a key, or tap a line")

    def _open(self, target: str) -> None:
        """Begin the work through another note, or take it up where it was begun and has not ended.

        The other one begins before this one ends, so that a work that was left is never found without the next.
        """
        note = self._found(target)
        here, leaves = self.at.work, self.at.walk.leaves and self.stage == "leads"
        begun = [work for work in self._recorder.open_works() if (work.parent, work.note) == (here.id, target)]
        if not begun:
            begun = [self._recorder.begin(note, station=here.station, condition=here.condition, parent=here.id)]
        if leaves:
            self._end("led_on")
        self._enter((*self.at.chain, begun[0]), note)

    def _stay(self) -> None:
        self._stayed = True

    def _outcome(self, name: OutcomeName) -> Ask | None:
        if name == "escalated" and not self._handed_over():
            return in_turn(HANDED_OVER, self._hand_over)
        self._end(name)
        return None

    def _handed_over(self) -> bool:
        """Tell whether it is recorded to whom this was handed, by this work or by the one that it led to."""
        child = self.at.child is not None and self.at.child.outcome == "escalated"
        return child or bool(self._recorder.journal.all(Escalation, work=self.at.work.id))

    def _hand_over(self, answers: tuple[str, ...]) -> None:
        if not self._handed_over():
            reason, job, contact, due = answers
            self._recorder.escalate(reason, job=job, contact=contact, due=due, work=self.at.work)
        self._end("escalated")

    def _end(self, name: OutcomeName) -> None:
        self.at = self.at._replace(ended=self._recorder.end(self.at.work, name))

    def _come_back(self, place: int) -> None:
        self._end("done")
        self._go_up(place)

    def _go_up(self, place: int) -> None:
        self._enter(self.at.chain[: place + 1], self._found(self.at.chain[place].note), stayed=True)

    def _end_up(self, place: int, outcome: OutcomeName) -> None:
        note = self._found(self.at.chain[place].note)
        self._recorder.end(self.at.chain[place], outcome)
        self._enter(self.at.chain[: place + 1], note)

    def _close(self) -> None:
        self.closed = True

    def _use_up(self, part: str) -> None:
        self._beside.part("used", part)
        self._used |= {part}

    def _tell(self, text: str) -> None:
        self.said = text

    def _record(self, act: Act) -> None:
        before = self.at.walk
        self.at = self.at.after(act, self._recorder.act(before, act))
        self._sure = None
        if self.at.walk.trail != before.trail:
            self._stayed = False
            self._since = self._clock()

    def _spent(self) -> int:
        """Return the seconds since the step came up, 0 after a long pause."""
        seconds = (self._clock() - self._since).total_seconds()
        return round(seconds) if 0 <= seconds <= LONGEST_PAUSE * 60 else 0

    def _found(self, note_id: str) -> Note:
        note = self._note_by_id(note_id)
        if note is None:
            raise UsageError(f"no note '{note_id}' in this pack")
        return note

    def _unasked(self) -> None:
        if self.ask:
            raise UsageError("answer on the line first, or press Esc")

    def _free(self) -> None:
        self._unasked()
        if self.at.ended:
            raise UsageError("this work has ended")

    def _at(self, stage: Stage) -> None:
        self._free()
        if self.stage != stage:
            raise UsageError("pick one of the numbered lines first")
