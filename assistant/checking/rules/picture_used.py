"""C117: every picture is shown by a note."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.notes.figures import figure_path

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    shown = {figure_path(note, figure.name) for note in book.corpus.notes for figure in note.figures}
    faulty = {fault.path for fault in book.faults}  # a note that cannot be read may show it
    for path in sorted(book.figures - shown):
        folder, _, name = path.rpartition("/")
        beside = [each for each in faulty if each.rpartition("/")[0] == folder]
        if not any(each not in book.texts or any(name in line for line in book.texts[each]) for each in beside):
            yield Finding(path, 1, "no note beside this picture shows it")


RULE = Rule(
    code="C117",
    name="picture-used",
    severity="note",
    summary="Every picture beside the notes is shown by one of them.",
    reason="A picture that nobody sees is looked after for nothing, or a note lacks it.",
    source="common practice",
    good="2. Look at the lamp.\n\n   ![The lamp beside the plug, at the back of the pad](pad-lamp.svg)\n",
    bad="2. Look at the lamp.",
    find=_find,
    across=True,
)
