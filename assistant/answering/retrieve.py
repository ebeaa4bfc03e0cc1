"""A question against an open pack: what was understood, the ranking, and how near harm comes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.analysis.analyzer import MOST_REPAIRED, MOST_WORDS, AnalysisSettings, ReadQuery, Stems, read_query
from assistant.analysis.features import sentences, word_features
from assistant.analysis.tokens import tokenize
from assistant.answering.alarm import rung
from assistant.errors import PackError
from assistant.model import ScoredNote
from assistant.pack.format import NOTES_MODEL
from assistant.pack.reader import Pack
from assistant.ranking.linear import FeatureRow, Side, WordRow, linear_points, runs_needed, sides_of
from assistant.ranking.postings import FEW, TermRow
from assistant.ranking.score import NONE, Scores, best_chunks, explain, first_of_sums, sum_up
from assistant.values import NamedTuple

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
    ``weighed`` are the rows of the words with their runs of letters; where there are none, ``features`` holds all runs.
    """

    query: ReadQuery
    terms: tuple[tuple[str, int], ...]
    rows: Mapping[str, TermRow]
    words: tuple[str, ...]
    features: Mapping[str, FeatureRow]
    sides: tuple[Side, ...]
    scores: Scores
    harm: Harm
    weighed: Mapping[str, WordRow] | None = None


class Retriever:
    """Reads and ranks questions against one pack.

    Parameters
    ----------
    pack
        An open pack; it must stay open as long as the retriever is used.
    first
        How many notes the order has to hold; all where it is left out. What it holds is the same.
    """

    def __init__(self, pack: Pack, first: int | None = None) -> None:
        self.pack = pack
        self._first = first
        try:
            self._settings = AnalysisSettings(**pack.analysis)
        except TypeError as error:
            raise PackError(f"{pack.path}:1: pack of another version: {error}; compile it again") from error
        self._stems = Stems(pack.language)
        self._bias = pack.bias(NOTES_MODEL)
        self._complete = len(self._bias.keys() - {NONE}) == pack.sizes[0]

    def __call__(self, question: str) -> Retrieval:
        """Read and rank one question."""
        query = read_query(question, self.pack, self._stems, self._settings)
        terms = tuple((term.term, term.weight) for term in query.terms[:_MOST_TERMS])
        rows = self.pack.term_rows(term for term, _ in terms)
        words, features, weighed, needed = self._features(_mended(tokenize(question, self.pack.language), query))
        sides = sides_of(words, features, weighed, needed)
        model = {} if all(side.empty for side in sides) else linear_points(sides, features, self._bias)
        scores = self._scores(terms, rows, model)
        harm = self._harm(question, query, features, weighed, model)
        return Retrieval(query, terms, rows, words, features, sides, scores, harm, weighed)

    def _scores(
        self, terms: Sequence[tuple[str, int]], rows: Mapping[str, TermRow], model: Mapping[int, int]
    ) -> Scores:
        share: int = self.pack.decision["bm25f_share"] if self._bias else 0
        pack, most = self.pack, self._first
        few = pack.sizes[1] <= FEW
        if most is None or share < 0 or (model and not self._complete) or (few and not model):
            return sum_up(best_chunks(terms, rows, pack.chunk_note), model, share)
        if few:
            return first_of_sums(terms, rows, pack.first_chunk, model, share, most)
        from assistant.ranking.front import first_scores

        return first_scores(terms, rows, pack.first_chunk, pack.longest, model, share, most)

    def _features(
        self, words: Sequence[str]
    ) -> tuple[tuple[str, ...], dict[str, FeatureRow], dict[str, WordRow] | None, dict[str, int]]:
        """Return the words that the model reads, its rows for them, and the runs of letters that need rows.

        Unknown words past the first few are left out.
        """
        if not self._bias:
            return (), {}, None, {}
        read = tuple(words)
        known = self.pack.feature_rows(NOTES_MODEL, dict.fromkeys(word_features(read)))
        strange = [word for word in dict.fromkeys(words) if word not in known][MOST_REPAIRED:]
        if strange:
            left_out = frozenset(strange)
            read = tuple(word for word in words if word not in left_out)
            kept = dict.fromkeys([*words, *word_features(read)])
            known = self.pack.feature_rows(NOTES_MODEL, kept)
        weighed = self.pack.word_rows(NOTES_MODEL, read)
        needed = runs_needed(read, weighed)
        return read, known | self.pack.feature_rows(NOTES_MODEL, needed), weighed, needed

    def _harm(
        self,
        question: str,
        query: ReadQuery,
        features: Mapping[str, FeatureRow],
        weighed: Mapping[str, WordRow] | None,
        whole: Mapping[int, int],
    ) -> Harm:
        language = self.pack.language
        told = sentences(question, language)
        words = [tokenize(sentence, language) for sentence in told]
        alarm = rung(words, self.pack, dict(query.repaired))
        harmful = self.pack.harm
        if not whole or not harmful:
            return Harm(alarm, None, 0, 0)
        points = [whole]
        if len(told) > 1:
            points = [self._points(_mended(each, query), features, weighed) for each in words]
        loudest = max(
            (row.get(note, 0), -note, row.get(note, 0) - row.get(NONE, 0)) for row in points for note in harmful
        )
        return Harm(alarm, -loudest[1], loudest[0], loudest[2])

    def _points(
        self, words: Sequence[str], features: Mapping[str, FeatureRow], weighed: Mapping[str, WordRow] | None
    ) -> dict[int, int]:
        """Return the points that a sentence brings the notes on harm and the class of no note."""
        needed: dict[str, int] | None = None
        if weighed is not None:
            whole = all(map(weighed.__contains__, words))
            needed = runs_needed(words if whole else list(weighed), weighed if whole else None)
            lacking = [run for run in needed if run not in features]
            if lacking:
                features = {**features, **self.pack.feature_rows(NOTES_MODEL, lacking)}
            if not whole:
                weighed = needed = None  # of a word that was left out the runs count that others have
        sides = sides_of(words, features, weighed, needed)
        return linear_points(sides, features, self._bias, (NONE, *self.pack.harm))

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
            retrieval.weighed,
        )


def _mended(words: Sequence[str], query: ReadQuery) -> list[str]:
    """Return the words that the model reads of those that were typed: slips as the words that they were taken for."""
    meant = dict(query.repaired)
    return [meant.get(word, word) for word in words[:MOST_WORDS]]
