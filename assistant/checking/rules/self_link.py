"""C103: a note does not lead to itself."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field
from assistant.notes.links import path_to

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        if note.id in note.see_also:
            yield at_field(book, note, "see_also", "names the note itself")
        if note.id in note.links:
            line = book.line_of(note, f"]({path_to(note.id)})")
            yield Finding(note.path, line, "links to the note itself")
        for target in dict.fromkeys(note.see_also):
            if note.see_also.count(target) > 1:
                yield at_field(book, note, "see_also", f"names '{target}' twice")


RULE = Rule(
    code="C103",
    name="no-self-link",
    severity="error",
    summary="A note neither links to itself nor names another note twice under see_also.",
    reason="A rep who follows a link must get further.",
    source="common practice",
    good="see_also: [pad-other]",
    bad="see_also: [pad-other, pad-other]",
    find=_find,
    place="front",
)
