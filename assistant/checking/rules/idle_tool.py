"""C609: listed tools and parts are used."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, has, whole_text

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        text = whole_text(note, "before", "steps")
        for field, items in (("tools", note.tools), ("parts", note.parts)):
            for item in items:
                stem = item.split()[-1].removesuffix("s").removesuffix("e")
                if not has(text, rf"\b{re.escape(stem)}"):
                    yield at_field(book, note, field, f"lists '{item}', which no step names")
        for item in note.tools:
            if item in note.parts:
                yield at_field(book, note, "parts", f"'{item}' is a tool as well as a part")


RULE = Rule(
    code="C609",
    name="tools-used",
    severity="warning",
    summary="A listed tool or part is named in the steps, and is a tool or a part, not both.",
    reason="What is listed and not used is carried through every shop for nothing.",
    source="schema.org HowTo: a tool is not consumed, a supply is (restated)",
    good="tools: [cabinet key]",
    bad="tools: [cabinet key, hex key driver]",
    find=_find,
    place="front",
)
