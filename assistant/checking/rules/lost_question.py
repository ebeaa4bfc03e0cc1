"""C702: an example question finds its own note."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.asked import asked
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    if book.first_note is None:
        return
    for one in asked(book):
        winner = book.first_note(one.text)
        if winner != one.note.id:
            yield Finding(one.path, one.line, f"{winner or 'no note'} wins this question: {clip(one.text)}")


RULE = Rule(
    code="C702",
    name="question-finds-note",
    severity="note",
    summary="In the compiled pack an example question ranks its own note first.",
    reason="Where another note wins, the question is under the wrong note, or fits both.",
    source="common practice",
    good="lamp of the pad is off",
    bad="won by another note",
    find=_find,
    place="questions",
    needs_pack=True,
)
