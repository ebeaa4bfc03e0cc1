"""Learn the decision: from example questions held out of the index, then thresholds from the tune split."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from sklearn.linear_model import LogisticRegression
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler

from assistant.answering.retrieve import FEATURES, Retriever
from assistant.model import Corpus
from assistant.pack.compiler import compile_corpus
from assistant.pack.reader import Pack
from assistant.pack.settings import CompileSettings

__all__ = ["Sample", "held_out_samples", "learn_model"]

FOLDS = 5
UNCOVERED_SHARE = 0.25
"""Share of uncovered questions that the model is told to expect."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The signs of one question asked of notes that had not seen it, and how it came out."""

    features: tuple[int, ...]
    right: bool
    covered: bool


def held_out_samples(
    corpus: Corpus, settings: CompileSettings, progress: Callable[[str], None] = lambda _: None
) -> list[Sample]:
    """Ask every example question of a pack compiled without it and its fold."""
    samples: list[Sample] = []
    for fold in range(FOLDS):
        progress(f"fold {fold + 1} of {FOLDS}")
        kept = replace(
            corpus,
            notes=tuple(
                replace(note, examples=tuple(q for q in note.examples if _fold(q) != fold)) for note in corpus.notes
            ),
            uncovered=tuple(q for q in corpus.uncovered if _fold(q) != fold),
        )
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "fold.pack")
            compile_corpus(kept, settings, path)
            with Pack(path) as pack:
                samples += _ask(pack, _held(corpus, fold))
    return samples


def _held(corpus: Corpus, fold: int) -> Iterator[tuple[str, str]]:
    for note in corpus.notes:
        yield from ((note.id, question) for question in note.examples if _fold(question) == fold)
    yield from (("", question) for question in corpus.uncovered if _fold(question) == fold)


def _ask(pack: Pack, questions: Iterator[tuple[str, str]]) -> Iterator[Sample]:
    retriever = Retriever(pack)
    for note, question in questions:
        retrieval = retriever(question)
        first = [pack.note_ids[n] for n in retrieval.scores.order[:1]]
        yield Sample(retrieval.features, first == [note], bool(note))


def _fold(question: str) -> int:
    return int(hashlib.sha256(question.encode("utf-8")).hexdigest(), 16) % FOLDS


def learn_model(samples: Sequence[Sample], target: str) -> dict[str, Any]:
    """Return whole-number weights of a logistic model: log-odds in millionths from signs in thousandths.

    Parameters
    ----------
    target
        ``right`` (is the first note right?) or ``covered`` (does any note cover the question?).
    """
    x = np.array([sample.features for sample in samples], dtype=float) / 1000
    y = np.array([getattr(sample, target) for sample in samples])
    covered = np.array([sample.covered for sample in samples])
    odds = UNCOVERED_SHARE / (1 - UNCOVERED_SHARE)
    weight = np.where(covered, 1.0, odds * covered.sum() / max(1, (~covered).sum()))
    model = make_pipeline(StandardScaler(), LogisticRegression(C=1.0, max_iter=2000))
    model.fit(x, y, logisticregression__sample_weight=weight)
    scaler, logistic = model[0], model[1]
    slopes: npt.NDArray[np.float64] = logistic.coef_[0] / scaler.scale_
    bias = float(logistic.intercept_[0] - (slopes * scaler.mean_).sum())
    return {"bias": round(1e6 * bias), "weights": [round(1000 * float(slope)) for slope in slopes], "signs": list(FEATURES)}
