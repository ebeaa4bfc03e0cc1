"""How long a step tells to wait."""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.languages import Language, language_of, spoken

__all__ = ["waiting_seconds"]


@lru_cache(maxsize=8)
def _amount(language: Language) -> re.Pattern[str]:
    waits = language.waits
    numbers = "|".join(sorted(language.amounts, key=len, reverse=True))
    return re.compile(
        rf"\b(?:{waits['lead']})\s+(?:{waits['about']})?(\d+|{numbers})\s+"
        rf"({'|'.join(language.units)}){waits['plural']}?\b",
        re.IGNORECASE,
    )


def waiting_seconds(text: str) -> int | None:
    """Return how many seconds a step tells to wait, or None where it tells no such time.

    >>> waiting_seconds("Watch the lamp for half a minute.")
    30
    >>> waiting_seconds("Set the on time to 15 minutes before the store opens.") is None
    True
    """
    language = language_of(spoken())
    for found in _amount(language).finditer(text):
        if not re.match(language.waits["never"], found[0], re.IGNORECASE):
            amount = float(found[1]) if found[1].isdigit() else language.amounts[found[1].lower()]
            return round(amount * language.units[found[2].lower()])
    return None
