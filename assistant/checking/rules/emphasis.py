"""C808: nothing is in bold or italics but a signal word."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule

__all__ = ["RULE"]

_EMPHASIS = re.compile(r"(?<![\w*_])([*_]{1,3})(?=[^\s*_])([^*_]*[^\s*_])\1(?![\w*_])")


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        inside = 0
        for number, line in enumerate(book.texts.get(note.path, ()), start=1):
            inside += line.strip() == "---"
            match = _EMPHASIS.search(line)
            if match and inside > 1 and not line.lstrip().startswith(">"):
                told = f"'{match[2]}' is in bold or italics, which a rep does not see: say it in words"
                yield Finding(note.path, number, told, Edit(note.path, number, line, _EMPHASIS.sub(r"\2", line)))


RULE = Rule(
    code="C808",
    name="no-emphasis",
    severity="note",
    summary="Nothing of a note is in bold or italics, but the signal word of a safety message.",
    reason="A card shows plain text, so that the stress is lost and with it what it was to say.",
    source="the corpus's own style",
    good="A lead breaks inside. Nobody sees it.",
    bad="A lead breaks **inside**. Nobody sees it.",
    find=_find,
    place="why",
)
