"""A note that is in no pack yet against those that are: which questions it would win or lose.

Its class of the linear model is learned alone, against the lines of all other notes, and its text is weighed among
theirs; what the other notes have is the pack's, though each of them would learn a little otherwise beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from assistant.answering.retrieve import Retriever
from assistant.compiling.classes import learn_class
from assistant.compiling.compiler import Words, chunk_terms, chunk_weights, read_words
from assistant.compiling.lines import classes_of, tellings
from assistant.compiling.settings import CompileSettings
from assistant.compiling.vectors import Vectors
from assistant.evaluation.labels import LabelledQuestion
from assistant.model import Corpus, Note
from assistant.notes.drafts import released
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent
from assistant.ranking.chunks import chunk_note
from assistant.ranking.documents import documents_of
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
    kept = tuple(other for other in released(corpus).notes if other.id != note.id)
    corpus = corpus._replace(notes=tuple(sorted((*kept, note._replace(draft="")), key=lambda one: one.id)))
    number = [one.id for one in corpus.notes].index(note.id)
    told = tellings(corpus, settings.linear.pairs)
    progress(f"learning {note.id} against {len(told)} lines")
    vectors = Vectors(list(told), settings.linear)
    own = [number in classes_of(numbers) for numbers in told.values()]
    learned = learn_class(vectors.matrix, own, settings.linear)
    asked = [(q.question, q.relevant, False) for q in questions]
    asked += [(example.question, (note.id,), True) for example in note.examples]
    rows = vectors.rows([question for question, _, _ in asked])[:, np.asarray(learned.columns, dtype=int)]
    points = (rows @ np.asarray(learned.weights, dtype=int) + learned.bias).astype(int).tolist()
    meant = [place for place, (_, relevant, _) in enumerate(asked) if note.id in relevant]
    others = sorted(set(range(len(asked))) - set(meant), key=lambda place: (-points[place], place))
    near = [*meant, *others[:_MOST_ASKED]]
    text = _Text(note, read_words(documents_of(corpus), settings), settings)
    progress(f"asking {len(near)} questions")
    retrieve = Retriever(pack)
    fought = [_fought(retrieve, text, *asked[place], points[place]) for place in near]
    return Preview(
        sum(own),
        len(near),
        tuple(one for one in fought if one.after == note.id != one.before),
        tuple(one for one in fought if one.before == note.id != one.after),
        tuple(one for one in fought if note.id in one.relevant and not {one.before, one.after} & set(one.relevant)),
    )


class _Text:
    """The chunks of a note, weighed as BM25F weighs them among all notes."""

    def __init__(self, note: Note, words: Words, settings: CompileSettings) -> None:
        self.id = note.id
        read = chunk_terms(words.lexicon)
        chunks = [read(chunk.fields) for chunk in chunk_note(note)]
        self._weights = chunk_weights(chunks, settings, words.statistics)

    def best(self, terms: Iterable[tuple[str, int]]) -> int:
        """Return the sum of the best chunk for the terms of a question, each with its weight in percent."""
        sums: Counter[int] = Counter()
        for term, percent in terms:
            chunks, weights, _ = self._weights.get(term, ((), (), b""))
            for chunk, weight in zip(chunks, weights, strict=True):
                sums[chunk] += scaled(weight, percent)
        return max(sums.values(), default=0)


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
    rivals = {note: scores.chunk.get(note, (0, 0))[0] for note in scores.order if pack.note_ids[note] != text.id}
    top = max(mine, *rivals.values(), 1)
    share: int = pack.decision["bm25f_share"]
    total = {note: scores.model.get(note, 0) + share * chunk // top for note, chunk in rivals.items()}
    rival = min(total, key=lambda note: (-total[note], note), default=None)
    best = none if rival is None else max(none, total[rival])
    held = "" if rival is None or total[rival] < none else pack.note_ids[rival]
    return Fought(question, relevant, before, text.id if points + share * mine // top > best else held, own)
