"""What stands after the options of the visit and the journal: days, minutes, numbers, refused in words."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from datetime import date
from functools import partial
from math import isfinite

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.records import ToldOutcome
from assistant.journal.store import now
from assistant.visiting.days import read_day
from assistant.visiting.open_points import PointKind
from assistant.visiting.recorder import MOST_MINUTES
from assistant.visiting.times import shown_day

__all__ = [
    "OUTCOMES",
    "POINTS",
    "any_day",
    "day",
    "gone_day",
    "how_many",
    "minutes",
    "number_of",
    "outcome",
    "outcome_of",
    "past_day",
    "share",
]

OUTCOMES: dict[str, ToldOutcome] = {
    "mended": "mended",
    "replaced": "replaced",
    "handed-over": "escalated",
    "out-of-service": "withdrawn",
    "not-mended": "not_mended",
}
"""How a work ended, as it is typed."""
POINTS: dict[PointKind, str] = {
    "withdrawn": "out-of-service",
    "fault": "fault",
    "work": "work",
    "escalation": "hand-over",
    "part": "part",
}
"""What kind of open point, as it is typed."""
_MOST = 3660
_SHOWN = 40


def day(text: str) -> str:
    """Return a day from today on, typed in words or figures, as ISO 8601."""
    return _day(text, past=False)


def past_day(text: str) -> str:
    """Return a day up to today, not long ago."""
    return _day(text, past=True)


def any_day(text: str) -> str:
    """Return a day; in words one up to today, in figures whichever."""
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        return past_day(text)


def gone_day(text: str) -> str:
    """Return a day up to today, however long ago."""
    found = any_day(text)
    if found > _today().isoformat():
        raise argparse.ArgumentTypeError(f"{shown_day(found)} is still to come: type a day up to today")
    return found


def minutes(text: str) -> float:
    """Return a number of minutes."""
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = -1.0
    if not (isfinite(number) and 0 <= number <= MOST_MINUTES):
        raise argparse.ArgumentTypeError(f"'{_typed(text)}' is no number of minutes: type 0 to {MOST_MINUTES}")
    return number


def how_many(text: str) -> int:
    """Return a number of days."""
    return _whole(text, f"type a number of days, 1 to {_MOST}", most=_MOST)


def number_of(what: str) -> Callable[[str], int]:
    """Return what reads the number of a visit or a work."""
    return partial(_whole, remedy=f"type the number of the {what}, such as 2", most=None)


def outcome(text: str) -> ToldOutcome:
    """Return how a work ended."""
    try:
        return outcome_of(text)
    except UsageError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def outcome_of(text: str) -> ToldOutcome:
    """Return how a work ended, typed with spaces or hyphens.

    Raises
    ------
    UsageError
        If it is none that is known; it tells which are.
    """
    from difflib import get_close_matches

    typed = re.sub(r"[\s_]+", "-", text.strip().lower())
    if typed not in OUTCOMES:
        near = get_close_matches(typed, OUTCOMES, n=1)
        meant = f"did you mean {near[0]}? " if near else ""
        said = f"'{_typed(text)}' is no end of a work" if typed else "how did the work end?"
        raise UsageError(f"{said}: {meant}type {', '.join(list(OUTCOMES)[:-1])} or {list(OUTCOMES)[-1]}")
    return OUTCOMES[typed]


def share(text: str) -> float:
    """Return a probability."""
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number < 1:
        raise argparse.ArgumentTypeError(f"'{_typed(text)}' does not lie between 0 and 1: type such as 0.95")
    return number


def _day(text: str, *, past: bool) -> str:
    try:
        return read_day(text, _today(), past=past)
    except UsageError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _today() -> date:
    return now().astimezone().date()


def _whole(text: str, remedy: str, most: int | None) -> int:
    if not text.isdecimal() or int(text) < 1 or (most and int(text) > most):
        raise argparse.ArgumentTypeError(f"'{_typed(text)}' will not do: {remedy}")
    return int(text)


def _typed(text: str) -> str:
    return printable(text)[:_SHOWN]
