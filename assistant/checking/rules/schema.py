"""C101: every file can be read."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.errors import Fault
from assistant.notes.text import forbidden_characters, wrong_bullet

__all__ = ["RULE"]

_DASHES = "\u2013\u2014"


def _find(book: Book) -> Iterator[Finding]:
    """Yield the faults of reading; hidden characters that stand in the file are C801's and C802's to name."""
    for fault in book.faults:
        lines = book.texts.get(fault.path, ())
        line = lines[fault.line - 1] if fault.line <= len(lines) else ""
        if fault.message not in forbidden_characters(line.removesuffix("\r")):
            yield Finding(fault.path, fault.line, fault.message, _edit_of(fault, line))


def _edit_of(fault: Fault, line: str) -> Edit | None:
    """Return the edit of a line that a wrong bullet begins; none for a dash, which may stand between two words."""
    sign = wrong_bullet(line)
    if not sign or sign in _DASHES or f"'{sign}', which is no bullet" not in fault.message:
        return None
    return Edit(fault.path, fault.line, line, line.replace(sign, "-", 1))


RULE = Rule(
    code="C101",
    name="readable",
    severity="error",
    summary="A note has the form of a note: its fields, its sections in order, numbered steps, choices that end.",
    reason="A note that cannot be read is in no answer.",
    source="OASIS DITA 1.3, strict task order; the corpus's own style",
    good="action: clean",
    bad="action: polish",
    find=_find,
    place="front",
)
