"""All lines of the corpus, for the rules on characters."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from assistant.checking.rule import Book, Edit, Finding

__all__ = ["find_lines", "mend_lines"]


def find_lines(book: Book, *, fault: Callable[[str], str]) -> Iterator[Finding]:
    """Yield a finding for every line, without its carriage return, of which ``fault`` has something to say."""
    for path, lines in book.texts.items():
        for number, line in enumerate(lines, start=1):
            if message := fault(line.removesuffix("\r")):
                yield Finding(path, number, message)


def mend_lines(book: Book, *, mend: Callable[[str], str], message: str) -> Iterator[Finding]:
    """Yield a finding with its edit for every line that ``mend`` changes."""
    for path, lines in book.texts.items():
        for number, line in enumerate(lines, start=1):
            mended = mend(line)
            if mended != line:
                yield Finding(path, number, message, Edit(path, number, line, mended))
