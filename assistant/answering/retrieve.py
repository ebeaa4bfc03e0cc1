"""A question against an open pack: what was understood, the ranking, and how near harm comes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.analysis.analyzer import MOST_REPAIRED, MOST_WORDS, AnalysisSettings, ReadQuery, Stems, read_query
from assistant.analysis.features import grams, sentences, word_features
from assistant.analysis.tokens import tokenize
from assistant.answering.alarm import rung
from assistant.errors import PackError
from assistant.model import ScoredNote
from assistant.pack.format import NOTES_MODEL
from assistant.pack.reader import Pack
from assistant.ranking.linear import FeatureRow, Side, linear_points, sides_of
from assistant.ranking.score import NONE, Scores, TermRow, best_chunks, explain, sum_up

__all__ = ["Harm", "Retrieval", "Retriever"]

_MOST_TERMS = 1000


class Harm(NamedTuple):
    """How near harm comes.

    ``alarm`` is the note that an alarm word puts first, or None; ``note`` the note on harm with most points of the
    model in any sentence, ``points`` how many they are, ``over_none`` how far they stand there over the class of no
    note.
    """

    alarm: int | None
    note: int | None
    points: int
    over_none: int


class Retrieval(NamedTuple):
    """What one question led to; note numbers index ``pack.note_ids``.

    ``words`` are what the linear model reads, ``features`` its rows for them, ``sides`` the vectors of the whole.
    """

    query: ReadQuery
    terms: tuple[tuple[str, int], ...]
    rows: Mapping[str, TermRow]
    words: tuple[str, ...]
    features: Mapping[str, FeatureRow]
    sides: tuple[Side, ...]
    scores: Scores
    harm: Harm


class Retriever:
    """Reads and ranks questions against one pack.

    Parameters
    ----------
    pack
        An open pack; it must stay open as long as the retriever is used.
    """

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        try:
            self._settings = AnalysisSettings(**pack.analysis)
        except TypeError as error:
            raise PackError(f"{pack.path}:1: pack of another version: {error}; compile it again") from error
        self._stems = Stems()
        self._bias = pack.bias(NOTES_MODEL)

    def __call__(self, question: str) -> Retrieval:
        """Read and rank one question."""
        query = read_query(question, self.pack, self._stems, self._settings)
        terms = tuple((term.term, term.weight) for term in query.terms[:_MOST_TERMS])
        rows = self.pack.term_rows(term for term, _ in terms)
        words, features = self._features(tokenize(question)[:MOST_WORDS])
        sides = sides_of(words, features)
        model = linear_points(sides, features, self._bias) if any(side.values for side in sides) else {}
        chunks = best_chunks(terms, rows, self.pack.chunk_note)
        scores = sum_up(chunks, model, self.pack.decision["bm25f_share"] if self._bias else 0)
        return Retrieval(
            query, terms, rows, words, features, sides, scores, self._harm(question, query, features, model)
        )

    def _features(self, words: Sequence[str]) -> tuple[tuple[str, ...], dict[str, FeatureRow]]:
        """Return the words that the model reads, and its rows: unknown words past the first few are left out."""
        if not self._bias:
            return (), {}
        known = self.pack.feature_rows(NOTES_MODEL, dict.fromkeys(words))
        strange = list(dict.fromkeys(word for word in words if word not in known))[MOST_REPAIRED:]
        read = tuple(word for word in words if word not in strange) if strange else tuple(words)
        more = dict.fromkeys([*word_features(read)[len(read) :], *(gram for word in set(read) for gram in grams(word))])
        return read, known | self.pack.feature_rows(NOTES_MODEL, more)

    def _harm(
        self, question: str, query: ReadQuery, features: Mapping[str, FeatureRow], whole: Mapping[int, int]
    ) -> Harm:
        told = sentences(question)
        alarm = rung([tokenize(sentence) for sentence in told], self.pack, dict(query.repaired))
        if not features or not self.pack.harm:
            return Harm(alarm, None, 0, 0)
        points = [whole] if len(told) == 1 else [self._points(sentence, features) for sentence in told]
        loudest = max(
            (row.get(note, 0), -note, row.get(note, 0) - row.get(NONE, 0)) for row in points for note in self.pack.harm
        )
        return Harm(alarm, -loudest[1], loudest[0], loudest[2])

    def _points(self, text: str, features: Mapping[str, FeatureRow]) -> dict[int, int]:
        return linear_points(sides_of(tokenize(text)[:MOST_WORDS], features), features, self._bias)

    def explain(self, retrieval: Retrieval, note: int) -> ScoredNote:
        """Return the score of note number ``note`` with its reasons."""
        return explain(
            note,
            self.pack.note_ids[note],
            retrieval.terms,
            retrieval.rows,
            retrieval.scores,
            self.pack.fields,
            retrieval.words,
            retrieval.sides,
            retrieval.features,
            self._bias.get(note, 0) if retrieval.scores.model else 0,
        )
