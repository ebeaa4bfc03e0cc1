"""Days in words: ``tomorrow``, ``friday``, ``in 3 days``, ``30 nov``."""

from __future__ import annotations

import re
from datetime import date, timedelta

from assistant.analysis.tokens import clean
from assistant.errors import UsageError
from assistant.languages import said, to_say
from assistant.visiting.amounts import read_number
from assistant.visiting.times import shown_day

__all__ = ["read_day"]

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_SHORT_MONTHS = (
    to_say("jan"),
    to_say("feb"),
    to_say("mar"),
    to_say("apr"),
    to_say("may"),
    to_say("jun"),
    to_say("jul"),
    to_say("aug"),
    to_say("sep"),
    to_say("oct"),
    to_say("nov"),
    to_say("dec"),
)
_NEAR = {"today": 0, "tomorrow": 1, "yesterday": -1}
_SHORT = 3
_WEEK = 7
_FARTHEST = 731
"""Days; a day farther away is a slip in the year."""
_MOST_MONTHS = 12
_REMEDY = to_say("type it as 2026-11-30, 30 nov, friday, tomorrow or in 3 days")
_REMEDY_PAST = to_say("type it as 2026-11-30, 30 nov, friday, yesterday or 3 days ago")
_IN = re.compile(r"in (?P<number>\w+) (?P<unit>day|week)s?")
_AGO = re.compile(r"(?P<number>\w+) (?P<unit>day|week)s? ago")
_YEAR = r"(?:[ ,]+(?P<year>\d{4}))?"
_NAMED = (
    re.compile(rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th)? ?(?:of )?(?P<month>[a-z]{{3,9}})\.?{_YEAR}"),
    re.compile(rf"(?P<month>[a-z]{{3,9}})\.? ?(?P<day>\d{{1,2}})(?:st|nd|rd|th)?{_YEAR}"),
)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_DOTTED = re.compile(r"(\d{1,2})\. ?(\d{1,2})\.? ?(\d{4})?")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})(?:[/-](\d{4}))?")


def read_day(text: str, today: date, *, past: bool = False) -> str:
    """Return a day as ISO 8601; empty where nothing was typed.

    The name of a weekday is the next such day after today, or the last before it. A day without a year is the nearest.

    Parameters
    ----------
    today
        The day here.
    past
        Ask for a day up to today, and not for one from today on.

    Raises
    ------
    UsageError
        If it is no day, may be two, lies on the wrong side of today, or more than two years away.
    """
    typed = clean(text).lower()
    if not typed:
        return ""
    remedy = _REMEDY_PAST if past else _REMEDY
    try:
        day = _read(typed.removeprefix("on ").removeprefix("by "), today, past=past)
    except (ValueError, OverflowError) as error:
        raise UsageError(said("'{typed}' is no day: {remedy}", typed=typed[:40], remedy=said(remedy))) from error
    shown = shown_day(day.isoformat())
    if past and day > today:
        raise UsageError(said("{day} is still to come: type a day up to today", day=shown))
    if not past and day < today:
        raise UsageError(said("{day} is past: type a day from today on, with its year where it is far away", day=shown))
    if abs((day - today).days) > _FARTHEST:
        raise UsageError(said("{day} is more than two years away: look at the year", day=shown))
    return day.isoformat()


def _read(typed: str, today: date, *, past: bool) -> date:
    if typed in _NEAR:
        return today + timedelta(days=_NEAR[typed])
    weekday = _place(typed, _DAYS)
    if weekday is not None:
        sign = -1 if past else 1
        return today + timedelta(days=sign * ((sign * (weekday - today.weekday()) - 1) % _WEEK + 1))
    for pattern, sign in ((_IN, 1), (_AGO, -1)):
        if counted := pattern.fullmatch(typed):
            days = read_number(counted["number"]) * (_WEEK if counted["unit"] == "week" else 1)
            return today + timedelta(days=sign * days)
    if iso := _ISO.fullmatch(typed):
        return date(int(iso[1]), int(iso[2]), int(iso[3]))
    for pattern in _NAMED:
        if named := pattern.fullmatch(typed):
            month = _place(named["month"], _MONTHS)
            if month is not None:
                return _in_year(int(named["day"]), month + 1, named["year"], today)
    return _in_figures(typed, today)


def _in_figures(typed: str, today: date) -> date:
    if dotted := _DOTTED.fullmatch(typed):
        return _in_year(int(dotted[1]), int(dotted[2]), dotted[3], today)
    slashed = _SLASHED.fullmatch(typed)
    if slashed is None:
        raise ValueError(typed)
    first, second = int(slashed[1]), int(slashed[2])
    if first != second and max(first, second) <= _MOST_MONTHS:
        one, other = _in_words(first, second), _in_words(second, first)
        raise UsageError(
            said("'{typed}' may be {one} or {other}: type it so, or as 2026-11-30", typed=typed, one=one, other=other)
        )
    return _in_year(max(first, second), min(first, second), slashed[3], today)


def _in_words(day: int, month: int) -> str:
    return said("{day} {month}", day=day, month=said(_SHORT_MONTHS[month - 1]))


def _in_year(day: int, month: int, year: str | None, today: date) -> date:
    """Return a day of a month in a year; without one, that nearest to today."""
    if year:
        return date(int(year), month, day)
    found = []
    for near in (today.year - 1, today.year, today.year + 1):
        try:
            found.append(date(near, month, day))
        except ValueError:
            continue
    return min(found, key=lambda one: abs((one - today).days))


def _place(word: str, names: tuple[str, ...]) -> int | None:
    """Return which of some names a word is, whole or by its first letters, from three on; None for none."""
    return next((n for n, name in enumerate(names) if len(word) >= _SHORT and name.startswith(word)), None)
