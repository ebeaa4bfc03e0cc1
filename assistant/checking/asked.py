"""The example questions of the notes and the entries of the vocabulary, with their lines."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

import yaml

from assistant.analysis.tokens import tokenize
from assistant.checking.rule import Book
from assistant.model import Note
from assistant.notes.text import nested_deeply

__all__ = ["VOCABULARY", "Asked", "Entry", "asked", "entries"]

VOCABULARY = "vocabulary.yaml"
_STEPS = re.compile(r"\[\d+(?:, ?\d+)*\]\s*")


class Asked(NamedTuple):
    """An example question, and the line of the file where it stands; ``same`` is equal for the same words."""

    note: Note
    path: str
    line: int
    text: str
    same: str


class Entry(NamedTuple):
    """A form of the vocabulary, in lower case, under its word; ``line`` is the form's own, ``word_line`` the word's."""

    word: str
    form: str
    line: int
    word_line: int


def asked(book: Book) -> Iterator[Asked]:
    """Yield every example question of the notes that could be read."""
    for note in book.corpus.notes:
        path = note.path.removesuffix(".md") + ".questions.txt"
        for number, line in enumerate(book.texts.get(path, ()), start=1):
            if line.strip() and not line.startswith("#"):
                text = _STEPS.sub("", line.strip(), count=1)
                yield Asked(note, path, number, text, " ".join(tokenize(text)))


def entries(book: Book) -> tuple[Entry, ...]:
    """Return the forms of the vocabulary in their order, those that stand twice included; none where it is no YAML."""
    return _entries("\n".join(book.texts.get(VOCABULARY, ())))


@lru_cache(maxsize=1)
def _entries(text: str) -> tuple[Entry, ...]:
    if nested_deeply(text):
        return ()
    try:
        root = yaml.compose(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except (yaml.YAMLError, RecursionError, ValueError):
        return ()
    if not isinstance(root, yaml.MappingNode):
        return ()
    return tuple(
        Entry(str(word.value), str(form.value).lower(), form.start_mark.line + 1, word.start_mark.line + 1)
        for word, forms in root.value
        if isinstance(forms, yaml.MappingNode)
        for form, _ in forms.value
    )
