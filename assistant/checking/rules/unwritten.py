"""C109: nothing is left to write."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip
from assistant.notes.drafts import TO_WRITE

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for path, lines in book.texts.items():
        left = [number for number, line in enumerate(lines, start=1) if TO_WRITE in line]
        if left and path.endswith(".md"):
            told = clip(lines[left[0] - 1].strip())
            count = f", and {len(left) - 1} more: lines {', '.join(map(str, left[1:]))}" if left[1:] else ""
            yield Finding(path, left[0], f"is still to be written, so that the note is a draft: {told}{count}")


RULE = Rule(
    code="C109",
    name="nothing-left-to-write",
    severity="error",
    summary="No line of a note says '(to write)', as a new note's lines do.",
    reason="A rep in front of a station can do nothing with a line that nobody has written.",
    source="common practice",
    good="2. Lay the old pad aside.",
    bad="2. Do the second thing (to write).",
    find=_find,
)
