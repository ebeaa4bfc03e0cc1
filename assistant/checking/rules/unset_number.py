"""C613: contacts whose number is still to be filled in."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.notes.trade import TRADE, UNSET

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    lines = book.texts.get(TRADE, ())
    first = next((n for n, line in enumerate(lines, start=1) if line.startswith("contacts:")), 1)
    for contact in book.corpus.trade.contacts:
        if not contact.number:
            key = re.compile(rf"\s*['\"]?{re.escape(contact.key)}['\"]?\s*:")
            line = next((n for n, text in enumerate(lines, start=1) if n > first and key.match(text)), first)
            yield Finding(
                TRADE, line, f"the number of '{contact.name}' is {UNSET}: answers say so until it is filled in"
            )


RULE = Rule(
    code="C613",
    name="number-set",
    severity="note",
    summary="A contact of trade.yaml has its number.",
    reason="A rep who is told to call needs the number on the same card.",
    source="common practice",
    good="  poison line: {name: poison line, number: 0987 654 321}",
    bad="  poison line: {name: poison line, number: unset}",
    find=_find,
    place="trade",
    across=True,
)
