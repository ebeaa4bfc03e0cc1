"""What is typed, made printable, measured, and refused in words before it is kept."""

from __future__ import annotations

from datetime import date

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.languages import said, to_say

__all__ = [
    "MOST_CHARACTERS",
    "MOST_QUANTITY",
    "WHAT",
    "check_quantity",
    "clean",
    "day_of",
    "label",
    "one_of",
]

MOST_CHARACTERS = 2000
MOST_QUANTITY = 999
WHAT = (
    to_say("description"),
    to_say("desk's number"),
    to_say("fault"),
    to_say("incident"),
    to_say("kind of station"),
    to_say("name"),
    to_say("number of the release"),
    to_say("number of the unit put in"),
    to_say("number of the unit taken out"),
    to_say("outcome"),
    to_say("part"),
    to_say("picture"),
    to_say("place to go from"),
    to_say("place to go to"),
    to_say("reason"),
    to_say("remark"),
    to_say("rep"),
    to_say("result"),
    to_say("shop"),
    to_say("start"),
    to_say("station"),
    to_say("unit"),
    to_say("use"),
    to_say("verdict"),
)
"""What may be wrong with what was typed, by name."""


def clean(text: str, what: str, *, needed: bool = True) -> str:
    """Return a text made printable; `UsageError` names it as ``what`` where it is empty but needed, or too long.

    ``what`` is one of the English names of `WHAT`.
    """
    made = printable(text)
    if needed and not made:
        raise UsageError(said("the {what} is empty", what=said(what)))
    if len(made) > MOST_CHARACTERS:
        raise UsageError(said("the {what} is longer than {n} characters", what=said(what), n=MOST_CHARACTERS))
    return made


def check_quantity(quantity: int, least: int) -> None:
    """Raise `UsageError` where a number of parts is out of range."""
    if not least <= quantity <= MOST_QUANTITY:
        raise UsageError(said("how many must be {least} to {most}", least=least, most=MOST_QUANTITY))


def day_of(text: str) -> str:
    """Return a day as ISO 8601, empty for none; `UsageError` where it is no such day."""
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise UsageError(said("'{typed}' is no day: type it as 2026-11-30", typed=printable(text)[:40])) from error


def label(text: str, what: str) -> str:
    """Return an asset label or the code of a shop as it is kept."""
    return clean(text, what).upper()


def one_of(value: str, known: tuple[str, ...], what: str) -> None:
    """Raise `UsageError` where a value is none of those known."""
    if value not in known:
        raise UsageError(said("{what} must be one of {known}", what=said(what), known=", ".join(known)))
