"""Working through notes as the screen offers it: what can be done now, what is asked, where it leads.

Nothing is drawn here. What changes the journal changes the state only after the recorder has returned.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Literal, NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, OutcomeName, Work
from assistant.journal.store import now
from assistant.languages import said
from assistant.model import Note
from assistant.tui.common.asking import Ask, Offer, line_number
from assistant.tui.common.contracts import NoteById
from assistant.tui.visit.beside import Beside
from assistant.tui.visit.ending import Ending
from assistant.tui.visit.forms import CANCELLED, EARLY, READ_FIRST, Field, Marked, form, marked_in, undo
from assistant.visiting.entries import end_work
from assistant.visiting.recorder import LONGEST_PAUSE, Recorder
from assistant.visiting.standing import as_minutes, begun_from, chain_of, leads_alone, note_or_none, standing, where
from assistant.visiting.walk import acknowledge, choices, go_back, pending, skip, tick, wait
from assistant.visiting.words import outcome_word

__all__ = ["EARLY", "READ_FIRST", "Left", "Stage", "Working"]

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
            if self._leaves:
                self._ended(self._recorder.end(self.at.work, "led_on"))
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
            self.said = said(
                "The note is at revision {n} now, no longer {was}: it begins at step 1.", n=note.revision, was=revision
            )
        self.ask: Ask | None = None
        self._stayed = stayed
        self._early = False
        self._sure: tuple[int, int | None] | None = None
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
        if self._early:
            return "outcome"
        if self.at.walk.leads_to and not self._stayed:
            return "leads"
        return "outcome" if self.at.walk.finished else "step"

    @property
    def must_read(self) -> bool:
        """Whether a safety message has to be read before anything else of the step in hand."""
        return self.stage == "step" and bool(pending(self.at.walk))

    @property
    def question(self) -> str:
        """What the line takes now."""
        if self.ask:
            return self.ask.question
        if self.must_read:
            return ""
        if self.stage == "step":
            return said("What did you find?") if self.offers else ""
        return {"outcome": said("How did it end?"), "ended": said("What next?")}.get(self.stage, "")

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        step = self.at.walk.current
        if self.stage == "step" and step:
            found = () if self.must_read else choices(step)
            return tuple(Offer(branch.text, partial(self.done, place)) for place, branch in enumerate(found))
        if self.stage == "leads":
            return self._leads()
        return self._outcomes() if self.stage == "outcome" else self._after_the_end()

    @property
    def marked(self) -> int:
        """The number of the line that Enter takes, 0 for none."""
        return marked_in(self.offers)

    def _harms(self, note_id: str) -> bool:
        """Tell whether a note deals with harm, so that a choice leads there alone."""
        note = note_or_none(self._note_by_id, note_id)
        return leads_alone(self._recorder, note_id, note.action if note else "")

    @property
    def _leaves(self) -> bool:
        """Whether the note that the last choice leads to takes over for good."""
        walk = self.at.walk
        return walk.leaves or (bool(walk.leads_to) and self._harms(walk.leads_to))

    def _leads(self) -> tuple[Offer, ...]:
        target = self.at.walk.leads_to
        here = Offer(said("Go on here: {where}", where=where(self.at.walk)), self._stay)
        if self.at.child is not None:
            same = self.at.child.outcome
            told = said("End here with the same outcome: {outcome}", outcome=outcome_word(same))
            end = Offer(told, partial(self._end.tell, same))
            return (end,) if self.at.child_held else (here, end, self._lead(target, said("Do it again")))
        if self._leaves:
            return (self._lead(target, said("Leave this note, and go to"), Marked),)
        return self._lead(target, said("Do it now")), here

    @property
    def _end(self) -> Ending:
        return Ending(self._recorder, self.at, self._ended)

    def _outcomes(self) -> tuple[Offer, ...]:
        ready = self.at.walk.finished and not self._early
        grave = self._recorder.grave(self.at.work)
        if not (self.at.on_the_way and self.at.above) or grave:
            return self._end.offers(ready=ready)
        place, words = self.at.above
        told = said("Done. Go on with: {words}", words=words)
        back = (Marked if ready else Offer)(told, partial(self._come_back, place))
        return back, *self._end.offers(ready=False)

    def _after_the_end(self) -> tuple[Offer, ...]:
        """Return what is still to be decided; nothing where the work is just over."""
        outcome = self.result.outcome
        offers: list[Offer] = []
        if outcome == "withdrawn" and not self._end.handed_over:
            offers.append(Marked(said("Hand it over to the support desk now"), self._hand_over))
        if outcome == "not_mended":
            offers += [self._lead(target, said("Open")) for target in self.at.note.on_failure]
        if self.at.above and outcome:
            place, words = self.at.above
            if not self.at.held:
                offers.append(Offer(said("Go on with: {words}", words=words), partial(self._go_up, place)))
            title = self.at.chain[place].title
            same = said("End with the same outcome ({outcome}): {title}", outcome=outcome_word(outcome), title=title)
            offers.append(Offer(same, partial(self._end_up, place, outcome)))
        return (*offers, Offer(said("Leave it at that"), self._close)) if offers else ()

    def _lead(self, target: str, words: str, kind: type[Offer] = Offer) -> Offer:
        note = note_or_none(self._note_by_id, target)
        return kind(f"{words}: {note.title if note else target}", partial(self._open, target))

    @property
    def seconds_left(self) -> int | None:
        """How much of the countdown is left, 0 when it is over; None where none was begun."""
        return self.at.seconds_left(self._clock())

    def read(self) -> None:
        """Acknowledge the next safety message."""
        self._at("step")
        if not pending(self.at.walk):
            raise UsageError(said("no message is waiting to be read"))
        self._record(acknowledge(self.at.walk))

    def done(self, choice: int | None = None) -> None:
        """Tick the step in hand; while its countdown runs, only at the second time."""
        self._at_free_step()
        left, early = self.seconds_left, said(EARLY)
        act = tick(self.at.walk, choice, seconds=self._spent(), reason=early if left else "")
        asked = (self.at.walk.step, choice)
        if left and self._sure != asked:
            self._sure = asked
            self.said = said("{time} are left. Do the same again to go on {early}.", time=as_minutes(left), early=early)
            return
        if act.to_note and self._harms(act.to_note):
            act = act._replace(to_step=None)
        self._record(act)
        if act.to_note and act.to_step and note_or_none(self._note_by_id, act.to_note):
            self._open(act.to_note)

    def skip(self) -> None:
        """Ask why the step in hand is skipped."""
        self._at_free_step()
        step = skip(self.at.walk, "to be asked").step
        why = Field(said("Why is step {step} skipped?", step=step), needed=True)
        self.ask = form((why,), lambda answers: self._record(skip(self.at.walk, answers[0])))

    def wait(self) -> None:
        """Begin the countdown of the step in hand."""
        self._at_free_step()
        if self.at.walk.waiting:
            raise UsageError(said("the countdown has begun already"))
        if not self.at.wait_seconds:
            raise UsageError(said("this step tells no time to wait"))
        self._record(wait(self.at.walk, self.at.wait_seconds))

    def back(self) -> None:
        """Go back to the step before, or from the early end to the step in hand."""
        self._free()
        if self._early:
            self._early = False
        else:
            self._record(go_back(self.at.walk))

    def end(self) -> None:
        """Ask for the outcome, wherever the work stands."""
        self._free()
        self._early = not self.at.walk.finished or self.stage != "outcome"

    def record(self) -> None:
        """Ask what is to be recorded beside the steps."""
        self._unasked()
        self.ask = Beside(self._recorder, self._say, work=self.at.work, parts=self.at.note.parts).menu()

    def undo(self) -> None:
        """Take the last entry of this work back; the screen is left where that was its beginning."""
        self._unasked()
        self.ask = undo(self._recorder, self._taken_back, self.at.work)

    def _taken_back(self, told: str) -> None:
        if self._recorder.journal.get(Work, self.at.work.id) is None:
            self.closed = True
        else:
            self._enter(self.at.chain, self.at.note)
            self._take_up()
        self.said = told

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""
        asked, self.ask = self.ask, None
        self.said = said(CANCELLED) if asked and asked.holds else ""
        return asked is not None

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()
        self._settle()

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, an answer, or nothing, which ticks the step."""
        if self.must_read and not self.ask:
            raise UsageError(said(READ_FIRST))
        number = line_number(text, len(self.offers)) if self.offers or not self.ask else 0
        if number:
            self.pick(number)
        elif self.ask and self.ask.take:
            self.ask = self.ask.take(text)
            self._settle()
        elif self.offers:
            asked = self.question or said("What now?")
            raise UsageError(said("{asked} Type the number of a line, 1 to {n}", asked=asked, n=len(self.offers)))
        elif text:
            raise UsageError(said("press Enter when the step is done, or type skip, back, end or help"))
        else:
            self.done()

    def _settle(self) -> None:
        """Leave the screen where the work is over and nothing is left to be decided."""
        if self.at.ended and self.ask is None and not self._after_the_end():
            self.closed = True

    def _open(self, target: str) -> None:
        """Begin the work through another note, or take it up where it was begun and has not ended.

        The other one begins before this one ends, so that a work that was left is never found without the next.
        """
        note = self._found(target)
        here, leaves = self.at.work, self._leaves and self.stage == "leads"
        with self._recorder.journal.writing():
            begun = [work for work in self._recorder.open_works() if (work.parent, work.note) == (here.id, target)]
            if not begun:
                begun = [self._recorder.begin(note, station=here.station, condition=here.condition, parent=here.id)]
            if leaves:
                self._recorder.end(here, "led_on")
        self._enter((*self.at.chain, begun[0]), note)

    def _stay(self) -> None:
        self._stayed = True

    def _ended(self, outcome: Outcome) -> None:
        self.at = self.at._replace(ended=outcome)

    def _come_back(self, place: int) -> None:
        self._ended(end_work(self._recorder, self.at.work, "done"))
        self._go_up(place)

    def _go_up(self, place: int) -> None:
        self._enter(self.at.chain[: place + 1], self._found(self.at.chain[place].note), stayed=True)

    def _end_up(self, place: int, outcome: OutcomeName) -> None:
        note = self._found(self.at.chain[place].note)
        end_work(self._recorder, self.at.chain[place], outcome)
        self._enter(self.at.chain[: place + 1], note)

    def _hand_over(self) -> Ask:
        return self._end.hand_over_now(self._say)

    def _close(self) -> None:
        self.closed = True

    def _say(self, text: str) -> None:
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
            raise UsageError(said("no note '{note_id}' in this pack", note_id=note_id))
        return note

    def _unasked(self) -> None:
        if self.ask:
            raise UsageError(said("answer on the line first, or press Esc"))

    def _free(self) -> None:
        self._unasked()
        if self.at.ended:
            raise UsageError(said("this work has ended"))

    def _at(self, stage: Stage) -> None:
        self._free()
        if self.stage != stage:
            raise UsageError(said("pick one of the numbered lines first"))

    def _at_free_step(self) -> None:
        self._at("step")
        if self.must_read:
            raise UsageError(said(READ_FIRST))
