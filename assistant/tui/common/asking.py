"""Numbered lines and questions that the one input line answers."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.languages import said
from assistant.model import SafetyMessage

__all__ = ["Ask", "Offer", "line_number"]

_DIGITS_OF_A_LINE = 2


class Offer(NamedTuple):
    """A numbered line; taking it returns the question that follows, or None."""

    text: str
    take: Callable[[], Ask | None]


class Ask(NamedTuple):
    """A question; ``take`` takes the typed answer as `Offer.take` does, None where only a numbered line answers.

    ``holds`` tells that something typed before is lost where the question is dropped; ``safety`` is what has to be read
    before it is answered. ``content`` tells that what is typed may well tell of harm, as a fault or a
    remark does, and is taken as it stands.
    """

    question: str
    take: Callable[[str], Ask | None] | None
    offers: tuple[Offer, ...] = ()
    holds: bool = False
    safety: tuple[SafetyMessage, ...] = ()
    content: bool = False


def line_number(text: str, count: int) -> int:
    """Return the number of one of ``count`` lines that was typed, 0 where the text is no number of a line.

    Raises
    ------
    UsageError
        If it is a number, and there is no such line.
    """
    if not (text.isascii() and text.isdecimal() and len(text) <= _DIGITS_OF_A_LINE):
        return 0
    number = int(text)
    if 1 <= number <= count:
        return number
    if count > 1:
        raise UsageError(said("type 1 to {n}", n=count))
    raise UsageError(said("type 1") if count else said("there is no numbered line here"))
