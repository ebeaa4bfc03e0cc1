"""C205: three to ten steps."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.wording import counted

__all__ = ["RULE"]

_FEWEST, _MOST = 3, 10
_TWELVE = "\n".join(f"{n}. Look at the lamp." for n in range(2, 12))


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        if not _FEWEST <= len(note.steps) <= _MOST:
            message = f"has {counted(len(note.steps), 'step')}, {_FEWEST} to {_MOST} are wanted"
            yield Finding(note.path, book.line_of(note, "## Steps"), message)


RULE = Rule(
    code="C205",
    name="three-to-ten-steps",
    severity="warning",
    summary="A note has three to ten steps.",
    reason="A longer list is lost sight of in a shop; a shorter one belongs into another note.",
    source="the corpus's own style",
    good="2. Look at the lamp.",
    bad=_TWELVE,
    find=_find,
)
