"""C609: listed tools and parts are used."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, whole_text
from assistant.checking.tools import any_of, items_of, plain_item
from assistant.checking.trade_words import words_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    kit = words_of(book).kit
    known = {item.name: item for _, item in items_of(book.corpus.trade)}
    for note in book.corpus.notes:
        text = whole_text(note, "before", "steps", "choices")
        for field, names in (("tools", note.tools), ("parts", note.parts)):
            for name in names if note.id != kit else ():
                item = plain_item(known[name]) if name in known else None
                said = (item.name, item.plural) if item else (name,)
                if not any_of(said).search(text):
                    yield at_field(book, note, field, f"lists '{name}', which no step names")
        for name in note.tools:
            if name in note.parts:
                yield at_field(book, note, "parts", f"'{name}' is a tool as well as a part")


RULE = Rule(
    code="C609",
    name="tools-used",
    severity="warning",
    summary="A listed tool or part is named in the steps, and is a tool or a part, not both.",
    reason="What is listed and not used is carried through every shop for nothing.",
    source="schema.org HowTo: a tool is not consumed, a supply is (restated)",
    good="tools: [cabinet key]",
    bad="tools: [cabinet key, hex key]",
    find=_find,
    place="front",
)
