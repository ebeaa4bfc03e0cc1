"""The lines that the linear models learn from: phrases, questions, titles and conditions of the notes, and turns."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable

from assistant.model import Corpus, Note
from assistant.notes.phrases import phrase_pairs
from assistant.pack.format import TURN_CLASSES
from assistant.ranking.score import NONE

__all__ = ["Lines", "lines_of", "own_lines", "turn_lines"]

Lines = dict[str, frozenset[int]]
"""Line -> the classes that it stands for: note numbers, or `NONE` alone."""
_SENTENCE = re.compile(r"(?<=[.!?])\s+")


def own_lines(note: Note, pairs: int) -> list[str]:
    """Return the lines of one note: title, id, condition, phrases with a sample of ``pairs``, example questions."""
    phrases = note.phrases
    condition = [sentence for sentence in _SENTENCE.split(note.condition.replace("\n", " ")) if sentence]
    return [
        note.title,
        note.id.replace("-", " "),
        *condition,
        *phrases.plain,
        *sorted(phrase_pairs(phrases), key=_drawn)[:pairs],
        *(example.question for example in note.examples),
    ]


def lines_of(corpus: Corpus, pairs: int) -> Lines:
    """Return every line with its classes; one that a note has as well as ``uncovered`` stands for the note."""
    number = {note.id: place for place, note in enumerate(corpus.notes)}
    told: list[tuple[str, Iterable[str]]] = []
    for note in corpus.notes:
        told += [(line, (note.id,)) for line in own_lines(note, pairs)]
        told += [(line, (other,)) for line, other in note.phrases.not_this]
    told += [(sentence, (note_id,)) for note_id, sentence in corpus.dangers]
    told += [(question, notes) for notes, question in corpus.ambiguous]
    told += [(question, ("",)) for question in corpus.uncovered]
    lines: dict[str, set[int]] = {}
    for line, notes in told:
        lines.setdefault(line.lower(), set()).update(number.get(note, NONE) for note in notes)
    return {line: frozenset(classes - {NONE}) or frozenset({NONE}) for line, classes in lines.items()}


def turn_lines(corpus: Corpus) -> Lines:
    """Return the phrases of turns with their kinds."""
    lines: dict[str, set[int]] = {}
    for about, phrase in corpus.followups:
        lines.setdefault(phrase.lower(), set()).add(TURN_CLASSES.index(about))
    return {line: frozenset(classes) for line, classes in lines.items()}


def _drawn(text: str) -> bytes:
    """Return the place of a text in a draw that is the same on every machine."""
    return hashlib.sha256(text.encode("utf-8")).digest()
