"""How long a step tells to wait."""

from __future__ import annotations

import re

from assistant.visiting.words import NUMBER_WORDS

__all__ = ["waiting_seconds"]

_NUMBERS: dict[str, float] = NUMBER_WORDS | {
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "sixty": 60,
    "half a": 0.5,
    "half an": 0.5,
}
_UNITS = {"second": 1, "minute": 60, "hour": 3600}
_AMOUNT = re.compile(
    rf"\b(?:for|wait|after|until|within)\s+(?:at least |about )?"
    rf"(\d+|{'|'.join(sorted(_NUMBERS, key=len, reverse=True))})\s+({'|'.join(_UNITS)})s?\b",
    re.IGNORECASE,
)
_NO_WAIT = re.compile(r"within\b|\w+ an? second\b", re.IGNORECASE)


def waiting_seconds(text: str) -> int | None:
    """Return how many seconds a step tells to wait, or None where it tells no such time.

    >>> waiting_seconds("Watch the display for half a minute.")
    30
    >>> waiting_seconds("Set the on time to 15 minutes before the store opens.") is None
    True
    """
    for found in _AMOUNT.finditer(text):
        if not _NO_WAIT.match(found[0]):
            amount = float(found[1]) if found[1].isdigit() else _NUMBERS[found[1].lower()]
            return round(amount * _UNITS[found[2].lower()])
    return None
