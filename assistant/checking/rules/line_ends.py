"""C806: lines end in a line feed alone."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield one finding a file, however many of its lines there are, with a mend for each of them."""
    for path, lines in book.texts.items():
        ends = enumerate(lines, start=1)
        edits = [Edit(path, n, line, line.removesuffix("\r")) for n, line in ends if line.endswith("\r")]
        if edits:
            count = f"{len(edits)} lines end" if len(edits) > 1 else "a line ends"
            told = f"{count} in a carriage return, as Windows writes it: 'assistant corpus check --fix' mends them"
            yield Finding(path, edits[0].line, told, edits[0], tuple(edits[1:]))


RULE = Rule(
    code="C806",
    name="plain-line-ends",
    severity="note",
    summary="Lines end in a line feed alone.",
    reason="A file with both kinds of line end shows up as changed throughout.",
    source="common practice",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark. It is off.\r",
    find=_find,
    place="line",
)
