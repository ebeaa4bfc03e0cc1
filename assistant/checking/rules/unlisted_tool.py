"""C608: tools and parts that steps name are listed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, has
from assistant.checking.tools import Kind, items_of, without_titles
from assistant.checking.trade_words import words_of
from assistant.model import Item, Trade

__all__ = ["RULE"]

_NEW = r"\b(?:another|new|fresh|spare|clean)\s+"
_BROUGHT = (
    r"(?<!\bif )(?<!\bunless )(?<!\bwhether )(?<!\bturn )(?<!\bswitch )(?<!\bunplug )"
    r"\b(?:an?|another|new|fresh|spare|clean|two|three|four)\s+"
)
"""What tells a part that is brought from the one that is at the station: 'the' part, or one that may be there.

Of a name of one word only a new one is brought: 'a cell' may be inside of anything.
"""


@lru_cache(maxsize=1 << 10)
def _named(kind: Kind, item: Item) -> re.Pattern[str]:
    name = "|".join(map(re.escape, sorted({item.name, item.plural}, key=len, reverse=True)))
    before = "" if kind == "tools" else _BROUGHT if " " in item.name else _NEW
    return re.compile(rf"{before}(?<![\w-])(?:{name})(?![\w-])", re.IGNORECASE)


def _own_words(trade: Trade) -> str:
    """Return the words of stations and areas: what is called so is more often the station than a thing in the bag."""
    return " ".join((*trade.stations.values(), *trade.areas.values()))


def _find(book: Book) -> Iterator[Finding]:
    trade = book.corpus.trade
    own = _own_words(trade)
    kit = words_of(book).kit
    known = [(kind, item) for kind, item in items_of(trade) if not has(own, rf"\b{re.escape(item.name)}\b")]
    for note in book.corpus.notes:
        if note.id == kit:
            continue
        listed = " ".join((*note.tools, *note.parts))
        for step in note.steps:
            text = without_titles(step.text)
            for kind, item in known:
                if _named(kind, item).search(text) and not has(listed, rf"\b{re.escape(item.name)}\b"):
                    yield at_step(note, step, f"names '{item.name}', which stands neither in tools nor in parts")


RULE = Rule(
    code="C608",
    name="tools-listed",
    severity="warning",
    summary="A tool that a step names, and a part that is brought for it, stands in the lists of the note.",
    reason="The bag is packed from the lists.",
    source="schema.org HowTo, tools and supplies (restated); the corpus's own style",
    good="2. Open the cabinet with the cabinet key.",
    bad="2. Look at the port with the torch.",
    find=_find,
)
