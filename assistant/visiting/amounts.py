"""Amounts of parts as they are typed and shown: ``2 bolts``, ``bolt x2``, ``two bolts``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import NamedTuple, TypeVar

from assistant.errors import UsageError
from assistant.journal.records import Count, Part
from assistant.languages import said
from assistant.model import Item, Trade
from assistant.visiting.labels import MOST_NEAR, fold
from assistant.visiting.typed import MOST_QUANTITY, check_quantity, clean
from assistant.visiting.words import NUMBER_WORDS
from assistant.wording import counted

__all__ = ["Amount", "in_one_spelling", "read_amount", "read_number", "shown_amount"]

Named = TypeVar("Named", Count, Part)
_NUMBERS = {"no": 0} | NUMBER_WORDS
_FIGURES = r"[-+\N{MINUS SIGN}]?\d+(?:[.,]\d+)?"
_FIRST = re.compile(rf"(?P<number>{_FIGURES}|(?:{'|'.join(_NUMBERS)})(?=\s))\s*(?:(?:x|of)\b|\u00d7)?\s*(?P<part>.+)")
_LAST = re.compile(rf"(?P<part>.+?)\s*(?:\bx|[\s:=\u00d7])\s*(?P<number>{_FIGURES})")
_SHOWN = 40
_NEARLY = 0.7


class Amount(NamedTuple):
    """So many of a part, by its one name."""

    quantity: int
    part: str


def read_number(word: str) -> int:
    """Return a whole number written in figures or as a word up to twelve; `ValueError` where it is none.

    >>> read_number("two"), read_number("12")
    (2, 12)
    """
    return _NUMBERS[word] if word in _NUMBERS else int(word.replace("\N{MINUS SIGN}", "-"))


def read_amount(text: str, trade: Trade, *, tools: bool = False, least: int = 1) -> Amount:
    """Return how many of which part were typed; one where no number was.

    Where the trade has no parts, any name will do.

    Parameters
    ----------
    tools
        Take a tool as well, as in a count of the bag.
    least
        The fewest that there may be.

    Raises
    ------
    UsageError
        If the part is unknown, or a tool, or the number is no whole one, or out of range.
    """
    typed = clean(text, "part").lower()
    items = _by_name(trade.parts)
    among = items | (_by_name(trade.tools) if tools else {})
    number, named = ("1", typed) if fold(typed) in among else _parted(typed)
    part = _one_name(named, among, trade) if trade.parts else named
    try:
        quantity = read_number(number)
    except ValueError as error:
        raise UsageError(
            said("how many must be a whole number from {least} to {most}", least=least, most=MOST_QUANTITY)
        ) from error
    check_quantity(quantity, least)
    return Amount(quantity, part)


def shown_amount(quantity: int, part: str, trade: Trade) -> str:
    """Return an amount in words that `read_amount` reads: ``2 bolts``."""
    item = next((item for item in (*trade.parts, *trade.tools) if item.name == part), None)
    return counted(quantity, part, item.plural if item else part)


def _parted(typed: str) -> tuple[str, str]:
    """Return the number and the part of what was typed."""
    match = _FIRST.fullmatch(typed) or _LAST.fullmatch(typed)
    return (match["number"], match["part"]) if match else ("1", typed)


def _one_name(named: str, among: Mapping[str, Item], trade: Trade) -> str:
    key = fold(named)
    if key in among:
        return among[key].name
    if tool := _by_name(trade.tools).get(key):
        if tool.plural == tool.name:
            raise UsageError(said("{tool} are tools and are not used up: keep it as a remark", tool=tool.name))
        if tool.name[0] in "aeiou":
            raise UsageError(said("an {tool} is a tool and is not used up: keep it as a remark", tool=tool.name))
        raise UsageError(said("a {tool} is a tool and is not used up: keep it as a remark", tool=tool.name))
    if near := _near(named, among):
        raise UsageError(
            said(
                "'{part}' is no part that is known here: did you mean {near}?",
                part=named[:_SHOWN],
                near=said(" or ").join(near),
            )
        )
    raise UsageError(
        said(
            "'{part}' is no part that is known here: type its name as the notes have it, or keep it as a remark",
            part=named[:_SHOWN],
        )
    )


def _near(named: str, among: Mapping[str, Item]) -> list[str]:
    """Return the names that hold all the words typed, and then those that are written nearly so."""
    words = set(named.split())
    holding = [item.name for item in among.values() if words <= {*item.name.split(), *item.plural.split()}]
    close = [among[one].name for one in get_close_matches(fold(named), among, n=len(among), cutoff=_NEARLY)]
    return list(dict.fromkeys([*holding, *close]))[:MOST_NEAR]


def _by_name(items: Sequence[Item]) -> dict[str, Item]:
    """Return the items by all their names, singular and plural; the name that one goes by is never that of another."""
    others = {fold(form): item for item in items for name in item.other for form in _forms(name)}
    own = {fold(form): item for item in items for form in (*_forms(item.name), item.plural)}
    return others | own


def _forms(name: str) -> tuple[str, ...]:
    return name, f"{name}s", f"{name}es", f"{name.removesuffix('y')}ies"


def in_one_spelling(records: Iterable[Named], spelt: Iterable[str] = ()) -> list[Named]:
    """Return parts or counts with one name a part, whatever capitals it was told in: as in ``spelt``, else as last."""
    records = list(records)
    names = {name.casefold(): name for name in (*(record.part for record in records), *spelt)}
    return [record._replace(part=names[record.part.casefold()]) for record in records]
