"""Masking telephone numbers and e-mail addresses in what is kept of somebody's own words, where that is wanted.

It is wanted where ``ASSISTANT_MASK`` is 1, or where that is not set and ``settings.json`` in the home folder says
``{"mask": true}``.
"""

from __future__ import annotations

import os
import re

from assistant.errors import JournalError
from assistant.values import cast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from typing import Any, TypeVar

    from assistant.journal.records import Record

    R = TypeVar("R", bound=Record)

__all__ = ["masked", "masked_all", "masking"]

_VARIABLE = "ASSISTANT_MASK"
_SETTINGS = "settings.json"
_WORDS = {"": False, "0": False, "1": True}
_OWN_WORDS = ("says", "text", "read_as", "remark", "condition", "reason", "shows")
"""Fields in which somebody's own words are kept; numbers of units, of jobs and of releases have fields of their own."""
_PIECE = r"[^\s@\uff20<>()\[\]\",;:]"
_ADDRESS = rf"{_PIECE}{{1,64}}[@\uff20]{_PIECE}{{1,255}}\.[^\W\d_]{{2,}}"
"""Lengths by RFC 5321, 4.5.3.1, from memory."""
_DAY = r"(?:\d{4}-\d\d-\d\d|\d{1,2}[./]\d{1,2}[./](?:\d{4}|\d\d))(?!\d)"
_PART = rf"(?!{_DAY})\(?\d++\)?"
_NUMBER = rf"(?P<day>(?<!\d){_DAY})|(?<![\w.-])[+\uff0b]?{_PART}(?:[ \u00a0\u202f./-]{{0,2}}{_PART})*(?!\w)"
_FEWEST_DIGITS, _MOST_DIGITS = 7, 15


def masking(home: str | os.PathLike[str]) -> bool:
    """Tell whether masking is wanted.

    Raises
    ------
    JournalError
        If what is set is not understood: then nothing is kept unmasked by mistake.
    """
    told = os.environ.get(_VARIABLE)
    if told is not None:
        if told not in _WORDS:
            raise JournalError(f"{_VARIABLE}: must be 1 (mask) or 0")
        return _WORDS[told]
    name = os.path.join(home, _SETTINGS)
    try:
        os.stat(name)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise JournalError(f"{name}:1: cannot be read: {error.strerror}") from error
    return _masking_set(name)


def _masking_set(name: str) -> bool:
    import json
    from pathlib import Path

    from assistant.notes.text import regular

    path = Path(name)
    try:
        found = json.loads(regular(path).read_text("utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise JournalError(f"{path}:1: cannot be read: {error.strerror}") from error
    except (ValueError, RecursionError) as error:
        raise JournalError(f'{path}:1: must be read as JSON, such as {{"mask": true}}') from error
    wanted = found.get("mask", False) if isinstance(found, dict) else None
    if not isinstance(wanted, bool):
        raise JournalError(f'{path}:1: must be an object such as {{"mask": true}}')
    return wanted


def masked_all(records: Sequence[R]) -> Iterator[R]:
    """Yield records with their free words masked."""
    from assistant.journal.records import Act

    for record in records:
        fields = ("reason",) if isinstance(record, Act) else _OWN_WORDS
        held: dict[str, Any] = {name: masked(getattr(record, name)) for name in fields if name in record._fields}
        replaced: Any = record._replace
        yield cast("R", replaced(**held))


def masked(text: str) -> str:
    """Return a text with words in place of telephone numbers and e-mail addresses; codes and days stay.

    >>> masked("A-0101: Ina, +22 607 123 4567 or ina@example.org, on 2026-11-30")
    'A-0101: Ina, (telephone number) or (e-mail address), on 2026-11-30'
    """
    return re.sub(_NUMBER, _masked_number, re.sub(_ADDRESS, "(e-mail address)", text))


def _masked_number(found: re.Match[str]) -> str:
    digits = sum(character.isdecimal() for character in found[0])
    if found["day"] or not _FEWEST_DIGITS <= digits <= _MOST_DIGITS:
        return found[0]
    return "(telephone number)"
