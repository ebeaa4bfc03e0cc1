"""Learn the decision: models from example questions held out of the index, thresholds from the tune split."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from sklearn.linear_model import LogisticRegression
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler

from assistant.analysis.cues import NEW
from assistant.analysis.tokens import tokenize
from assistant.answering.assistant import ASKED_AT_ONCE
from assistant.answering.converse import TURN_SIGNS, read_turn, turn_signs
from assistant.answering.decide import logit
from assistant.answering.retrieve import FEATURES, Retriever
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.run import any_note, decided, right_first, talk_turns
from assistant.model import Corpus
from assistant.pack.compiler import compile_corpus
from assistant.pack.reader import Pack
from assistant.pack.settings import CompileSettings, settings_from_json

__all__ = ["Sample", "fold_of", "held_out_samples", "learn_model", "tune", "without_fold"]

FOLDS = 5
UNCOVERED_SHARE = 0.25
"""Share of uncovered questions that the model is told to expect."""
MOST_FALSE_ANSWERS = 0.07
"""Share of uncovered questions that may be answered outright."""
SHORT_TURN = 10
"""Words up to which an example question serves as a turn that begins a new topic."""
_MILLION = 1_000_000
_BEGUN_WEIGHT = 0.5
_FIRST_WEIGHT = 0.2
Progress = Callable[[str], None]
Samples = tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_], npt.NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Sample:
    """The signs of one question asked of notes that had not seen it, and how it came out."""

    features: tuple[int, ...]
    right: bool
    covered: bool


def tune(
    corpus: Corpus,
    settings_text: str,
    questions: Sequence[LabelledQuestion],
    talks: Sequence[Talk],
    progress: Progress = lambda _: None,
    *,
    models: bool = True,
) -> str:
    """Return the settings file with its decision learned anew.

    Parameters
    ----------
    settings_text
        The present ``settings.json``; all but its decision is kept.
    questions, talks
        The tune split alone.
    models
        Learn the models too, and not only the bars.
    """
    data = json.loads(settings_text)
    settings = settings_from_json(settings_text)
    decision = dict(data["decision"])
    if models:
        samples = held_out_samples(corpus, settings, progress)
        decision["right"] = learn_model(samples, "right")
        decision["covered"] = learn_model(samples, "covered")
        progress("learning turns")
        decision["turn"] = _learn_turns(corpus, settings, decision)
    progress("choosing thresholds")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "tune.pack")
        compile_corpus(corpus, replace(settings, decision=decision), path)
        with Pack(path) as pack:
            for choose in (_best_danger, _best_thresholds, _best_danger, _best_thresholds):
                pack.decision.update(choose(pack, questions))
            pack.decision.update(_best_turns(pack, talks, questions))
            data["decision"] = {**pack.decision, "labelled": len(questions)}
    return json.dumps(data, indent=2) + "\n"


def held_out_samples(corpus: Corpus, settings: CompileSettings, progress: Progress = lambda _: None) -> list[Sample]:
    """Ask every example question of a pack compiled without it and its fold."""
    samples: list[Sample] = []
    for fold in range(FOLDS):
        progress(f"asking fold {fold + 1} of {FOLDS}")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "fold.pack")
            compile_corpus(without_fold(corpus, fold), settings, path)
            with Pack(path) as pack:
                samples += _ask(pack, _held(corpus, fold))
    return samples


def without_fold(corpus: Corpus, fold: int) -> Corpus:
    """Return the corpus without the example questions, uncovered questions and phrases of one fold."""
    return corpus._replace(
        notes=tuple(
            note._replace(examples=tuple(e for e in note.examples if fold_of(e.question) != fold))
            for note in corpus.notes
        ),
        uncovered=tuple(q for q in corpus.uncovered if fold_of(q) != fold),
        dangers=tuple((note, question) for note, question in corpus.dangers if fold_of(question) != fold),
        followups=tuple((about, phrase) for about, phrase in corpus.followups if fold_of(phrase) != fold),
    )


def _held(corpus: Corpus, fold: int) -> Iterator[tuple[str, str]]:
    for note in corpus.notes:
        yield from ((note.id, e.question) for e in note.examples if fold_of(e.question) == fold)
    yield from (("", question) for question in corpus.uncovered if fold_of(question) == fold)


def _ask(pack: Pack, questions: Iterator[tuple[str, str]]) -> Iterator[Sample]:
    retriever = Retriever(pack)
    for note, question in questions:
        retrieval = retriever(question)
        first = [pack.note_ids[n] for n in retrieval.scores.order[:1]]
        yield Sample(retrieval.features, first == [note], bool(note))


def fold_of(question: str) -> int:
    """Return the fold of a text: by its hash, so that it is the same on every machine."""
    return int(hashlib.sha256(question.encode("utf-8")).hexdigest(), 16) % FOLDS


def learn_model(samples: Sequence[Sample], target: str) -> dict[str, Any]:
    """Return whole-number weights of a logistic model: log-odds in millionths from signs in thousandths.

    Parameters
    ----------
    target
        ``right`` (is the first note right?) or ``covered`` (does any note cover the question?).
    """
    x = np.array([sample.features for sample in samples], dtype=float)
    y = np.array([getattr(sample, target) for sample in samples])
    covered = np.array([sample.covered for sample in samples])
    odds = UNCOVERED_SHARE / (1 - UNCOVERED_SHARE)
    weight = np.where(covered, 1.0, odds * covered.sum() / max(1, (~covered).sum()))
    return _fit(x, y, weight, FEATURES)


def _fit(
    x: npt.NDArray[np.float64], y: npt.NDArray[np.bool_], weight: npt.NDArray[np.float64], signs: Sequence[str]
) -> dict[str, Any]:
    model = make_pipeline(StandardScaler(), LogisticRegression(C=1.0, max_iter=2000))
    model.fit(x, y, logisticregression__sample_weight=weight)
    scaler, logistic = model[0], model[1]
    slopes = logistic.coef_[0] / scaler.scale_
    bias = float(logistic.intercept_[0] - (slopes * scaler.mean_).sum())
    return {
        "signs": list(signs),
        "bias": round(_MILLION * bias),
        "weights": [round(_MILLION * float(slope)) for slope in slopes],
    }


def _learn_turns(corpus: Corpus, settings: CompileSettings, decision: dict[str, Any]) -> dict[str, Any]:
    """Learn to tell turns on the note in hand from new topics, on phrases held out of the pack.

    Where a follow-up names a trouble that the notes cover, the note in hand is the one on that trouble. Else any note
    is: which one is drawn by the hash of the phrase, so that it is the same each time.
    """
    rows: list[tuple[int, ...]] = []
    target: list[bool] = []
    held = without_fold(corpus, 0)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "turns.pack")
        compile_corpus(held, replace(settings, decision=decision), path)
        with Pack(path) as pack:
            retriever = Retriever(pack)
            for stays, note, phrase in _turn_phrases(corpus):
                retrieval = retriever(phrase)
                in_hand = any_note(phrase, len(pack.note_ids))
                if stays and logit(retrieval.features, decision["covered"]) > 0 and retrieval.scores.order:
                    in_hand = retrieval.scores.order[0]
                if pack.note_ids[in_hand] == note:
                    continue
                rows.append(turn_signs(read_turn(phrase, pack), retrieval, in_hand, decision))
                target.append(stays)
    y = np.array(target)
    weight = np.where(y, 0.5 / max(1, y.sum()), 0.5 / max(1, (~y).sum())) * len(y)
    return _fit(np.array(rows, dtype=float), y, weight, TURN_SIGNS)


def _turn_phrases(corpus: Corpus) -> Iterator[tuple[bool, str, str]]:
    for about, phrase in corpus.followups:
        if fold_of(phrase) == 0:
            yield about != NEW, "", phrase
    yield from ((False, notes[0], question) for notes, question in corpus.ambiguous if fold_of(question) == 0)
    yield from (
        (False, "", question)
        for question in corpus.uncovered
        if fold_of(question) == 0 and len(tokenize(question)) <= SHORT_TURN
    )
    for note in corpus.notes:
        for example in note.examples:
            if fold_of(example.question) == 0 and len(tokenize(example.question)) <= SHORT_TURN:
                yield False, note.id, example.question


def _best_thresholds(pack: Pack, questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for answering, choosing and saying no.

    The bars for answering are those with the highest (right - 2 wrong) on answerable questions among those that answer
    at most `MOST_FALSE_ANSWERS` of the uncovered ones; the bar for saying no is the one that says it to most uncovered
    questions, a wrong no counting thrice.
    """
    retriever = Retriever(pack)
    retrievals = [retriever(q.question) for q in questions]
    best: tuple[float, dict[str, int]] | None = None
    pack.decision.update({"none_below": 0})
    for answer, covered in product(range(-500_000, 2_500_001, 125_000), range(0, 2_000_001, 250_000)):
        trial = {"answer_at": answer, "answer_covered_at": covered}
        pack.decision.update(trial)
        found = decided(pack, questions, retrievals)
        told = [o for o in found if o.question.manner in ANSWERABLE and o.decision == "answer"]
        none = [o for o in found if o.question.manner == "uncovered"]
        if sum(o.decision == "answer" for o in none) > MOST_FALSE_ANSWERS * len(none):
            continue
        right = sum(map(right_first, told))
        value = right - 2.0 * (len(told) - right)
        if best is None or value > best[0]:
            best = (value, trial)
    pack.decision.update(best[1] if best else {})
    refusal: tuple[float, dict[str, int]] | None = None
    for none_below, share in product(
        range(-2_000_000, pack.decision["answer_covered_at"] + 1, 125_000), (300, 400, 500)
    ):
        trial = {"none_below": none_below, "choose_share": share}
        pack.decision.update(trial)
        found = decided(pack, questions, retrievals)
        said = [o.question.manner == "uncovered" for o in found if o.decision == "none"]
        fitting = [o for o in found if o.question.manner == "ambiguous"]
        offered = sum(len(set(o.offered) & set(o.question.notes)) > 1 and o.decision != "none" for o in fitting)
        value = sum(said) - 3.0 * (len(said) - sum(said)) + offered
        if refusal is None or value > refusal[0]:
            refusal = (value, trial)
    return {**(best[1] if best else {}), **(refusal[1] if refusal else {})}


def _best_danger(pack: Pack, questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for putting a safety note first: a missed danger weighs as much as three false alarms.

    Of bars that do equally well the strictest is taken.
    """
    retriever = Retriever(pack)
    told = [q for q in questions if q.manner in (*ANSWERABLE, "uncovered")]
    retrievals = [retriever(q.question) for q in told]
    best: tuple[int, dict[str, int]] | None = None
    for at, share, covered in product(
        range(1500, -501, -250), range(1000, 499, -50), range(3 * _MILLION, -1, -_MILLION // 2)
    ):
        trial = {"danger_at": at, "danger_share": share, "danger_covered_at": covered}
        pack.decision.update(trial)
        found = decided(pack, told, retrievals)
        hits = sum(o.order[0][0] == o.question.danger for o in found if o.question.danger and o.order)
        alarms = sum(
            o.safety_first and not set(o.offered[:1]) & set(o.question.notes) for o in found if not o.question.danger
        )
        value = 3 * hits - alarms
        if best is None or value > best[0]:
            best = (value, trial)
    return best[1] if best else {}


def _best_turns(pack: Pack, talks: Sequence[Talk], questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for turns: right turns of the talks, and questions that must not be taken for turns.

    Every labelled question is also asked with a note in hand that has nothing to do with it, and must leave that
    note; and an answerable one, asked first, mostly wants the procedure.
    """
    retriever = Retriever(pack)
    begun = []
    for question in questions:
        in_hand = any_note(question.question, len(pack.note_ids))
        if pack.note_ids[in_hand] not in question.notes:
            turn = read_turn(question.question, pack)
            signs = turn_signs(turn, retriever(question.question), in_hand, pack.decision)
            begun.append(logit(signs, pack.decision["turn"]))
    first_turns = [read_turn(q.question, pack) for q in questions if q.manner in ANSWERABLE]
    best: tuple[float, dict[str, int]] | None = None
    for at, first, danger in product(
        range(-3 * _MILLION, 2 * _MILLION + 1, _MILLION // 2), range(0, 301, 50), (600, 300, 0)
    ):
        trial = {"turn_at": at, "turn_first": first, "turn_danger_at": danger}
        pack.decision.update(trial)
        right = sum(row.right for row in talk_turns(pack, talks))
        left = sum(value < at for value in begun)
        plain = sum(turn.margin < first or turn.about not in ASKED_AT_ONCE for turn in first_turns)
        value = right + _BEGUN_WEIGHT * left + _FIRST_WEIGHT * plain
        if best is None or value > best[0]:
            best = (value, trial)
    return best[1] if best else {}
