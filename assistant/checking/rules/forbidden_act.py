"""C416: no note tells a rep to do a forbidden act, as far as its wording shows."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.advice import DOING
from assistant.checking.forbidden import finder_of
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import Said, blocks, clip, found

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    finder = finder_of(book.corpus.trade, book.corpus.forbidden)
    for note in book.corpus.notes:
        for section in (*DOING, "result"):
            for text, line in blocks(note, section):
                for act, sentence in finder.found(text):
                    yield found(book, Said(note, section, sentence, line), f"{act.why} ({act.key}): {clip(sentence)}")


RULE = Rule(
    code="C416",
    name="no-forbidden-act",
    severity="error",
    summary="No wording tells a rep to do a forbidden act; this finds wording, and a person signs that a note is safe.",
    reason="What stands in `forbidden.yaml` can kill, blind, burn or break; a store rep may not do it.",
    source="the acts of forbidden.yaml, each with its own source",
    good="2. Exchange the adapter whole.",
    bad="2. Unscrew the back of the adapter.",
    find=_find,
)
