"""The lines that the linear models learn from: phrases, questions, titles and conditions of the notes, and turns."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable

from assistant.model import Corpus, Note
from assistant.notes.phrases import phrase_pairs
from assistant.pack.format import TURN_CLASSES
from assistant.ranking.score import NONE

__all__ = ["TOLD", "Lines", "classes_of", "lines_digest", "lines_of", "own_lines", "tellings", "told_by", "turn_lines"]

TOLD = "told"
"""The entry of a pack's manifest that holds `lines_digest` of what its model of the notes was learned from."""
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
    held: dict[tuple[int, ...], frozenset[int]] = {}
    return {
        line: held.get(numbers) or held.setdefault(numbers, classes_of(numbers))
        for line, numbers in tellings(corpus, pairs).items()
    }


def lines_digest(lines: Lines) -> str:
    """Return the SHA-256 of lines with their classes, in their order."""
    digest = hashlib.sha256()
    for line, numbers in lines.items():
        digest.update(f"{line}\0{' '.join(map(str, sorted(numbers)))}\n".encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def classes_of(numbers: Iterable[int]) -> frozenset[int]:
    """Return the classes of a line that was told for these notes; `NONE` stands alone or not at all."""
    return frozenset(numbers) - {NONE} or frozenset(numbers)


def tellings(corpus: Corpus, pairs: int) -> dict[str, tuple[int, ...]]:
    """Return every line with the number of the note, or `NONE`, for each time that it is told."""
    number = {note.id: place for place, note in enumerate(corpus.notes)}
    told: dict[str, tuple[int, ...]] = {}

    def tell(line: str, notes: Iterable[str]) -> None:
        told[line.lower()] = (*told.get(line.lower(), ()), *(number.get(note, NONE) for note in notes))

    for note in corpus.notes:
        for line, owner in told_by(note, pairs):
            tell(line, (owner,))
    for owner, sentence in corpus.dangers:
        tell(sentence, (owner,))
    for notes, question in corpus.ambiguous:
        tell(question, notes)
    for question in corpus.uncovered:
        tell(question, ("",))
    return told


def told_by(note: Note, pairs: int) -> list[tuple[str, str]]:
    """Return each line that a note tells with the id of the note that it stands for, empty where it is none."""
    return [*((line, note.id) for line in own_lines(note, pairs)), *note.phrases.not_this]


def turn_lines(corpus: Corpus) -> Lines:
    """Return the phrases of turns with their kinds."""
    lines: dict[str, set[int]] = {}
    for about, phrase in corpus.followups:
        lines.setdefault(phrase.lower(), set()).add(TURN_CLASSES.index(about))
    return {line: frozenset(classes) for line, classes in lines.items()}


def _drawn(text: str) -> bytes:
    """Return the place of a text in a draw that is the same on every machine."""
    return hashlib.sha256(text.encode("utf-8")).digest()
