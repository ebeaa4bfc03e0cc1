"""C308: a note with a hazard says who signed that it is safe, and a signature is that of the note as it is."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.said import at_field
from assistant.model import Note
from assistant.notes.signing import has_hazard, state_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        if note.safety_review is None and has_hazard(note):
            yield _silent(book, note)
        elif note.safety_review and state_of(note) == "stale":
            by, on = note.safety_review.by, note.safety_review.on
            yield at_field(book, note, "safety_review", f"was changed since {by} signed it, {on}: have it signed anew")


def _silent(book: Book, note: Note) -> Finding:
    lines = book.texts.get(note.path, ())
    end = next((n for n, line in enumerate(lines[1:], start=2) if line.strip() == "---"), 0)
    edit = Edit(note.path, end, lines[end - 1], f"safety_review: unsigned\n{lines[end - 1]}") if end else None
    line = book.line_of(note, "hazards:") if note.hazards else note.safety[0].line
    return Finding(note.path, line, "has a hazard and no 'safety_review': say 'unsigned' until somebody signs", edit)


RULE = Rule(
    code="C308",
    name="safety-review",
    severity="warning",
    summary="A note with a hazard has 'safety_review': 'unsigned', or as 'corpus sign' wrote it for this text.",
    reason="Rules find wording only; that a note is safe is for a person to judge, who signs this text and no other.",
    source="29 CFR 1910.132(d)(2), a hazard assessment names who certifies it and when (US, restated, from memory)",
    good="hazards: [bare-wire]\nsafety_review: unsigned",
    bad="hazards: [bare-wire]",
    find=_find,
    place="front",
)
