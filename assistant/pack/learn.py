"""What is learned from questions with scikit-learn: weights of terms, of turns of phrase, and kin notes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import permutations

from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.naive_bayes import MultinomialNB

from assistant.analysis.analyzer import term_pairs
from assistant.analysis.cues import CUE_CLASSES, NEW, cues
from assistant.pack.settings import CompileSettings
from assistant.ranking.documents import Documents
from assistant.ranking.score import NONE

__all__ = [
    "LEAST_PAIR_TEXTS",
    "cue_weights",
    "example_weights",
    "harm_weights",
    "kin_weights",
    "learned_weights",
    "turn_weights",
    "with_pairs",
]

_BEGUN_EVERY = 8
LEAST_PAIR_TEXTS = 2
"""A pair of terms counts that stands in so many texts."""
_LEAST_CUE_TEXTS = 2
_INVERSE_PENALTY = 30.0
_TOLERANCE = 1e-6
"""Gradient at which models of cues are taken as learned: at scikit-learn's 1e-4 four more questions move them by .4."""
Weights = dict[str, list[tuple[int, int]]]
CueModel = dict[str, tuple[int, int]]


def learned_weights(
    documents: Documents,
    passages: Sequence[Sequence[str]],
    examples: Sequence[Sequence[str]],
    number: Mapping[str, int],
    settings: CompileSettings,
) -> Weights:
    """Learn what each term and pair says for each note, one more class (`NONE`) being what nothing covers."""
    if not documents.examples or not settings.learned_points:
        return {}
    shape = with_pairs if settings.pairs else list
    texts = [shape(terms) for terms in (*passages, *examples)]
    owners = [number[d] for d, _ in documents.passages] + [number.get(d, NONE) for d, _ in documents.examples]
    return _class_weights(texts, owners, settings.alpha, settings.learned_points, _learned_vocabulary(texts))


def with_pairs(terms: Sequence[str]) -> list[str]:
    """Return the terms and their pairs, as the learned weights count them."""
    return [*terms, *term_pairs(terms)]


def _learned_vocabulary(texts: Sequence[Sequence[str]]) -> list[str]:
    """Return all terms, and those pairs that stand in two texts or more."""
    counts = Counter(term for terms in texts for term in set(terms))
    return sorted(term for term, count in counts.items() if count >= LEAST_PAIR_TEXTS or "_" not in term)


def _class_weights(
    texts: Sequence[Sequence[str]],
    owners: Sequence[int],
    alpha: float,
    points: float,
    vocabulary: Sequence[str] | None = None,
) -> Weights:
    """Return log P(term | class) above that of a term never seen with the class, times ``points``, rounded.

    Multinomial naive Bayes on sublinear TF-IDF, each class with the same mass of 1. Absent terms weigh 0, so that a sum
    over the terms of a question ranks as the full likelihood does.

    Source
    ------
    Manning, Raghavan and Schuetze, Introduction to Information Retrieval, 2008, section 13.2 (from memory).
    """
    vectorizer = TfidfVectorizer(analyzer=list, sublinear_tf=True, vocabulary=vocabulary)
    matrix = vectorizer.fit_transform(texts)
    mass: dict[int, float] = {}
    for owner, total in zip(owners, matrix.sum(axis=1).A1, strict=True):
        mass[owner] = mass.get(owner, 0.0) + float(total)
    model = MultinomialNB(alpha=alpha, fit_prior=False)
    model.fit(matrix, owners, sample_weight=[1 / mass[owner] if mass[owner] else 0 for owner in owners])
    names = vectorizer.get_feature_names_out()
    weights: Weights = {}
    for owner, seen in zip(model.classes_, model.feature_count_, strict=True):
        for column in seen.nonzero()[0]:
            value = round(points * math.log1p(float(seen[column]) / alpha))
            if value:
                weights.setdefault(str(names[column]), []).append((int(owner), value))
    return weights


def cue_weights(documents: Documents, settings: CompileSettings) -> dict[str, list[int]]:
    """Return for each cue one weight a class of turns, learned from the follow-up phrases as the note weights are.

    Questions with which reps begin stand for the class of turns that leave the note in hand.
    """
    if not documents.followups:
        return {}
    turns = [*documents.followups, *((NEW, question) for _, question in documents.examples[::_BEGUN_EVERY])]
    owners = [CUE_CLASSES.index(about) for about, _ in turns]
    learned = _class_weights([cues(phrase) for _, phrase in turns], owners, settings.cue_alpha, 100)
    return {cue: [dict(pairs).get(i, 0) for i in range(len(CUE_CLASSES))] for cue, pairs in learned.items()}


def example_weights(examples: Sequence[list[str]]) -> Weights:
    """Return the unit-length TF-IDF weights of every example question, in thousandths."""
    if not any(examples):
        return {}
    vectorizer = TfidfVectorizer(analyzer=list, sublinear_tf=True)
    matrix = vectorizer.fit_transform(examples).tocoo()
    names = vectorizer.get_feature_names_out()
    weights: Weights = {}
    for row, column, value in sorted(zip(matrix.row, matrix.col, matrix.data, strict=True)):
        points = round(1000 * float(value))
        if points:
            weights.setdefault(str(names[column]), []).append((int(row), points))
    return weights


def harm_weights(documents: Documents) -> CueModel:
    """Return a model of whether a question tells of harm.

    Learned from the example questions of the urgent notes and those that tell of harm in passing, against all others.
    """
    urgent = frozenset(documents.urgent)
    several = frozenset(question for _, question in documents.ambiguous)
    asked = [*(example for example in documents.examples if example[1] not in several), *documents.dangers]
    return _cue_model([question for _, question in asked], [note in urgent for note, _ in asked])


def turn_weights(documents: Documents) -> CueModel:
    """Return a model of whether a phrase goes on with the note in hand, against questions with which reps begin."""
    begun = dict.fromkeys(question for _, question in documents.examples)
    turns = [*((phrase, about != NEW) for about, phrase in documents.followups), *((text, False) for text in begun)]
    return _cue_model([text for text, _ in turns], [stays for _, stays in turns])


def _cue_model(texts: Sequence[str], classes: Sequence[bool]) -> CueModel:
    """Return cue -> (points, mass), in hundredths, of a logistic model on unit-length TF-IDF of the cues.

    The log-odds of a text are the sum of its points over the length of the vector of its masses, up to a bias. Both
    classes have the same mass.
    """
    found = [cues(text) for text in texts]
    counts = Counter(cue for text in found for cue in set(text))
    known = sorted(cue for cue, count in counts.items() if count >= _LEAST_CUE_TEXTS)
    if len(set(classes)) < len((True, False)) or not known:
        return {}
    vectorizer = TfidfVectorizer(analyzer=list, binary=True, vocabulary=known)
    matrix = vectorizer.fit_transform(found)
    model = LogisticRegression(
        C=_INVERSE_PENALTY, class_weight="balanced", solver="newton-cg", tol=_TOLERANCE, max_iter=2000
    )
    model.fit(matrix, classes)
    return {
        cue: (round(100 * float(slope * mass)), round(100 * float(mass)))
        for cue, slope, mass in zip(known, model.coef_[0], vectorizer.idf_, strict=True)
    }


def kin_weights(documents: Documents, number: Mapping[str, int]) -> list[tuple[int, int, int]]:
    """Return (note, other, weight): log1p, in thousandths, of how many questions fit both notes."""
    counts = Counter(pair for notes, _ in documents.ambiguous for pair in permutations(notes, 2))
    return sorted((number[a], number[b], round(1000 * math.log1p(count))) for (a, b), count in counts.items())
