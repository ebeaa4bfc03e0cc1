"""C708: a note has plain lines enough."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.asked import phrases_of
from assistant.checking.rule import Book, Finding, Rule
from assistant.wording import counted

__all__ = ["RULE"]

_LEAST = 15


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        count = len(note.phrases.plain)
        if count >= _LEAST:
            continue
        path = phrases_of(note)
        if path not in book.texts:
            yield Finding(note.path, 1, f"has no phrases beside it: write {_LEAST} plain lines or more in {path}")
            continue
        line = next((n for n, text in enumerate(book.texts[path], start=1) if text.startswith("plain:")), 1)
        yield Finding(path, line, f"has {counted(count, 'plain line')}, {_LEAST} are the least")


RULE = Rule(
    code="C708",
    name="plain-lines",
    severity="warning",
    summary="The phrases of a note hold 15 plain lines or more.",
    reason="Most reps type three or four words; a note that has none of them is not found.",
    source="the corpus's own style",
    good="plain: [pad lamp stays dark, pad lamp dark, pad lamp off, pad lamp out, lamp on the pad is off, "
    "dark pad lamp, no lamp on the pad, pad wont light, pad does nothing, pad dead, dead pad, pad not lit, "
    "pad light out, no light on pad, lamp dark]",
    bad="plain: [pad lamp dark, lamp stays dark]",
    find=_find,
    place="phrases",
)
