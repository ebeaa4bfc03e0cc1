"""A group of unanswered questions into the notes: as lines beside a note, or as a word of the vocabulary."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

from assistant.analysis.tokens import printable
from assistant.desk.skeleton import example_line
from assistant.errors import UsageError
from assistant.notes.corpus import read_corpus
from assistant.notes.phrases import phrases_path, phrases_text, read_phrases
from assistant.notes.text import read_text
from assistant.notes.writing import add_lines, put_back, write_read_back, write_whole

__all__ = ["Taken", "add_questions", "add_vocabulary"]

_MOST_WORDS = 6
"""Of a plain line; a longer question is an example question."""


class Taken(NamedTuple):
    """How many questions became new plain lines, and how many new example questions."""

    plain: int
    examples: int

    def __str__(self) -> str:
        return f"{self.plain} new plain lines, {self.examples} new example questions"


def add_questions(root: Path, note: Path, questions: Sequence[str]) -> Taken:
    """Add short questions to the plain lines of the note at ``note``, longer ones to its example questions.

    Raises
    ------
    NotesError
        If the notes cannot be read, before or afterwards; they stay byte for byte as they were.
    """
    read_corpus(root)
    lines = list(filter(None, map(example_line, questions)))
    long = [line for line in lines if _is_long(line)]
    path = note.with_suffix(".questions.txt")
    with put_back(phrases_path(note), path):
        plain = _add_plain(root, note, [line for line in lines if not _is_long(line)])
        taken = Taken(plain, add_lines(path, long, shown=path.relative_to(root).as_posix()))
        read_corpus(root)
    return taken


def _is_long(line: str) -> bool:
    return len(line.split()) > _MOST_WORDS


def _add_plain(root: Path, note: Path, lines: Sequence[str]) -> int:
    phrases = read_phrases(note, root)
    known = {line.lower() for line in phrases.plain}
    new = {line.lower(): line for line in reversed(lines) if line.lower() not in known}
    if new:
        path = phrases_path(note)
        before = read_text(path, path.relative_to(root).as_posix()) if path.exists() else ""
        head = "".join(takewhile(lambda row: row.startswith("#"), before.splitlines(keepends=True)))
        wanted = phrases._replace(plain=(*phrases.plain, *reversed(new.values())))
        write_whole(path, head + phrases_text(wanted))
    return len(new)


def add_vocabulary(root: Path, form: str, word: str, weight: float) -> None:
    """Add a form that reps type for a word that the notes use.

    Raises
    ------
    UsageError
        If the weight is not above 0 and at most 1, or the form is empty or there already under this word.
    NotesError
        If the vocabulary is not valid afterwards; it stays as it was.
    """
    form, word = printable(form).lower(), printable(word).lower()
    if not form or not word or not 0 < weight <= 1:
        raise UsageError("needs a form, a word, and a weight above 0 and at most 1")
    path = root / "vocabulary.yaml"
    before = read_text(path, path.name) if path.exists() else ""
    if any(other == word for other, _ in read_corpus(root).vocabulary.forms.get(form, ())):
        raise UsageError(f"'{form}' stands for '{word}' already")
    entry = f"{json.dumps(form, ensure_ascii=False)}: {weight}"
    line = re.compile(rf"^(\s*[\"']?{re.escape(word)}[\"']?\s*:\s*\{{)(.*)\}}\s*$", re.MULTILINE)
    found = line.search(before)
    if found:
        joint = ", " if found[2].strip() else ""
        text = f"{before[: found.start()]}{found[1]}{found[2]}{joint}{entry}}}{before[found.end() :]}"
    else:
        ended = before if not before or before.endswith("\n") else f"{before}\n"
        text = f"{ended}{json.dumps(word, ensure_ascii=False)}: {{{entry}}}\n"
    write_read_back(path, text, lambda: read_corpus(root))
