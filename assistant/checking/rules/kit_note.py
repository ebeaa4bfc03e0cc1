"""C612: the note on the kit bag lists what the bag holds."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.tools import Kind
from assistant.checking.trade_words import words_of

__all__ = ["RULE"]

_WHOLE_LIST = re.compile(r"\[[^\[\]]*\]\s*$")


def _find(book: Book) -> Iterator[Finding]:
    kit = words_of(book).kit
    note = next((note for note in book.corpus.notes if note.id == kit), None)
    if note is None or not book.has_trade():
        return
    trade = book.corpus.trade
    kinds: tuple[Kind, ...] = ("tools", "parts")
    for kind in kinds:
        wanted = [item.name for item in getattr(trade, kind) if item.place == "kit"]
        listed = getattr(note, kind)
        faults = (
            ("lacks", [name for name in wanted if name not in listed]),
            ("lists beyond the bag", [name for name in listed if name not in wanted]),
        )
        told = "; ".join(f"{words} {', '.join(names)}" for words, names in faults if names)
        if told:
            number = book.line_of(note, f"{kind}:")
            line = book.texts[note.path][number - 1]
            after = f"{kind}: [{', '.join(wanted)}]"
            edit = Edit(note.path, number, line, after) if _WHOLE_LIST.search(line) else None
            yield Finding(note.path, number, f"{kind} of the kit bag by trade.yaml: {told}", edit)


RULE = Rule(
    code="C612",
    name="kit-note",
    severity="warning",
    summary="The tools and parts of the note on the kit are those that trade.yaml has from the kit, and no others.",
    reason="What the bag holds is told in one place, and a rep who packs by the note has what the other notes ask for.",
    source="the corpus's own style",
    good="tools: [cabinet key, hex key, torch]\nparts: [adapter, cable tie, rubber foot, wired pad]",
    bad="tools: [cabinet key, torch]\nparts: [adapter, cable tie, rubber foot, wired pad]",
    find=_find,
    place="front",
)
