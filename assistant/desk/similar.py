"""What a note has in common with the others: before it is written twice, or takes the questions of another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.model import Note
from assistant.notes.drafts import TO_WRITE
from assistant.notes.phrases import phrase_lines, phrases_path
from assistant.ranking.chunks import note_sections

__all__ = ["Alike", "Apart", "Near", "Similar", "nearest", "similar"]

_SHARED = 6
_LEAST_STEP = 0.6
_LEAST_QUESTION = 0.7
_LEAST_PHRASE = 0.8
_STILL_TO_WRITE = re.compile(rf"[^.!?\n]*{re.escape(TO_WRITE)}[.!?]?")
"""A sentence of the skeleton of a new note, which says nothing of it yet."""


class Near(NamedTuple):
    """Another note, the cosine of its text to that of the note, and the words that bring most of it."""

    note: str
    title: str
    cosine: float
    words: tuple[str, ...]


class Alike(NamedTuple):
    """A text of the note and one of another that is nearly the same; ``place`` is the other's path and line."""

    text: str
    other: str
    note: str
    place: str
    cosine: float


class Apart(NamedTuple):
    """A ``not_this`` line of ``note``, and the note that it leads to; none where ``other`` is empty."""

    text: str
    note: str
    other: str


class Similar(NamedTuple):
    """The nearest notes, and the texts that are alike, each nearest first; ``pairs`` are one a thing.

    ``leads_away`` are the lines by which the note leads to others, ``leads_here`` those by which others lead to it.
    """

    near: tuple[Near, ...]
    steps: tuple[Alike, ...]
    questions: tuple[Alike, ...]
    plain: tuple[Alike, ...]
    pairs: tuple[Alike, ...]
    leads_away: tuple[Apart, ...]
    leads_here: tuple[Apart, ...]


class _Text(NamedTuple):
    text: str
    note: str
    place: str
    thing: str = ""


def similar(note: Note, others: Sequence[Note], most: int = 5) -> Similar:
    """Hold a note against others by the cosine of TF-IDF vectors; what is still to be written is left out.

    Parameters
    ----------
    others
        The notes to hold it against; one with the same id is left out.
    most
        So many of each kind are returned.
    """
    rest = [other for other in others if other.id != note.id]
    phrases = [text for other in rest for text in _phrases(other, phrase_lines(other))]
    return Similar(
        _near(note, rest, most),
        _alike(_steps(note), [text for other in rest for text in _steps(other)], _LEAST_STEP, most),
        _alike(_questions(note), [text for other in rest for text in _questions(other)], _LEAST_QUESTION, most),
        _alike(_phrases(note, note.phrases.plain), phrases, _LEAST_PHRASE, most),
        _alike(_pairs(note), phrases, _LEAST_PHRASE, most),
        tuple(_apart(note))[:most],
        tuple(line for other in rest for line in _apart(other) if line.other == note.id)[:most],
    )


def _steps(note: Note) -> list[_Text]:
    written = ((_written(step.text).strip(), step.line) for step in note.steps)
    return [_Text(text, note.id, f"{note.path}:{line}") for text, line in written if text]


def _questions(note: Note) -> list[_Text]:
    path = note.path.removesuffix(".md") + ".questions.txt"
    return [_Text(example.question, note.id, path) for example in note.examples]


def _phrases(note: Note, lines: Sequence[str]) -> list[_Text]:
    place = phrases_path(Path(note.path)).as_posix()
    return [_Text(line, note.id, place) for line in lines]


def _pairs(note: Note) -> list[_Text]:
    pairs = product(note.phrases.things, note.phrases.troubles)
    return [_Text(f"{thing} {trouble}", note.id, "", thing) for thing, trouble in pairs]


def _apart(note: Note) -> Iterator[Apart]:
    return (Apart(line, note.id, other) for line, other in note.phrases.not_this)


def _vectorizer() -> TfidfVectorizer:
    stems = Stems()

    def terms(text: str) -> list[str]:
        return [stems(form) for form in tokenize(text) if not is_question_word(form)]

    return TfidfVectorizer(analyzer=terms, sublinear_tf=True)


def nearest(texts: Sequence[str], notes: Sequence[Note], most: int) -> list[tuple[Near, ...]]:
    """Return for each text the notes whose text, with their phrases, is nearest; of none that share no word."""
    if not notes or not texts:
        return [() for _ in texts]
    vectorizer = _vectorizer()
    matrix = vectorizer.fit_transform([f"{_whole(note)}\n{' '.join(phrase_lines(note))}" for note in notes])
    rows = zip(texts, vectorizer.transform(texts), strict=True)
    found = (_nearest(text, vectorizer, row, matrix, notes, most) for text, row in rows)
    return [tuple(one for one in near if one.cosine) for near in found]


def _whole(note: Note) -> str:
    return _written("\n".join((note.title, *note_sections(note).values())))


def _written(text: str) -> str:
    return _STILL_TO_WRITE.sub("", text)


def _near(note: Note, rest: Sequence[Note], most: int) -> tuple[Near, ...]:
    if not rest:
        return ()
    vectorizer = _vectorizer()
    matrix = vectorizer.fit_transform([_whole(other) for other in (note, *rest)])
    return _nearest(_whole(note), vectorizer, matrix[0], matrix[1:], rest, most)


def _nearest(
    text: str, vectorizer: TfidfVectorizer, vector: Any, matrix: Any, rest: Sequence[Note], most: int
) -> tuple[Near, ...]:
    stems = Stems()
    form = {stems(word): word for word in reversed(tokenize(text))}
    names = [form.get(name, name) for name in vectorizer.get_feature_names_out()]
    shared = matrix.multiply(vector).tocsr()
    cosines = shared.sum(axis=1).A1
    order = sorted(range(len(rest)), key=lambda place: (-cosines[place], rest[place].id))[:most]
    found = []
    for place in order:
        row = shared[place].tocoo()
        best = sorted(zip(row.data, row.col, strict=True), key=lambda pair: (-pair[0], names[pair[1]]))
        words = tuple(names[column] for _, column in best[:_SHARED])
        found.append(Near(rest[place].id, rest[place].title, round(float(cosines[place]), 3), words))
    return tuple(found)


def _alike(own: Sequence[_Text], others: Sequence[_Text], least: float, most: int) -> tuple[Alike, ...]:
    if not own or not others:
        return ()
    vectorizer = _vectorizer()
    try:
        matrix = vectorizer.fit_transform([one.text for one in (*own, *others)])
    except ValueError:
        return ()
    cosines = (matrix[: len(own)] @ matrix[len(own) :].T).tocoo()
    values = cosines.data.round(6)
    near = values >= least
    best: dict[str | int, Alike] = {}
    for value, row, column in sorted(zip(-values[near], cosines.row[near], cosines.col[near], strict=True)):
        text, other = own[int(row)], others[int(column)]
        found = Alike(text.text, other.text, other.note, other.place, round(float(-value), 3))
        best.setdefault(text.thing or int(row), found)
    return tuple(best.values())[:most]
