"""What a note has in common with the others: before it is written twice, or takes the questions of another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.model import Note
from assistant.ranking.chunks import note_sections

__all__ = ["Alike", "Near", "Similar", "similar"]

_SHARED = 6
_LEAST_STEP = 0.6
_LEAST_QUESTION = 0.7


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


class Similar(NamedTuple):
    """The nearest notes, and the steps and example questions that are alike, each nearest first."""

    near: tuple[Near, ...]
    steps: tuple[Alike, ...]
    questions: tuple[Alike, ...]


class _Text(NamedTuple):
    text: str
    note: str
    place: str


def similar(note: Note, others: Sequence[Note], most: int = 5) -> Similar:
    """Hold a note against others by the cosine of TF-IDF vectors.

    Parameters
    ----------
    others
        The notes to hold it against; one with the same id is left out.
    most
        So many of each kind are returned.
    """
    rest = [other for other in others if other.id != note.id]
    return Similar(
        _near(note, rest, most),
        _alike(_steps(note), [text for other in rest for text in _steps(other)], _LEAST_STEP, most),
        _alike(_questions(note), [text for other in rest for text in _questions(other)], _LEAST_QUESTION, most),
    )


def _steps(note: Note) -> list[_Text]:
    return [_Text(step.text, note.id, f"{note.path}:{step.line}") for step in note.steps]


def _questions(note: Note) -> list[_Text]:
    path = note.path.removesuffix(".md") + ".questions.txt"
    return [_Text(example.question, note.id, path) for example in note.examples]


def _vectorizer() -> TfidfVectorizer:
    stems = Stems()

    def terms(text: str) -> list[str]:
        return [stems(form) for form in tokenize(text) if not is_question_word(form)]

    return TfidfVectorizer(analyzer=terms, sublinear_tf=True)


def _near(note: Note, rest: Sequence[Note], most: int) -> tuple[Near, ...]:
    if not rest:
        return ()
    texts = ["\n".join((other.title, *note_sections(other).values())) for other in (note, *rest)]
    vectorizer = _vectorizer()
    matrix = vectorizer.fit_transform(texts)
    stems = Stems()
    form = {stems(word): word for word in reversed(tokenize(texts[0]))}
    names = [form.get(name, name) for name in vectorizer.get_feature_names_out()]
    shared = matrix[1:].multiply(matrix[0]).tocsr()
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
    pairs = sorted(zip(-cosines.data.round(6), cosines.row, cosines.col, strict=True))
    best: dict[int, Alike] = {}
    for value, row, column in pairs:
        if -value >= least and int(row) not in best:
            other = others[int(column)]
            best[int(row)] = Alike(own[int(row)].text, other.text, other.note, other.place, round(float(-value), 3))
    return tuple(best.values())[:most]
