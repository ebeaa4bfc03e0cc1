"""A group of unanswered questions into the notes: beside a note, as uncovered, or as a word of the vocabulary."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

from assistant.analysis.tokens import printable
from assistant.desk.clusters import LEAST_ALIKE
from assistant.desk.meaning import rows_of
from assistant.desk.skeleton import example_line
from assistant.errors import UsageError
from assistant.notes.corpus import read_corpus
from assistant.notes.phrases import phrases_path, phrases_text, read_phrases
from assistant.notes.text import read_text
from assistant.notes.writing import add_lines, put_back, write_read_back, write_whole
from assistant.pack.reader import Pack

__all__ = ["UNCOVERED", "Taken", "add_questions", "add_uncovered", "add_vocabulary", "near_uncovered", "take_over"]

UNCOVERED = "uncovered.txt"
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


def add_uncovered(root: Path, questions: Sequence[str]) -> int:
    """Add questions to those that no note covers, and tell how many are new.

    Raises
    ------
    NotesError
        If the notes cannot be read, before or afterwards; they stay byte for byte as they were.
    """
    read_corpus(root)
    path = root / UNCOVERED
    with put_back(path):
        added = add_lines(path, list(filter(None, map(example_line, questions))), shown=UNCOVERED)
        read_corpus(root)
    return added


def near_uncovered(root: Path, questions: Sequence[str], pack: Pack) -> list[str]:
    """Return the lines of ``uncovered.txt`` that mean what the questions mean, the nearest first.

    They teach that no note covers them: a note for these questions has to take them over.
    """
    lines = list(dict.fromkeys(read_corpus(root).uncovered))
    if not lines or not questions:
        return []
    rows = rows_of([*lines, *questions], pack)
    alike = rows.at(slice(len(lines))).times(rows.at(slice(len(lines), None))).mean(axis=1)
    near = [(-round(float(value), 5), line) for line, value in zip(lines, alike, strict=True) if value > LEAST_ALIKE]
    return [line for _, line in sorted(near)]


def take_over(root: Path, note: Path, lines: Sequence[str]) -> Taken:
    """Move lines of ``uncovered.txt`` to the phrases and example questions of the note at ``note``.

    Raises
    ------
    NotesError
        If the notes cannot be read, before or afterwards; they stay byte for byte as they were.
    """
    path = root / UNCOVERED
    with put_back(path, phrases_path(note), note.with_suffix(".questions.txt")):
        kept = [row for row in read_text(path, UNCOVERED).splitlines() if row.strip() not in set(lines)]
        write_whole(path, "".join(f"{row}\n" for row in kept))
        return add_questions(root, note, lines)


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
