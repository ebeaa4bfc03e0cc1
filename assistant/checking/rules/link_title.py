"""C110: a link's text is the title of its note."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.said import clip
from assistant.notes.links import links_in, written

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield links with another text; an edit is offered where the link stands on one line."""
    titles = {note.id: note.title for note in book.corpus.notes}
    for note in book.corpus.notes:
        lines = book.texts.get(note.path, ())
        for link in links_in(lines):
            title = titles.get(link.target)
            if title is None or link.text == title:
                continue
            before = lines[link.line - 1]
            after = before.replace(link.source, written(link.target, title))
            edit = Edit(note.path, link.line, before, after) if "\n" not in link.source else None
            yield Finding(note.path, link.line, f"{clip(link.text)} leads to a note with the title {clip(title)}", edit)


RULE = Rule(
    code="C110",
    name="link-title",
    severity="error",
    summary="The text of a link is the title of the note that it leads to.",
    reason="A rep reads the text and not the link: an id says nothing, and an old title cannot be found again.",
    source="WCAG 2.2 criterion 2.4.4, link purpose (restated)",
    good="Go to [Spare goes back to the workshop](../pad/pad-other.md).",
    bad="Go to [pad-other](../pad/pad-other.md).",
    find=_find,
    place="fails",
    across=True,
)
