"""Learn the decision: models from example questions held out of the index, thresholds from the tune split."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
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
from assistant.answering.assistant import ASKED_AT_ONCE, Assistant
from assistant.answering.converse import TURN_SIGNS, read_turn, turn_signs
from assistant.answering.decide import DANGER_SIGNS, danger_signs, logit
from assistant.answering.retrieve import FEATURES, Retrieval, Retriever
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.run import any_note, decided, right_first, talk_turns
from assistant.model import Corpus
from assistant.pack.compiler import compile_corpus
from assistant.pack.reader import Pack
from assistant.pack.settings import CompileSettings, settings_from_json
from assistant.progress import Progress, counted, silent

__all__ = [
    "Sample",
    "fold_of",
    "held_out_samples",
    "learn_danger",
    "learn_model",
    "learn_vague",
    "tune",
    "without_fold",
]

FOLDS = 5
UNCOVERED_SHARE = 0.25
"""Share of uncovered questions that the model is told to expect."""
MOST_FALSE_ANSWERS = 0.07
"""Share of uncovered questions that may be answered outright."""
SHORT_TURN = 10
"""Words up to which an example question serves as a turn that begins a new topic."""
_MILLION = 1_000_000
_BEGUN_WEIGHT = 0.4
_FIRST_WEIGHT = 0.2
_MISSED_DANGER = 3
_WRONG_NO = 3.0
_VAGUE_AGAIN = 2
"""So many times more than others a question that fits several notes counts where the program learns when to say no."""
Samples = tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_], npt.NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Sample:
    """One question asked of notes that had not seen it, and how it came out.

    ``vague`` questions fit several notes; ``harm`` tells that one on harm must be first, ``passing`` that the question
    tells of harm in passing; ``safety`` are the numbers of the notes on harm.
    """

    retrieval: Retrieval
    right: bool
    covered: bool
    vague: bool
    harm: bool
    passing: bool
    safety: Sequence[int]

    @property
    def features(self) -> tuple[int, ...]:
        """The signs of the retrieval."""
        return self.retrieval.features


def tune(
    corpus: Corpus,
    settings_text: str,
    questions: Sequence[LabelledQuestion],
    talks: Sequence[Talk],
    progress: Progress = silent,
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
        plain = [sample for sample in samples if not (sample.vague or sample.passing)]
        decision["right"] = learn_model(plain, "right")
        decision["covered"] = learn_model([sample for sample in samples if not sample.vague], "covered")
        decision["fits"] = learn_model([*samples, *_VAGUE_AGAIN * [s for s in samples if s.vague]], "covered")
        decision["vague"] = learn_vague(samples)
        decision["danger"] = learn_danger(samples, decision)
        progress("learning turns")
        decision["turn"] = _learn_turns(corpus, settings, decision)
    progress("choosing thresholds")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "tune.pack")
        compile_corpus(corpus, replace(settings, decision=decision), path)
        with Pack(path) as pack:
            pack.decision.update(_best_danger(pack, questions))
            pack.decision.update(_best_thresholds(pack, [*questions, *_first_turns(talks)]))
            pack.decision.update(_best_turns(pack, talks, questions))
            data["decision"] = {**pack.decision, "labelled": len(questions)}
    return json.dumps(data, indent=2) + "\n"


def held_out_samples(corpus: Corpus, settings: CompileSettings, progress: Progress = silent) -> list[Sample]:
    """Ask every example question of a pack compiled without it and its fold."""
    samples: list[Sample] = []
    for fold in range(FOLDS):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "fold.pack")
            compile_corpus(without_fold(corpus, fold), settings, path)
            with Pack(path) as pack:
                held = counted(list(_held(corpus, fold)), progress, f"asking fold {fold + 1} of {FOLDS}")
                samples += _ask(pack, held)
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
        ambiguous=tuple((notes, question) for notes, question in corpus.ambiguous if fold_of(question) != fold),
        followups=tuple((about, phrase) for about, phrase in corpus.followups if fold_of(phrase) != fold),
    )


def _held(corpus: Corpus, fold: int) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """Yield (kind, notes, question) of what is held out with one fold."""
    for note in corpus.notes:
        yield from (("example", (note.id,), e.question) for e in note.examples if fold_of(e.question) == fold)
    yield from (("example", (), question) for question in corpus.uncovered if fold_of(question) == fold)
    yield from (("passing", (note,), question) for note, question in corpus.dangers if fold_of(question) == fold)
    yield from (("vague", notes, question) for notes, question in corpus.ambiguous if fold_of(question) == fold)


def _ask(pack: Pack, questions: Iterator[tuple[str, tuple[str, ...], str]]) -> Iterator[Sample]:
    retriever = Retriever(pack)
    harmful = {pack.note_ids[n] for n in pack.urgent}
    for kind, notes, question in questions:
        retrieval = retriever(question)
        first = [pack.note_ids[n] for n in retrieval.scores.order[:1]]
        yield Sample(
            retrieval,
            right=first == list(notes[:1]),
            covered=bool(notes),
            vague=kind == "vague",
            harm=kind != "vague" and bool(harmful & set(notes)),
            passing=kind == "passing",
            safety=pack.urgent,
        )


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


def learn_vague(samples: Sequence[Sample]) -> dict[str, Any]:
    """Return a model of whether a covered question fits several notes; both kinds with the same mass."""
    judged = [sample for sample in samples if sample.vague or (sample.covered and sample.right)]
    return _fit_balanced([sample.features for sample in judged], [sample.vague for sample in judged], FEATURES)


def learn_danger(samples: Sequence[Sample], decision: dict[str, Any]) -> dict[str, Any]:
    """Return a model of whether a question tells of harm; both kinds with the same mass."""
    judged = [sample for sample in samples if not sample.vague]
    right, covered = decision["right"], decision["covered"]
    signs = [danger_signs(s.retrieval, logit(s.features, right), logit(s.features, covered), s.safety) for s in judged]
    return _fit_balanced(signs, [sample.harm for sample in judged], DANGER_SIGNS)


def _fit_balanced(rows: Sequence[tuple[int, ...]], target: Sequence[bool], signs: Sequence[str]) -> dict[str, Any]:
    y = np.array(target)
    weight = np.where(y, 0.5 / max(1, y.sum()), 0.5 / max(1, (~y).sum())) * len(y)
    return _fit(np.array(rows, dtype=float), y, weight, signs)


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
    return _fit_balanced(rows, target, TURN_SIGNS)


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

    The bars for answering are those with the highest (right - 2 wrong) on answerable questions, an ambiguous one that
    is answered outright counting a quarter of a wrong one, among those that answer at most `MOST_FALSE_ANSWERS` of the
    uncovered ones; the bar for saying no is the one that says it to most uncovered questions, a wrong no counting
    thrice.
    """
    retriever = Retriever(pack)
    retrievals = [retriever(q.question) for q in questions]
    pack.decision.update(_answer_bars(pack, questions, retrievals))
    best = {name: pack.decision[name] for name in ("answer_at", "answer_covered_at", "vague_at")}
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
        value = sum(said) - _WRONG_NO * (len(said) - sum(said)) + offered
        if refusal is None or value > refusal[0]:
            refusal = (value, trial)
    return {**best, **(refusal[1] if refusal else {})}


def _first_turns(talks: Sequence[Talk]) -> list[LabelledQuestion]:
    """Return the first turns of the talks as questions: mostly short, and yet to be answered outright."""
    return [
        LabelledQuestion(f"{talk.id}-1", talk.turns[0].question, "plain", talk.turns[0].notes, talk.split, "")
        for talk in talks
    ]


def _answer_bars(pack: Pack, questions: Sequence[LabelledQuestion], retrievals: Sequence[Retrieval]) -> dict[str, int]:
    models = [pack.decision[name] for name in ("right", "covered", "vague")]
    signs = np.array([[logit(r.features, model) for model in models] for r in retrievals])
    found = decided(pack, questions, retrievals)
    settled = np.array([o.safety_first for o in found])
    good = np.array([right_first(o) for o in found])
    manner = np.array([q.manner for q in questions])
    answerable, uncovered, ambiguous = np.isin(manner, ANSWERABLE), manner == "uncovered", manner == "ambiguous"
    best: tuple[float, dict[str, int]] | None = None
    for at, covered, vague in product(
        range(-500_000, 2_500_001, 125_000), range(-500_000, 2_000_001, 250_000), range(-1_000_000, 4_000_001, 250_000)
    ):
        answered = settled | ((signs[:, 0] >= at) & (signs[:, 1] >= covered) & (signs[:, 2] < vague))
        if (answered & uncovered).sum() > MOST_FALSE_ANSWERS * uncovered.sum():
            continue
        told = answered & answerable
        value = float((told & good).sum() - 2 * (told & ~good).sum() - (answered & ambiguous).sum() / 2)
        if best is None or value > best[0]:
            best = (value, {"answer_at": at, "answer_covered_at": covered, "vague_at": vague})
    return best[1] if best else {}


def _best_danger(pack: Pack, questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for putting a safety note first, and second.

    First: a missed danger weighs as much as three false alarms. Second: whatever brings most right safety notes under
    the first three. Of bars that do equally well the strictest is taken.
    """
    retriever = Retriever(pack)
    told = [q for q in questions if q.manner in (*ANSWERABLE, "uncovered")]
    retrievals = [retriever(q.question) for q in told]
    best: tuple[int, int] | None = None
    for at in range(4 * _MILLION, -2 * _MILLION - 1, -_MILLION // 8):
        pack.decision["danger_at"] = at
        found = decided(pack, told, retrievals)
        hits = sum(o.order[0][0] == o.question.danger for o in found if o.question.danger and o.order)
        alarms = sum(
            o.safety_first and not set(o.offered[:1]) & set(o.question.notes) for o in found if not o.question.danger
        )
        value = _MISSED_DANGER * hits - alarms
        if best is None or value > best[0]:
            best = (value, at)
    pack.decision["danger_at"] = best[1] if best else 4 * _MILLION
    second: tuple[int, int] | None = None
    for at in range(pack.decision["danger_at"], -2 * _MILLION - 1, -_MILLION // 4):
        pack.decision["danger_mention_at"] = at
        shown = [(o.question.danger, o.offered[:3]) for o in decided(pack, told, retrievals)]
        value = sum(danger in offered for danger, offered in shown if danger)
        if second is None or value > second[0]:
            second = (value, at)
    return {"danger_at": pack.decision["danger_at"], "danger_mention_at": second[1] if second else 0}


def _best_turns(pack: Pack, talks: Sequence[Talk], questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for turns: right turns of the talks, and questions that must not be taken for turns.

    Every labelled question is also asked with a note in hand that has nothing to do with it, and must leave that
    note; and an answerable one, asked first, mostly wants the procedure.
    """
    retriever = cache(Retriever(pack))
    assistant = Assistant(pack, retriever)
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
        range(-2 * _MILLION, 2 * _MILLION + 1, _MILLION // 4), range(0, 121, 15), (_MILLION, 2 * _MILLION, 3 * _MILLION)
    ):
        trial = {"turn_at": at, "turn_first": first, "turn_danger_at": danger}
        pack.decision.update(trial)
        right = sum(row.right for row in talk_turns(assistant, talks))
        left = sum(value < at for value in begun)
        plain = sum(turn.margin < first or turn.about not in ASKED_AT_ONCE for turn in first_turns)
        value = right + _BEGUN_WEIGHT * left + _FIRST_WEIGHT * plain
        if best is None or value > best[0]:
            best = (value, trial)
    return best[1] if best else {}
