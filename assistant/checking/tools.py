"""Tools and parts in the notes, by the names that the trade has for them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Literal, NamedTuple

from assistant.model import Corpus, Item, Trade
from assistant.notes.trade import PLACES

__all__ = ["Kind", "Packed", "any_of", "items_of", "masked", "packing_list", "plain_item", "without_titles"]

Kind = Literal["tools", "parts"]
_KNOWN_GOOD = "known-good "
_QUOTED = re.compile(r'"[^"]*"')


class Packed(NamedTuple):
    """A tool or part, how many the bag holds at least, and the notes that list it."""

    kind: Kind
    item: Item
    notes: tuple[str, ...]


def items_of(trade: Trade) -> Iterator[tuple[Kind, Item]]:
    """Yield every tool and part with the list that it belongs to."""
    yield from (("tools", item) for item in trade.tools)
    yield from (("parts", item) for item in trade.parts)


@lru_cache(maxsize=1 << 10)
def any_of(words: tuple[str, ...], *, plural: str = "s?") -> re.Pattern[str]:
    """Return what finds any of some words as whole words, longest first; nothing where there are none."""
    longest = sorted(words, key=lambda word: (-len(word), word))
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest))}){plural}\b" if words else r"(?!)", re.IGNORECASE)


def without_titles(text: str) -> str:
    """Return ``text`` without what stands between quotation marks: titles of notes, and words on a screen or a tag."""
    return _QUOTED.sub("", text)


def masked(text: str, trade: Trade, names: tuple[str, ...]) -> str:
    """Return ``text`` without names that hold another name's word, be they of the trade or no tool or part."""
    bare = any_of(names).sub("", without_titles(text))
    return any_of(_names((*trade.tools, *trade.parts)), plural="").sub("", bare)


@lru_cache(maxsize=8)
def _names(items: tuple[Item, ...]) -> tuple[str, ...]:
    return tuple({name for item in items for name in (item.name, item.plural)})


def plain_item(item: Item) -> Item:
    """Return an item that is known to be good as what it is, without that it is."""
    cut = item.name.removeprefix(_KNOWN_GOOD), item.plural.removeprefix(_KNOWN_GOOD)
    return item._replace(name=cut[0], plural=cut[1])


def packing_list(corpus: Corpus, kit: str) -> tuple[Packed, ...]:
    """Return every tool and part with the notes that list it: first the bag, then what is asked for and ordered.

    The note ``kit``, which lists what the bag holds, is left out.
    """
    rows = [Packed(kind, item, tuple(_listing(corpus, kind, item.name, kit))) for kind, item in items_of(corpus.trade)]
    return tuple(sorted(rows, key=lambda row: (PLACES.index(row.item.place), row.kind != "tools", row.item.name)))


def _listing(corpus: Corpus, kind: Kind, name: str, kit: str) -> Iterable[str]:
    return (note.id for note in corpus.notes if note.id != kit and name in getattr(note, kind))
