"""Values that nobody has vouched for: of the type and in the bounds that a reader relies on, or refused."""

from __future__ import annotations

from functools import cache

from assistant.values import cast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Collection
    from typing import Any, NoReturn

__all__ = ["json_of", "keyed_of", "object_of", "pairs_of", "rows_of", "text_of", "texts_of", "whole_of"]

_FARTHEST = 10**9
_SHOWN = 40


def json_of(raw: str | bytes) -> Any:
    """Return what a JSON text holds, of numbers the finite ones.

    Raises
    ------
    ValueError
        If it is no JSON, or nested beyond reading.
    """
    try:
        scan = _scanner()
        text = raw if isinstance(raw, str) else raw.decode()
        value, end = scan(text, 0)
        if end == len(text):
            return value
    except (ImportError, ValueError, StopIteration, RecursionError):
        pass
    import json

    try:
        return json.loads(raw, parse_constant=_no_number)
    except RecursionError as error:
        raise ValueError("JSON nested too deeply") from error


@cache
def _scanner() -> Callable[[str, int], tuple[Any, int]]:
    """Return what `json` reads a value with, loaded without the rest of it, which takes longer than to read a pack.

    It gives the value and where it ends. `json` itself reads what this does not read, and says what is wrong.
    """
    from _json import make_scanner

    scanner: Callable[[str, int], tuple[Any, int]] = make_scanner(cast("Any", _Plainly))
    return scanner


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


class _Plainly:
    """What `json.loads` sets where it is told of numbers that are none."""

    strict = True
    object_hook = None
    object_pairs_hook = None
    parse_float = float
    parse_int = int
    parse_constant = staticmethod(_no_number)


def object_of(value: object, keys: Collection[str] = ()) -> dict[str, Any]:
    """Return ``value`` if it is an object that has ``keys``; what else it has is left alone."""
    if not isinstance(value, dict):
        raise ValueError("holds no object")
    missing = [key for key in keys if key not in value]
    if missing:
        raise ValueError(f"lacks '{missing[0]}'")
    return value


def whole_of(value: object, least: int = -_FARTHEST, most: int = _FARTHEST) -> int:
    """Return ``value`` if it is a whole number from ``least`` to ``most``."""
    if type(value) is not int or not least <= value <= most:
        raise ValueError(f"{_shown(value)} is no whole number from {least} to {most}")
    return value


def text_of(value: object) -> str:
    """Return ``value`` if it is a text that can be written as UTF-8."""
    if not isinstance(value, str):
        raise ValueError(f"{_shown(value)} is no text")
    value.encode()
    return value


def texts_of(value: object) -> tuple[str, ...]:
    """Return the texts of a list of them."""
    if not isinstance(value, list):
        raise ValueError(f"{_shown(value)} is no list")
    return tuple(map(text_of, value))


def rows_of(value: object, width: int) -> list[list[Any]]:
    """Return ``value`` if it is a list of lists of that length."""
    if not isinstance(value, list) or not all(isinstance(row, list) and len(row) == width for row in value):
        raise ValueError(f"{_shown(value)} is no list of lists of {width}")
    return value


def pairs_of(value: object) -> list[list[int]]:
    """Return ``value`` if it is a list of pairs of whole numbers."""
    pairs = rows_of(value, 2)
    if not all(type(n) is int and -_FARTHEST <= n <= _FARTHEST for pair in pairs for n in pair):
        raise ValueError("holds what is no pair of whole numbers")
    return pairs


def keyed_of(value: object) -> dict[str, str]:
    """Return ``value`` if it is an object of texts."""
    return {key: text_of(text) for key, text in object_of(value).items()}


def _shown(value: object) -> str:
    try:
        told = str(value) if isinstance(value, (int, float, str)) else f"a {type(value).__name__}"
    except ValueError:
        told = "a number of thousands of digits"
    return told if len(told) <= _SHOWN else f"{told[:_SHOWN]}..."
