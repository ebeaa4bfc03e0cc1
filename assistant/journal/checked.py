"""What a record may hold: types, known words, bounds of numbers, lengths of texts, times."""

from __future__ import annotations

import sys
from functools import cache, lru_cache

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import UTC, datetime
    from typing import Any
else:
    try:
        from _datetime import UTC, datetime  # What `datetime` gives: Python 3.11 would load a second one first.
    except ImportError:
        from datetime import UTC, datetime

__all__ = ["LONGEST_TEXT", "fault_of", "in_words", "now", "stamp", "type_of"]

LONGEST_TEXT = 100_000
"""Characters; a question of 4000 can become 72,000 when its characters are told in full."""
_MOST_WHOLE = 2**53
_FIRST_YEAR, _LAST_YEAR = 1900, 2999
"""Far enough from the ends of the calendar that days can be counted from any time."""
_TYPES = {"str": "text", "int": "whole number", "float": "number", "None": "null"}
_BOUNDS = {"quantity": (0, 999), "minutes": (0, 1_000_000), "confidence": (0, 1)}
_TIME = "a time such as 2026-11-25T16:23:37.250Z"


def now() -> datetime:
    """Return the time, in UTC."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """Return a time as records hold it: UTC, to the millisecond.

    >>> stamp(datetime(2026, 11, 25, 16, 23, 37, 250_000, UTC))
    '2026-11-25T16:23:37.250Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def fault_of(kind: Any, values: Sequence[object]) -> str:
    """Return what is wrong with the fields of a record of a kind, in their order; empty for nothing."""
    for (name, fits, told), value in zip(_checks(kind), values, strict=True):
        if not fits(value):
            return f"'{name}' must be {told}"
    return ""


def type_of(kind: Any, name: str) -> str | tuple[str, ...]:
    """Return the type of a field as it is written, such as ``int | None``, or the words that it may be."""
    written: str = kind.__annotations__[name]
    words: str | tuple[str, ...] = getattr(sys.modules[kind.__module__], written, written)
    return words


def in_words(hint: str | tuple[str, ...]) -> str:
    """Return the type of a field in words."""
    return " or ".join(hint if isinstance(hint, tuple) else [_TYPES[part] for part in hint.split(" | ")])


@cache
def _checks(kind: Any) -> tuple[tuple[str, Callable[[Any], bool], str], ...]:
    return tuple((name, *_check(name, type_of(kind, name))) for name in kind._fields)


def _check(name: str, hint: str | tuple[str, ...]) -> tuple[Callable[[Any], bool], str]:
    """Return what tells whether a value is right, and what is right in words."""
    told = in_words(hint)
    if name == "at":
        return _is_time, _TIME
    if isinstance(hint, tuple):
        words = frozenset(hint)
        return (lambda value: type(value) is str and value in words), told
    if hint == "str":
        return (
            lambda value: type(value) is str and len(value) <= LONGEST_TEXT
        ), f"{told} of at most {LONGEST_TEXT} characters"
    least, most = _BOUNDS.get(name, (1 if name == "id" else 0, _MOST_WHOLE))
    types = (int, float) if hint == "float" else (int,)
    shown = f"{told} from {least} to {most}" if name in _BOUNDS else told
    if hint.endswith(" | None"):
        return (lambda value: value is None or (type(value) in types and least <= value <= most)), shown
    return (lambda value: type(value) in types and least <= value <= most), shown


@lru_cache(maxsize=4096)
def _is_time_text(text: str) -> bool:
    try:
        moment = datetime.fromisoformat(text)
        return _FIRST_YEAR <= moment.year <= _LAST_YEAR and stamp(moment) == text
    except (ValueError, OverflowError):
        return False


def _is_time(value: object) -> bool:
    return type(value) is str and _is_time_text(value)
