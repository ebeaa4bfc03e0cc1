"""C510: sections are short."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import sentences
from assistant.wording import counted

__all__ = ["RULE"]

_BOUNDS = (("Condition", 2, 4), ("Result", 1, 3), ("If it still fails", 1, 3), ("Why", 2, 5))


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        texts = (note.condition, note.result, note.if_it_still_fails, note.why)
        for (name, least, most), text in zip(_BOUNDS, texts, strict=True):
            count = len(sentences(text))
            if text and not least <= count <= most:
                line = book.line_of(note, f"## {name}")
                yield Finding(
                    note.path, line, f"'{name}' has {counted(count, 'sentence')}, {least} to {most} are wanted"
                )


RULE = Rule(
    code="C510",
    name="section-length",
    severity="warning",
    summary="A condition has two to four sentences, a result one to three, a reason two to five.",
    reason="A note fits one look; what is longer is two notes.",
    source="ASD-STE100 Issue 9 (2025), rule 6.6, six sentences at most (restated); the corpus's own style allows fewer",
    good="The lamp stays dark. The pad does nothing.",
    bad="The lamp stays dark.",
    find=_find,
    place="condition",
)
