"""Times and days as people on the spot read them: local, with the zone."""

from __future__ import annotations

from datetime import datetime

from assistant.languages import said, to_say

__all__ = ["NOT_TOLD", "local_day", "shown_day", "shown_time"]

NOT_TOLD = to_say("not told")
_WEEKDAYS = (
    to_say("Mon"),
    to_say("Tue"),
    to_say("Wed"),
    to_say("Thu"),
    to_say("Fri"),
    to_say("Sat"),
    to_say("Sun"),
)
_LONGEST_ZONE = 5


def shown_time(at: str) -> str:
    """Return a time of a record as the clock on the wall shows it, with its zone; `NOT_TOLD` where it is empty.

    A zone that this machine has no short name for is shown as its distance from UTC.
    """
    if not at:
        return said(NOT_TOLD)
    moment = _local(at)
    zone = moment.tzname() or ""
    if not 0 < len(zone) <= _LONGEST_ZONE:
        zone = moment.strftime("UTC%z")
    return f"{moment:%Y-%m-%d %H:%M} {zone}"


def local_day(at: str) -> str:
    """Return the day of a record where it was made, ISO 8601; empty where the time is."""
    return _local(at).date().isoformat() if at else ""


def shown_day(day: str) -> str:
    """Return a day with the name of its weekday; what is no day as it was told, and `NOT_TOLD` where it is empty.

    >>> shown_day("2026-11-30")
    'Mon 2026-11-30'
    """
    try:
        moment = datetime.fromisoformat(day)
    except ValueError:
        return day or said(NOT_TOLD)
    return f"{said(_WEEKDAYS[moment.weekday()])} {moment:%Y-%m-%d}"


def _local(at: str) -> datetime:
    return datetime.fromisoformat(at).astimezone()
