"""Reading a corpus folder for the check: what cannot be read becomes a fault, and the rest is checked all the same."""

from __future__ import annotations

import stat
from collections.abc import Callable, Collection, Iterable, Iterator
from datetime import date
from pathlib import Path

from assistant.checking.messages import written_out
from assistant.checking.rule import Book
from assistant.checking.spelled import SPELLING
from assistant.checking.switched import SWITCHES
from assistant.checking.trade_words import WORDS
from assistant.checking.waivers import WAIVERS
from assistant.errors import NotesError
from assistant.model import Hazard
from assistant.notes.corpus import note_files, parse_again, parse_corpus
from assistant.notes.files import corpus_files, is_figure
from assistant.notes.hazards import read_hazards
from assistant.notes.text import leads_out, most_bytes
from assistant.progress import Progress, silent

__all__ = ["BOM", "read_again", "read_book"]

BOM = "\ufeff"
"""A mark at the beginning of a file that is no part of its first line."""


def read_book(
    root: Path,
    today: date,
    first_note: Callable[[str], str | None] | None = None,
    progress: Progress = silent,
) -> Book:
    """Read a folder of notes; a key that stands for its message is read as that, so that all else is checked too.

    Raises
    ------
    NotesError
        If there is no such folder, or no note in it.
    """
    table = _hazards(root)
    parsed = parse_corpus(root, lambda text: written_out(text, table), progress)
    lines, marked = _lines(root, (*corpus_files(root), *(root / name for name in (WAIVERS, SWITCHES, SPELLING, WORDS))))
    figures = frozenset(path.relative_to(root).as_posix() for path in corpus_files(root) if is_figure(path.name))
    return Book(parsed.corpus, lines, today, parsed.faults, first_note, marked, figures=figures)


def read_again(root: Path, book: Book, changed: Collection[str]) -> Book:
    """Return what `read_book` would of a folder in which nothing has changed but notes of some paths.

    Parameters
    ----------
    book
        As it was read, without a fault.
    changed
        Of these notes the file, the phrases or the questions may be others; none of them came or went.
    """
    table = _hazards(root)
    parsed = parse_again(root, book.corpus, changed, lambda text: written_out(text, table))
    files = [file for note in sorted(changed) for file in note_files(root / note)]
    lines, marked = _lines(root, files)
    own = {file.relative_to(root).as_posix() for file in files}
    texts = {path: held for path, held in {**book.texts, **lines}.items() if path not in own or path in lines}
    return book._replace(corpus=parsed.corpus, texts=texts, faults=parsed.faults, marked=book.marked - own | marked)


def _hazards(root: Path) -> dict[str, Hazard]:
    """Return the hazards by their keys; none of a table that cannot be read, which `parse_corpus` tells."""
    try:
        return {hazard.key: hazard for hazard in read_hazards(root)}
    except NotesError:
        return {}


def _lines(root: Path, files: Iterable[Path]) -> tuple[dict[str, tuple[str, ...]], frozenset[str]]:
    """Return the lines of files by their paths, and which of them begin with a mark."""
    texts = dict(_texts(root, files))
    marked = frozenset(path for path, text in texts.items() if text.startswith(BOM))
    return {path: tuple(text.removeprefix(BOM).split("\n")) for path, text in texts.items()}, marked


def _texts(root: Path, files: Iterable[Path]) -> Iterator[tuple[str, str]]:
    for path in files:
        text = None if is_figure(path.name) or leads_out(path, root) else _text(path)
        if text is not None:
            yield path.relative_to(root).as_posix(), text


def _text(path: Path) -> str | None:
    """Return the text as it stands, or None for what is no text file; why it is none the reader tells."""
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode) or status.st_size > most_bytes(path):
            return None
        return path.read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError):
        return None
