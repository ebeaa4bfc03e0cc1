"""C803: plain quotation marks and dashes."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Edit, Finding, Rule

__all__ = ["RULE"]

_PLAIN = {
    "\u2018": "'",
    "\u2019": "'",
    "\u201a": "'",
    "\u201c": '"',
    "\u201d": '"',
    "\u201e": '"',
    "\u2010": "-",
    "\u2011": "-",
    "\u2012": "-",
    "\u2013": "-",
    "\u2014": "-",
    "\u2026": "...",
    "\u00a0": " ",
    "\u202f": " ",
}
_TABLE = str.maketrans(_PLAIN)
_MARK = "---"


def _find(book: Book) -> Iterator[Finding]:
    """Yield curly lines; no edit is offered where a plain mark could mean something to YAML or begin a list."""
    for path, lines in book.texts.items():
        in_yaml = path.endswith(".yaml")
        for number, line in enumerate(lines, start=1):
            if path.endswith(".md") and line.strip() == _MARK:
                in_yaml = number == 1
            plain = line if line.isascii() else line.translate(_TABLE)
            if plain != line:
                safe = not in_yaml and line[:1] not in _PLAIN and line.lstrip()[:1] not in _PLAIN
                edit = Edit(path, number, line, plain) if safe else None
                yield Finding(path, number, "holds a curly quotation mark, a long dash or a hard space", edit)


RULE = Rule(
    code="C803",
    name="plain-quotes",
    severity="note",
    summary="Quotation marks, dashes, dots and spaces are the plain ones of the keyboard.",
    reason="A rep types the plain ones, and a search for the text must find it.",
    source="common practice",
    good="The lamp isn't lit. It is off.",
    bad="The lamp isn\u2019t lit. It is off.",
    find=_find,
    place="line",
)
