"""How a work ended, with what has to be told beside it: one entry."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from assistant.errors import UsageError
from assistant.journal.records import TOLD_OUTCOMES, Escalation, Outcome, OutcomeName
from assistant.languages import said
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.visit.beside import SWAP
from assistant.tui.visit.forms import Answers, Marked, form, hand_over_form, release_form
from assistant.visiting.amounts import Amount, read_amount
from assistant.visiting.entries import Handed, Released, end_work, hand_over
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.recorder import Recorder
from assistant.visiting.standing import Standing
from assistant.visiting.words import OUTCOME_WORDS, outcome_word

__all__ = ["Ending"]

_GRAVE: tuple[OutcomeName, ...] = ("withdrawn", "escalated", "not_mended")
_OF_A_READING: tuple[OutcomeName, ...] = ("done", "escalated", "withdrawn", "not_mended")
_INFORM = "inform"


def _nothing() -> None:
    pass


class Ending:
    """Ends one work.

    Parameters
    ----------
    recorder
        Records.
    at
        Where the work stands.
    done
        Is given the outcome once it is recorded.
    """

    def __init__(self, recorder: Recorder, at: Standing, done: Callable[[Outcome], None]) -> None:
        self._recorder = recorder
        self._at = at
        self._done = done

    def offers(self, *, ready: bool) -> tuple[Offer, ...]:
        """Return the outcomes; where every step is done, and a slip cannot hurt, the likeliest is marked."""
        if self._recorder.grave(self._at.work):
            back = Offer(said("It may be played again: somebody has released it"), self._released)
            return (*(self._offer(Offer, name) for name in _GRAVE), back)
        reading = self._at.note.action == _INFORM and self._at.above is None
        first, *others = _OF_A_READING if reading else TOLD_OUTCOMES
        return self._offer(Marked if ready else Offer, first), *(self._offer(Offer, name) for name in others)

    def _offer(self, kind: type[Offer], name: OutcomeName) -> Offer:
        return kind(said(OUTCOME_WORDS[name]), partial(self.tell, name))

    def tell(self, name: OutcomeName) -> Ask | None:
        """End the work, after what has to be asked."""
        if name == "escalated" and not self.handed_over:
            return hand_over_form(self._fault, lambda why, number: self._end(name, handed=Handed(why, number)))
        if name == "replaced":
            return self._ask_parts(())
        return self._end(name)

    @property
    def handed_over(self) -> bool:
        """Whether this was handed over already, by this work or by the one that it led to."""
        child = self._at.child is not None and self._at.child.outcome == "escalated"
        return child or bool(self._recorder.journal.all(Escalation, work=self._at.work.id))

    def hand_over_now(self, tell: Callable[[str], None]) -> Ask:
        """Ask for what is told of a hand-over after the end, such as of a station taken out of service."""

        def take(why: str, number: str) -> None:
            hand_over(self._recorder, why, self._at.work.station, number, work=self._at.work)
            tell(said("Handed over. Recorded."))

        return hand_over_form(self._fault, take)

    @property
    def _fault(self) -> str:
        return self._at.work.condition or self._at.work.title

    def _end(
        self,
        name: OutcomeName,
        *,
        beside: Callable[[], None] = _nothing,
        released: Released | None = None,
        handed: Handed | None = None,
    ) -> Ask | None:
        work = self._at.work
        try:
            station = work.station or said("no station")
            with self._recorder.entry(f"{station}: {work.title}: {outcome_word(name)}"):
                outcome = end_work(self._recorder, work, name, released=released, handed=handed)
                beside()
        except NeedsReleaseError:
            if released:
                raise
            return release_form(
                self._recorder, work.station, lambda told: self._end(name, beside=beside, released=told)
            )
        self._done(outcome)
        return None

    def _released(self) -> Ask:
        return release_form(self._recorder, self._at.work.station, lambda told: self._end("mended", released=told))

    def _ask_parts(self, chosen: tuple[Amount, ...]) -> Ask:
        left = self._left(chosen)
        offers = (
            *(Offer(part, partial(self._chosen, (*chosen, Amount(1, part)))) for part in left),
            Offer(said("A whole unit was exchanged"), partial(self._ask_swap, chosen)),
            Marked(said("That is all") if chosen else said("No part was used"), partial(self._replaced, chosen, ())),
        )
        question = said("Which parts were used? Their numbers, such as 1 2, or how many, such as 2 bolts")
        return Ask(question, partial(self._typed, chosen), offers, holds=True)

    def _left(self, chosen: tuple[Amount, ...]) -> list[str]:
        had = {amount.part for amount in chosen}
        return [part for part in self._at.note.parts if part not in had]

    def _typed(self, chosen: tuple[Amount, ...], text: str) -> Ask | None:
        """Take several numbers of lines at once, or an amount."""
        words = text.replace(",", " ").split()
        if not words or not all(word.isascii() and word.isdecimal() for word in words):
            return self._chosen((*chosen, read_amount(text, self._recorder.trade)))
        left = self._left(chosen)
        if not all(1 <= int(word) <= len(left) for word in words):
            raise UsageError(said("the parts are lines 1 to {len}", len=len(left)))
        picked = dict.fromkeys(left[int(word) - 1] for word in words)
        return self._chosen((*chosen, *(Amount(1, part) for part in picked)))

    def _chosen(self, chosen: tuple[Amount, ...]) -> Ask | None:
        return self._ask_parts(chosen) if self._left(chosen) else self._replaced(chosen, ())

    def _ask_swap(self, chosen: tuple[Amount, ...]) -> Ask:
        return form(SWAP, partial(self._replaced, chosen))

    def _replaced(self, chosen: tuple[Amount, ...], swap: Answers) -> Ask | None:
        return self._end("replaced", beside=partial(self._record, chosen, swap))

    def _record(self, chosen: tuple[Amount, ...], swap: Answers) -> None:
        work = self._at.work
        for quantity, part in chosen:
            self._recorder.part(part, "used", quantity=quantity, work=work)
        if swap:
            unit, out, new = swap
            self._recorder.swap(work.station, unit, taken_out=out, put_in=new, work=work)
