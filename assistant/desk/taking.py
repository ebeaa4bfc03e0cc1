"""A group of unanswered questions into the notes: as examples, as a word of the vocabulary, as a new note."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.desk.skeleton import example_line
from assistant.errors import UsageError
from assistant.model import Note
from assistant.notes.corpus import read_corpus
from assistant.notes.text import read_text
from assistant.notes.writing import add_line, write_whole

__all__ = ["add_examples", "add_vocabulary"]


def add_examples(root: Path, note: Note, questions: Sequence[str]) -> int:
    """Add questions to the examples of a note and return how many were new."""
    path = (root / note.path).with_suffix(".questions.txt")
    shown = path.relative_to(root).as_posix()
    wanted = filter(None, map(example_line, questions))
    return sum(add_line(path, question, shown=shown) for question in wanted)


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
    write_whole(path, text)
    try:
        read_corpus(root)
    except BaseException:
        write_whole(path, before)
        raise
