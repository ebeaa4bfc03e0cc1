"""C114: a note names no draft."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field
from assistant.notes.drafts import drafts

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    left_out = {note.id for note in drafts(book.corpus)}
    for note in book.corpus.notes:
        chosen = {branch.note for step in note.steps for branch in step.branches}
        for name in dict.fromkeys((*note.see_also, *note.links)) if not note.draft else ():
            if name in left_out and name not in chosen:
                told = f"names {name}, which is a draft: it is not offered before that note is ready"
                if name in note.links:
                    yield Finding(note.path, book.line_of(note, f"/{name}.md"), told)
                else:
                    yield at_field(book, note, "see_also", told)


RULE = Rule(
    code="C114",
    name="no-link-to-draft",
    severity="note",
    summary="No note that is ready names a draft, under see_also or in its text.",
    reason="A draft is in no pack for reps, and what names it leads nowhere until it is ready.",
    source="common practice",
    good="see_also: [pad-other]",
    bad="see_also: [pad-begun]",
    find=_find,
    place="front",
    across=True,
)
