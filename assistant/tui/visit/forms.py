"""Short forms that the one input line answers field by field, and the line among others that Enter takes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Work
from assistant.languages import said, to_say
from assistant.tui.common.asking import Ask, Offer
from assistant.visiting.days import read_day
from assistant.visiting.entries import Released
from assistant.visiting.line import read_line
from assistant.visiting.recorder import Recorder
from assistant.visiting.standing import belongs_to

__all__ = [
    "CANCELLED",
    "EARLY",
    "READ_FIRST",
    "Answers",
    "Field",
    "Marked",
    "form",
    "hand_over_form",
    "marked_in",
    "name_typed",
    "release_form",
    "undo",
]

CANCELLED = to_say("Nothing was recorded.")
READ_FIRST = to_say("Read the message, then press Space.")
EARLY = to_say("before the time was up")
"""The reason that is recorded where a step was ticked while its countdown still ran."""
Answers = tuple[str, ...]


class Marked(Offer):
    """The numbered line that Enter on the empty line takes; there is none where a slip could hurt."""

    __slots__ = ()


def marked_in(offers: Iterable[Offer]) -> int:
    """Return the number of the marked line, from 1; 0 where none is marked."""
    return next((number for number, offer in enumerate(offers, start=1) if isinstance(offer, Marked)), 0)


def _as_typed(text: str) -> str:
    return text


class Field(NamedTuple):
    """One question of a form.

    ``lines`` are answers that stand ready, each with its words, the first of them marked where ``marks`` says so.
    ``read`` returns what a typed answer means, or refuses it. Where only a line answers, nothing can be ``typed``.
    ``content`` is that of its `Ask`.
    """

    question: str
    needed: bool = False
    lines: tuple[tuple[str, str], ...] = ()
    marks: bool = True
    read: Callable[[str], str] = _as_typed
    typed: bool = True
    content: bool = False


def form(fields: tuple[Field, ...], take: Callable[[Answers], Ask | None], given: Answers = ()) -> Ask:
    """Return the first question of a form; all answers are handed over after the last."""
    field = fields[len(given)]
    answer = partial(_answered, fields, take, given)
    offers = tuple(
        (Marked if place == 0 and field.marks else Offer)(said(words), partial(answer, value))
        for place, (words, value) in enumerate(field.lines)
    )
    take_typed = partial(_typed, field, answer) if field.typed else None
    return Ask(said(field.question), take_typed, offers, holds=True, content=field.content)


def _typed(field: Field, answer: Callable[[str], Ask | None], text: str) -> Ask | None:
    if field.needed and not text:
        raise UsageError(said("this cannot be empty: type it, or press Esc"))
    return answer(field.read(text))


def _answered(
    fields: tuple[Field, ...], take: Callable[[Answers], Ask | None], given: Answers, value: str
) -> Ask | None:
    answers = (*given, value)
    return form(fields, take, answers) if len(answers) < len(fields) else take(answers)


def hand_over_form(fault: str, take: Callable[[str, str], Ask | None]) -> Ask:
    """Ask why something is handed over, the fault standing ready, and for the desk's number."""
    fields = (
        Field(
            said("Why is it handed over to the support desk?"),
            needed=True,
            lines=((fault, fault),) if fault else (),
            content=True,
        ),
        Field(said("The desk's number? Enter alone: not told yet")),
    )
    return form(fields, lambda answers: take(answers[0], answers[1]))


def name_typed(text: str) -> str:
    """Return the name of a person as it was typed; what begins with the label of a station is none."""
    try:
        line = read_line(text, ())
    except UsageError:
        return text
    if line.kind == "rest":
        return text
    raise UsageError(said("'{typed}' begins with the label of a station: type a name", typed=text))


def release_form(recorder: Recorder, station: str, take: Callable[[Released], Ask | None]) -> Ask:
    """Ask who released a station, under what number and when."""

    def past(text: str) -> str:
        return read_day(text, recorder.today, past=True)

    fields = (
        Field(
            said("{told} is out of service. Who released it?", told=station or said("It")), needed=True, read=name_typed
        ),
        Field(said("Under what number?"), needed=True),
        Field(said("On which day?"), lines=((said("Today"), ""),), read=past),
    )
    return form(fields, lambda answers: take(Released(*answers)))


def undo(recorder: Recorder, tell: Callable[[str], None], work: Work | None = None) -> Ask | None:
    """Take the last entry back and tell so; ask first where that puts a station back into service.

    Where a ``work`` is given, only an entry that belongs to it is taken back.
    """

    def take_back() -> None:
        tell(said("Taken back: {says}.", says=recorder.undo(entry).says))

    def keep() -> None:
        tell(said("Nothing was taken back."))

    entry = recorder.last_entry()
    if work and entry and not belongs_to(recorder.journal, entry, work):
        raise UsageError(said("the last entry is not of this work ({says}): leave the work first", says=entry.says))
    if entry and recorder.takes_out(entry):
        offers = (Offer(said("Take it back"), take_back), Offer(said("Leave it as it is"), keep))
        return Ask(said("{says}. It would no longer be out of service.", says=entry.says), None, offers)
    take_back()
    return None
