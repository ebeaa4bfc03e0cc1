"""What questions mean, as rows: rare terms that two share, and notes that both come near."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from itertools import chain
from typing import Any, NamedTuple

import numpy as np

from assistant.analysis.analyzer import MOST_WORDS, AnalysisSettings, Stems, read_query
from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.answering.assistant import MAX_QUESTION
from assistant.answering.spread import ask_all
from assistant.pack.format import NOTES_MODEL
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent
from assistant.ranking.linear import UNIT, FeatureRow

__all__ = ["Rows", "rows_of", "rows_of_terms"]

_OF_TERMS, _OF_NOTES = 0.65, 0.35
"""Shares of the cosine; chosen, as all here, on questions of notes that were left out of the pack."""
_FEW = 10
"""So many texts of no note are reckoned in with what is usual, so that few texts are not told apart by chance."""
_AT_A_TIME = 4096


class Rows(NamedTuple):
    """A row of length 1 for every text, in two parts: sparse ``terms``, and ``notes`` with a column a note."""

    terms: Any
    notes: Any

    def at(self, places: Any) -> Rows:
        """Return the rows at some places."""
        return Rows(self.terms[places], self.notes[places])

    def times(self, other: Rows) -> Any:
        """Return the product of each row with each row of the other."""
        product = self.notes @ other.notes.T
        product += (self.terms @ other.terms.T).toarray()
        return product


def rows_of(texts: Sequence[str], pack: Pack, progress: Progress = silent) -> Rows:
    """Return a row for each text, as the pack reads it.

    Two texts are alike where they share terms that few of the texts have, after slips were repaired and with the terms
    of the vocabulary, or where the same notes have more points for them than for most. A row takes 4 bytes a note.
    """
    terms = ask_all(pack, _begin_reading, texts, progress, f"reading {len(texts)} questions")
    return rows_of_terms(terms, _notes(texts, pack))


def rows_of_terms(terms: Sequence[Sequence[str]], notes: Any) -> Rows:
    """Return the rows of texts that hold these terms and come near these notes: rows of length 1, or of zeros."""
    from scipy.sparse import diags
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.preprocessing import normalize

    weigh = TfidfVectorizer(analyzer=set, norm=None)
    by_terms = normalize(weigh.fit_transform(terms) @ diags(weigh.idf_))
    held = np.asarray(notes).any(axis=1)
    of_terms = np.where(held, _OF_TERMS, 1.0) ** 0.5
    return Rows((diags(of_terms) @ by_terms).tocsr().astype(np.float32), np.float32(_OF_NOTES**0.5) * notes)


def _begin_reading(pack: Pack) -> Callable[[str], list[str]]:
    stems, settings = Stems(), AnalysisSettings(**pack.analysis)

    def terms(text: str) -> list[str]:
        found = [term.term for term in read_query(text[:MAX_QUESTION], pack, stems, settings).terms]
        return found or [f" {text}"]

    return terms


def _notes(texts: Sequence[str], pack: Pack) -> Any:
    """Return how many points more than for most texts each note has, as rows of length 1 or 0.

    A note that the text's own words do not speak for has none, so that what nothing is known of is not alike.
    """
    from sklearn.preprocessing import normalize

    classes = sorted(pack.bias(NOTES_MODEL))
    found = np.zeros((len(texts), len(classes)), dtype=np.float32)
    sides = _sides(texts)
    rows = pack.feature_rows(NOTES_MODEL, dict.fromkeys(one for pair in sides for side in pair for one in side))
    if not rows:
        return found
    places = {feature: place for place, feature in enumerate(rows)}
    idf = np.array([row.idf for row in rows.values()], dtype=np.float32) / UNIT
    features = sum(normalize(_counted((pair[side] for pair in sides), places, idf)) for side in (0, 1))
    weights = _weights(tuple(rows.values()), classes)
    usual = np.maximum(np.asarray(features.sum(axis=0) @ weights).ravel() / (len(texts) + _FEW), 0)
    for start in range(0, len(texts), _AT_A_TIME):
        block = slice(start, start + _AT_A_TIME)
        found[block] = normalize(np.clip((features[block] @ weights).toarray() - usual, 0, None))
    return found


def _sides(texts: Sequence[str]) -> list[tuple[list[str], list[str]]]:
    """Return words with their pairs, and runs of letters, of each text."""
    runs = cache(grams)
    found = []
    for text in texts:
        words = tokenize(text[:MAX_QUESTION])[:MOST_WORDS]
        found.append((word_features(words), [run for word in words for run in runs(word)]))
    return found


def _weights(rows: Sequence[FeatureRow], classes: Sequence[int]) -> Any:
    """Return the weights of each feature for every class, as a sparse row."""
    from scipy.sparse import csr_matrix

    starts = np.cumsum([0, *(len(row.classes) for row in rows)])
    columns = np.searchsorted(classes, np.fromiter(chain.from_iterable(row.classes for row in rows), int))
    weights = np.fromiter(chain.from_iterable(row.weights for row in rows), np.float32) / UNIT
    return csr_matrix((weights, columns, starts), shape=(len(rows), len(classes)))


def _counted(sides: Iterable[list[str]], places: dict[str, int], idf: Any) -> Any:
    """Return the sublinear TF-IDF of each side's known features."""
    from scipy.sparse import csr_matrix

    starts = [0]
    columns: list[int] = []
    counts: list[int] = []
    for side in sides:
        known = Counter(places[feature] for feature in side if feature in places)
        columns += known.keys()
        counts += known.values()
        starts.append(len(columns))
    at = np.array(columns, dtype=np.int32)
    values = (1 + np.log(np.array(counts, dtype=np.float32))) * idf[at]
    return csr_matrix((values, at, starts), shape=(len(starts) - 1, len(places)))
