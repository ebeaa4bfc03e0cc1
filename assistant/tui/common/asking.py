"""Numbered lines and questions that the one input line answers, and what is recorded beside the steps of a work."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Use, Work
from assistant.model import SafetyMessage
from assistant.visiting.recorder import Recorder, counted_part

__all__ = ["HANDED_OVER", "Ask", "Beside", "Offer", "in_turn"]

HANDED_OVER = (
    "Why is it handed to the support desk?",
    "Number of the job? Empty if there is none.",
    "Who took it over? Empty if not known.",
    "Promised for which date? Empty if none.",
)
"""What is asked when a fault is handed over: reason, job, contact, date."""


class Offer(NamedTuple):
    """A numbered line; taking it returns the question that follows, or None."""

    text: str
    take: Callable[[], Ask | None]


class Ask(NamedTuple):
    """A question; ``take`` takes the typed answer as `Offer.take` does, None where only a numbered line answers.

    ``holds`` tells that something typed before is lost where the question is dropped; ``safety`` is what has to be read
    before it is answered.
    """

    question: str
    take: Callable[[str], Ask | None] | None
    offers: tuple[Offer, ...] = ()
    holds: bool = False
    safety: tuple[SafetyMessage, ...] = ()


def in_turn(questions: tuple[str, ...], take: Callable[[tuple[str, ...]], None], given: tuple[str, ...] = ()) -> Ask:
    """Return the first question of several; all answers are handed over after the last, and the first is needed."""
    return Ask(questions[len(given)], partial(_answered, questions, take, given))


def _answered(
    questions: tuple[str, ...], take: Callable[[tuple[str, ...]], None], given: tuple[str, ...], text: str
) -> Ask | None:
    if not given and not text:
        raise UsageError("this cannot be empty: type it, or press Esc")
    answers = (*given, text)
    if len(answers) < len(questions):
        return in_turn(questions, take, answers)
    take(answers)
    return None


class Beside:
    """Records parts, pictures and remarks of one work, or of one station without a work.

    Parameters
    ----------
    recorder
        Records.
    work
        The work that they belong to.
    parts
        Names of parts that are offered.
    tell
        Is told what was recorded.
    station
        Asset label, where there is no work.
    """

    def __init__(
        self,
        recorder: Recorder,
        work: Work | None,
        parts: tuple[str, ...],
        tell: Callable[[str], None],
        station: str = "",
    ) -> None:
        self._recorder = recorder
        self._work = work
        self._station = station
        self._parts = parts
        self._tell = tell

    def menu(self) -> Ask:
        """Return the question what is to be recorded."""
        offers = (
            Offer("A part was used", partial(self._ask_part, "used", "was used")),
            Offer("A part is wanted", partial(self._ask_part, "wanted", "is wanted")),
            Offer("A picture was taken", self._ask_photo),
            Offer("A remark", self._ask_remark),
        )
        return Ask("What is to be recorded?", None, offers)

    def part(self, use: Use, text: str) -> None:
        """Record a part, told as its name or as how many and its name.

        Raises
        ------
        UsageError
            If no part is named.
        """
        quantity, name = counted_part(text)
        part = self._recorder.part(name, use, quantity=quantity, station=self._station, work=self._work)
        self._tell(f"Recorded: {part.quantity} {part.part}, {use}.")

    def _ask_part(self, use: Use, words: str) -> Ask:
        offers = tuple(Offer(part, partial(self.part, use, part)) for part in self._parts)
        how = "Its number, or its name" if offers else "Its name"
        return Ask(f"Which part {words}? {how}; of more than one: 2 pad", partial(self.part, use), offers)

    def _ask_photo(self) -> Ask:
        return in_turn(("File name of the picture?", "What does it show? May be empty."), self._photo)

    def _photo(self, answers: tuple[str, ...]) -> None:
        photo = self._recorder.photo(answers[0], shows=answers[1], station=self._station, work=self._work)
        self._tell(f"Recorded: picture {photo.name}.")

    def _ask_remark(self) -> Ask:
        return in_turn(("Type the remark.",), self._remark)

    def _remark(self, answers: tuple[str, ...]) -> None:
        self._recorder.remark(answers[0], station=self._station, work=self._work)
        self._tell("Recorded: the remark.")
