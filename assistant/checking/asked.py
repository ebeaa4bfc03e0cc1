"""The example questions and phrases of the notes and the entries of the vocabulary, with their lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from assistant.analysis.tokens import tokenize
from assistant.checking.rule import Book
from assistant.model import Note
from assistant.notes.kept import Kept
from assistant.notes.phrases import phrases_path
from assistant.notes.text import nested_deeply

__all__ = ["VOCABULARY", "Asked", "Entry", "asked", "entries", "phrased", "phrases_of"]

VOCABULARY = "vocabulary.yaml"
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_STEPS = re.compile(r"\[\d+(?:, ?\d+)*\]\s*")


class Asked(NamedTuple):
    """An example question or a phrase, and the line where it stands; ``same`` is equal for the same words."""

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


def phrases_of(note: Note) -> str:
    """Return the path of a note's phrases below the corpus folder, whether there are any or not."""
    return phrases_path(Path(note.path)).as_posix()


def phrased(book: Book, part: str) -> Iterator[Asked]:
    """Yield the lines of one part of the phrases, such as ``plain``, of the notes that could be read."""
    for note in book.corpus.notes:
        path = phrases_of(note)
        for text, line in _phrases("\n".join(book.texts.get(path, ())), path).get(part, ()):
            yield Asked(note, path, line, text, " ".join(tokenize(text)))


@Kept
def _phrases(text: str, _: str) -> Mapping[str, tuple[tuple[str, int], ...]]:
    """Return the texts of every part with their lines; a note whose phrases cannot be read is not asked for them."""
    root = yaml.compose(text, _LOADER)
    parts = root.value if isinstance(root, yaml.MappingNode) else ()
    return {name.value: tuple(_texts(node)) for name, node in parts}


def _texts(node: yaml.Node) -> Iterator[tuple[str, int]]:
    if isinstance(node, yaml.CollectionNode):
        texts = [key for key, _ in node.value] if isinstance(node, yaml.MappingNode) else node.value
        yield from ((text.value.strip(), text.start_mark.line + 1) for text in texts)


def entries(book: Book) -> tuple[Entry, ...]:
    """Return the forms of the vocabulary in their order, those that stand twice included; none where it is no YAML."""
    return _entries("\n".join(book.texts.get(VOCABULARY, ())))


@lru_cache(maxsize=1)
def _entries(text: str) -> tuple[Entry, ...]:
    if nested_deeply(text):
        return ()
    try:
        root = yaml.compose(text, _LOADER)
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
