"""What is recorded beside passes, faults and works: each a short form, each one entry."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import cast

from assistant.errors import UsageError
from assistant.journal.records import INCIDENTS, IncidentName, Use, Work
from assistant.languages import said, to_say
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.visit.forms import Answers, Field, form, name_typed
from assistant.visiting.amounts import read_amount, shown_amount
from assistant.visiting.recorder import Recorder
from assistant.visiting.words import INCIDENT_WORDS

__all__ = ["SWAP", "Beside"]

SWAP = (
    Field(to_say("What was exchanged?"), needed=True),
    Field(to_say("Number of the one taken out?"), needed=True),
    Field(to_say("Number of the one put in?"), needed=True),
)
_USES: tuple[tuple[str, str], ...] = ((to_say("It was used"), "used"), (to_say("It is wanted"), "wanted"))
_DONE_WITH: dict[Use, str] = {"used": to_say("used"), "wanted": to_say("wanted")}


class Beside:
    """Records what belongs to one work, to one station without a work, or to the visit alone.

    Parameters
    ----------
    recorder
        Records.
    tell
        Is told what was recorded.
    station
        Asset label, empty for none.
    work
        The work that it belongs to.
    parts
        Names of parts that are offered.
    """

    def __init__(
        self,
        recorder: Recorder,
        tell: Callable[[str], None],
        station: str = "",
        work: Work | None = None,
        parts: tuple[str, ...] = (),
    ) -> None:
        self._recorder = recorder
        self._tell = tell
        self._station = station
        self._work = work
        self._parts = parts

    def menu(self) -> Ask:
        """Return the question what is to be recorded."""
        return Ask(said("What is to be recorded?"), None, self.offers)

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The lines of all that can be recorded."""
        offers = (
            Offer(said("A part was used, or is wanted"), self._ask_part),
            Offer(said("A picture"), self._ask_photo),
            Offer(said("A remark"), self._ask_remark),
            Offer(said("Somebody was hurt, or nearly; a spill"), self._ask_incident),
        )
        if self._station or self._work:
            return (*offers, Offer(said("A whole unit was exchanged"), self.ask_swap))
        return (*offers, Offer(said("How many of a part are in the bag"), self._ask_count))

    def _amount(self, text: str) -> str:
        amount = read_amount(text, self._recorder.trade)
        return f"{amount.quantity} {amount.part}"

    def _ask_part(self) -> Ask:
        lines = tuple((part, f"1 {part}") for part in self._parts)
        question = said("Which part? Of more than one its number too, such as 2 bolts")
        fields = (
            Field(question, needed=True, lines=lines, marks=False, read=self._amount),
            Field(said("Was it used, or is it wanted?"), lines=_USES, typed=False),
        )
        return form(fields, self._part)

    def _part(self, answers: Answers) -> None:
        quantity, _, part = answers[0].partition(" ")
        use = cast("Use", answers[1])
        made = self._recorder.part(part, use, quantity=int(quantity), station=self._station, work=self._work)
        self._tell(
            said(
                "Recorded: {shown_amount}, {use}.",
                shown_amount=shown_amount(made.quantity, made.part, self._recorder.trade),
                use=said(_DONE_WITH[use]),
            )
        )

    def _ask_photo(self) -> Ask:
        return form(
            (
                Field(said("Where is the picture? Its file name"), needed=True),
                Field(said("What does it show?"), content=True),
            ),
            self._photo,
        )

    def _photo(self, answers: Answers) -> None:
        path = Path(answers[0])
        photo = self._recorder.photo(path, shows=answers[1], station=self._station, work=self._work)
        self._tell(said("Recorded: picture {name}.", name=photo.name))

    def _ask_remark(self) -> Ask:
        return form((Field(said("Type the remark."), needed=True, content=True),), self._remark)

    def _remark(self, answers: Answers) -> None:
        self._recorder.remark(answers[0], station=self._station, work=self._work)
        self._tell(said("Recorded: the remark."))

    def _ask_incident(self) -> Ask:
        if self._recorder.visit is None:
            raise UsageError(said("the report of a visit tells of it, and no visit is open: open the visit first"))
        words = ((said(INCIDENT_WORDS[name]), name) for name in INCIDENTS)
        lines = tuple((told[:1].upper() + told[1:], name) for told, name in words)
        fields = (
            Field(said("What was it?"), lines=lines, marks=False, typed=False),
            Field(said("What happened?"), needed=True, content=True),
            Field(said("Who was told of it? Enter alone: nobody yet"), read=name_typed),
        )
        return form(fields, self._incident)

    def _incident(self, answers: Answers) -> None:
        name, text, told = answers
        station = self._station or (self._work.station if self._work else "")
        self._recorder.incident(cast("IncidentName", name), text, station=station, told=told)
        self._tell(said("Recorded: {told}.", told=said(INCIDENT_WORDS[cast("IncidentName", name)])))

    def ask_swap(self) -> Ask:
        """Ask what was exchanged, for what."""
        return form(SWAP, self._swap)

    def _swap(self, answers: Answers) -> None:
        unit, out, new = answers
        made = self._recorder.swap(self._station, unit, taken_out=out, put_in=new, work=self._work)
        self._tell(
            said(
                "Recorded: {unit} {taken_out} out, {put_in} in.",
                unit=made.unit,
                taken_out=made.taken_out,
                put_in=made.put_in,
            )
        )

    def _ask_count(self) -> Ask:
        return form((Field(said("How many of which part, such as 4 bolts?"), needed=True),), self._count)

    def _count(self, answers: Answers) -> Ask | None:
        amount = read_amount(answers[0], self._recorder.trade, tools=True, least=0)
        self._recorder.count(amount.part, amount.quantity)
        shown = shown_amount(amount.quantity, amount.part, self._recorder.trade)
        self._tell(said("Recorded: {shown} in the bag.", shown=shown))
        return None
