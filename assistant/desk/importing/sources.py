"""Opening the files of old procedures, which nobody has vouched for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from markdown_it import MarkdownIt

from assistant.analysis.tokens import printable
from assistant.desk.importing.blocks import Source
from assistant.desk.importing.markup import LINE, read_markup
from assistant.errors import Fault, NotesError
from assistant.notes.text import read_text, regular

__all__ = ["KINDS", "QUESTIONS", "read_source", "read_table", "shown_name"]

QUESTIONS = ".csv"
_MOST_TEXT = 2 * 1024 * 1024
_MOST_WORD = 32 * 1024 * 1024
_ITEM = re.compile(r"\A[\s>*+-]*\d{1,9}[.)](?=\s|\Z)")
"""The number of an item, which its step has anew."""
_NESTED = 100
"""Of one thing in another; what lies deeper Markdown's reader leaves out, and the list then tells it."""


def shown_name(path: Path) -> str:
    """Return how messages name a file."""
    return printable(str(path))


def read_source(path: Path) -> Source:
    """Read one procedure of any kind.

    Raises
    ------
    NotesError
        If it is of no such kind, too large, damaged or unsafe.
    """
    read = _READ.get(path.suffix.lower())
    if read is None:
        older = "; save an older Word file as .docx" if path.suffix.lower() in (".doc", ".docm", ".rtf") else ""
        raise NotesError([Fault(shown_name(path), 1, f"is none of {', '.join(KINDS)}{older}")])
    return read(path, " ".join(printable(path.stem).replace("-", " ").replace("_", " ").split()))


def read_table(path: Path) -> str:
    """Return the text of a table of questions."""
    return read_text(path, shown_name(path), _MOST_TEXT)


def _page(path: Path, name: str) -> Source:
    return read_markup(read_text(path, shown_name(path), _MOST_TEXT), shown_name(path), name)


def _markdown(path: Path, name: str) -> Source:
    text = read_text(path, shown_name(path), _MOST_TEXT)
    reader = MarkdownIt("commonmark", {"html": False, "maxNesting": _NESTED}).enable("table")
    tokens = reader.parse(text)
    for token in tokens:
        if token.map and token.nesting >= 0:
            token.attrSet(LINE, str(token.map[0] + 1))
    html = reader.renderer.render(tokens, reader.options, {})
    source = read_markup(html, shown_name(path), name, "attribute")
    lines = (_ITEM.sub("", line) for line in text.split("\n"))
    return source._replace(lines=tuple(enumerate(lines, start=1)))


def _word(path: Path, name: str) -> Source:
    from assistant.desk.importing.word import read_word

    shown = shown_name(path)
    try:
        if (size := regular(path).stat().st_size) > _MOST_WORD:
            raise NotesError([Fault(shown, 1, f"file has {size} bytes, {_MOST_WORD} at most")])
        raw = path.read_bytes()
    except OSError as error:
        raise NotesError([Fault(shown, 1, f"cannot be read: {error.strerror}")]) from error
    return read_word(raw, shown, name)


_READ: Mapping[str, Callable[[Path, str], Source]] = MappingProxyType(
    {".docx": _word, ".html": _page, ".htm": _page, ".md": _markdown, ".markdown": _markdown}
)
KINDS = (*_READ, QUESTIONS)
"""The endings of what can be read."""
