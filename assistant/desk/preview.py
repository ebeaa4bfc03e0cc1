"""A note that is in no pack yet against those that are: which questions it would win or lose.

Its class of the linear model is learned alone, against the lines of all other notes, or is the pack's where that was
learned from the same lines. Its text is weighed among those of the pack; what the other notes have is the pack's,
though each of them would learn a little otherwise beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from assistant.answering.retrieve import Retriever
from assistant.compiling.counted import Grams, WordPairs, read_lines
from assistant.compiling.lexicon import GrownWords
from assistant.compiling.lines import TOLD, Lines, lines_digest, lines_of
from assistant.compiling.settings import CompileSettings, LinearSettings
from assistant.compiling.words import LENGTHS, chunk_terms, chunk_weights, read_words
from assistant.evaluation.labels import LabelledQuestion
from assistant.languages import Language
from assistant.model import Corpus, Note
from assistant.notes.drafts import released
from assistant.pack.checked import json_of
from assistant.pack.format import NOTES_MODEL
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent
from assistant.ranking.bm25f import Bm25fStatistics
from assistant.ranking.chunks import chunk_note
from assistant.ranking.documents import documents_of
from assistant.ranking.linear import UNIT
from assistant.ranking.score import NONE, scaled

__all__ = ["Fought", "Preview", "preview"]

_MOST_ASKED = 60
"""So many questions are asked of the pack, those first to which the note comes nearest."""


class Fought(NamedTuple):
    """A question, the notes that are right for it, and who comes first without the note as it is now, and with it.

    ``before`` and ``after`` are ids, empty where none is nearer than no note. ``own`` is an example of the note itself.
    """

    question: str
    relevant: tuple[str, ...]
    before: str
    after: str
    own: bool


class Preview(NamedTuple):
    """How many lines the note is learned from, how many questions were asked, and those it wins, loses or lacks.

    ``lacking`` are questions of its own, by label or as an example, that a wrong note has before and after.
    """

    lines: int
    asked: int
    won: tuple[Fought, ...]
    lost: tuple[Fought, ...]
    lacking: tuple[Fought, ...]


def preview(
    note: Note,
    corpus: Corpus,
    pack: Pack,
    questions: Sequence[LabelledQuestion],
    settings: CompileSettings,
    progress: Progress = silent,
) -> Preview:
    """Return what a note would win and lose.

    Parameters
    ----------
    note
        With its phrases and example questions, be it in the corpus or not.
    corpus
        All notes; drafts are left out, but for the note.
    pack
        What answers now.
    """
    settings = settings.told_in(corpus.trade.language)
    kept = tuple(other for other in released(corpus).notes if other.id != note.id)
    corpus = corpus._replace(notes=tuple(sorted((*kept, note._replace(draft="")), key=lambda one: one.id)))
    number = [one.id for one in corpus.notes].index(note.id)
    lines = lines_of(corpus, settings.linear.pairs)
    asked = [(q.question, q.relevant, False) for q in questions]
    asked += [(example.question, (note.id,), True) for example in note.examples]
    taken = number in pack.bias(NOTES_MODEL) and pack.manifest.get(TOLD) == lines_digest(lines)
    progress("no line has changed" if taken else f"learning {note.id} against {len(lines)} lines")
    own = _held(pack, number) if taken else _learned(lines, number, settings.linear)
    points = _points([question for question, _, _ in asked], own, pack.language)
    meant = [place for place, (_, relevant, _) in enumerate(asked) if note.id in relevant]
    others = sorted(set(range(len(asked))) - set(meant), key=lambda place: (-points[place], place))
    near = [*meant, *others[:_MOST_ASKED]]
    text = _Text(note, pack, corpus, settings)
    progress(f"asking {len(near)} questions")
    retrieve = Retriever(pack)
    fought = [_fought(retrieve, text, *asked[place], points[place]) for place in near]
    return Preview(
        sum(number in classes for classes in lines.values()),
        len(near),
        tuple(one for one in fought if one.after == note.id != one.before),
        tuple(one for one in fought if one.before == note.id != one.after),
        tuple(one for one in fought if note.id in one.relevant and not {one.before, one.after} & set(one.relevant)),
    )


class _Class(NamedTuple):
    """A class of the linear model: its bias, and what returns the idf and the weight of each of some features."""

    bias: int
    of: Callable[[Sequence[str]], tuple[Any, Any]]


def _held(pack: Pack, number: int) -> _Class:
    """Return the class that the pack has of a note."""

    def of(features: Sequence[str]) -> tuple[Any, Any]:
        rows = pack.feature_rows(NOTES_MODEL, features)
        found = [(row.idf / UNIT, row.weight(number)) if (row := rows.get(name)) else (0, 0) for name in features]
        return _columns(found)

    return _Class(pack.bias(NOTES_MODEL)[number], of)


def _learned(lines: Lines, number: int, settings: LinearSettings) -> _Class:
    """Learn a class; what learns takes its time to be loaded, which nobody waits for where nothing is learned."""
    from assistant.compiling.classes import learn_class
    from assistant.compiling.vectors import Vectors

    vectors = Vectors(lines, settings)
    learned = learn_class(vectors.matrix, [number in classes for classes in lines.values()], settings)
    place = {name: column for column, name in enumerate(vectors.names)}
    weights = dict(zip(learned.columns, learned.weights, strict=True))

    def of(features: Sequence[str]) -> tuple[Any, Any]:
        columns = [place.get(name) for name in features]
        found = [(0, 0) if column is None else (vectors.idf[column], weights.get(column, 0)) for column in columns]
        return _columns(found)

    return _Class(learned.bias, of)


def _columns(pairs: Sequence[tuple[float, int]]) -> tuple[Any, Any]:
    idf, weights = np.array(pairs, dtype=np.float64).reshape(-1, 2).T
    return idf, weights


def _points(questions: Sequence[str], own: _Class, language: Language) -> list[int]:
    """Return the points that a class gives each question, as `assistant.compiling.vectors` weighs its features."""
    if not questions:
        return []
    read = read_lines(questions, language)
    points = np.full(len(questions), own.bias, dtype=np.float64)
    for side in (WordPairs(read, 1, np.float64), Grams(read, 1, np.float64)):
        idf, weights = own.of(side.names)
        counts = side.counts(0, len(questions))
        counts.data = (1 + np.log(counts.data)) * idf[counts.indices]
        lengths = np.sqrt(np.asarray(counts.multiply(counts).sum(axis=1)).ravel())
        points += counts @ weights / np.where(lengths > 0, lengths, 1)
    found: list[int] = points.astype(int).tolist()
    return found


class _Text:
    """The chunks of a note, weighed as BM25F weighs them among all notes of a pack, and itself where it is new."""

    def __init__(self, note: Note, pack: Pack, corpus: Corpus, settings: CompileSettings) -> None:
        self.id = note.id
        self.number = pack.note_ids.index(note.id) if note.id in pack.note_ids else None
        chunks = chunk_note(note)
        lexicon = GrownWords(pack)
        lexicon.bring(chunks)
        read = chunk_terms(lexicon)
        terms = [read(chunk.fields) for chunk in chunks]
        count, lengths = pack.sizes[1], _lengths(pack, corpus, settings)
        own = [{term for found in chunk.values() for term in found} for chunk in terms]
        held = pack.term_rows(set().union(*own)).items()
        first = pack.first_chunk
        before = range(0) if self.number is None else range(first[self.number], first[self.number + 1])
        frequency = Counter(
            {term: row.count - sum(row.at(chunk) is not None for chunk in before) for term, row in held}
        )
        frequency.update(term for chunk in own for term in chunk)
        if self.number is None:
            total = count + len(terms)
            lengths = {
                name: (mean * count + sum(len(chunk.get(name, ())) for chunk in terms)) / total
                for name, mean in lengths.items()
            }
            count = total
        statistics = Bm25fStatistics(count, lengths, frequency)
        self._weights = chunk_weights(terms, settings, statistics)

    def best(self, terms: Iterable[tuple[str, int]]) -> int:
        """Return the sum of the best chunk for the terms of a question, each with its weight in percent."""
        sums: Counter[int] = Counter()
        for term, percent in terms:
            chunks, weights, _ = self._weights.get(term, ((), (), b""))
            for chunk, weight in zip(chunks, weights, strict=True):
                sums[chunk] += scaled(weight, percent)
        return max(sums.values(), default=0)


def _lengths(pack: Pack, corpus: Corpus, settings: CompileSettings) -> Mapping[str, float]:
    """Return the mean length of each field; of a pack of an earlier program it is counted in the notes that it has."""
    told: Mapping[str, float] = json_of(pack.manifest.get(LENGTHS, "{}"))
    if told:
        return told
    held = corpus._replace(notes=tuple(note for note in corpus.notes if note.id in pack.note_ids))
    return read_words(documents_of(held), settings).statistics.average


def _fought(
    retrieve: Retriever, text: _Text, question: str, relevant: tuple[str, ...], own: bool, points: int
) -> Fought:
    pack = retrieve.pack
    retrieval = retrieve(question)
    scores = retrieval.scores
    none = scores.model.get(NONE, 0)
    first = scores.order[0] if scores.order else None
    before = "" if first is None or scores.total[first] < none else pack.note_ids[first]
    mine = text.best(retrieval.terms)
    rivals = {note: scores.chunk.get(note, (0, 0))[0] for note in scores.order if note != text.number}
    top = max(mine, *rivals.values(), 1)
    share: int = pack.decision["bm25f_share"]
    total = {note: scores.model.get(note, 0) + share * chunk // top for note, chunk in rivals.items()}
    rival = min(total, key=lambda note: (-total[note], note), default=None)
    best = none if rival is None else max(none, total[rival])
    held = "" if rival is None or total[rival] < none else pack.note_ids[rival]
    return Fought(question, relevant, before, text.id if points + share * mine // top > best else held, own)
