"""Choose the bars of the decision and state probabilities: on the tune split, and on its questions of left-out notes.

Whole notes are left out of the model, fold by fold, so that their questions are as unknown as what no note covers.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from assistant.answering.assistant import Assistant
from assistant.answering.converse import leaves, read_turn
from assistant.answering.decide import Margins, margins_of
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import CompileSettings, settings_from_json
from assistant.errors import UsageError
from assistant.evaluation.enough import FEWEST_OF_A_KIND, PARTS, is_judged, lacking_labels, tells_of_harm
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.run import any_note, decided, talk_turns
from assistant.evaluation.stating import table_of
from assistant.model import Corpus
from assistant.pack.reader import Pack
from assistant.progress import Progress, counted, silent

__all__ = ["Asked", "Tuned", "asked_of", "fold_of", "left_out", "tune", "without_fold"]

FOLDS = 5
MOST_LEFT_OUT = 0.145
"""Share of the questions of left-out notes that may be answered outright."""
MOST_UNCOVERED = 0.035
"""Share of the uncovered questions that may be answered outright."""
_STATED = ("right", "covered")
"""The parts of the decision that state a probability."""
_WRONG = 2.0
MOST_FALSE_ALARMS = 0.003
"""Share of the questions that tell of no harm which may get a note on harm first."""
_REFUSED_COST = 3.0
_NEARER = 300
_HIGHEST = 800
_OFFERED = {"points": -600, "over_none": -1000}
"""A note on harm that stands so high in any sentence is offered where nothing else would be: on tune this reaches 16 of
the 17 cries that hold no alarm word, and asks which in 13 of 596 uncovered questions."""
_TURNS = {"lead_share": 500, "leave_at": -100, "own_at": -500, "asked_at": 1000, "sure_at": 900}
_TURN_VALUES = (
    ("lead_share", (300, 500, 700)),
    ("leave_at", (-400, -300, -200, -100, 0, 100, 200)),
    ("own_at", (-1500, -1000, -700, -300)),
    ("asked_at", (500, 800, 1200, 1500)),
    ("lead_share", (200, 400, 600, 800)),
)
"""Bars of turns are chosen one after the other, from these."""


class Tuned(NamedTuple):
    """A settings file chosen anew, and for each part of the decision that stays as it was what it lacks."""

    text: str
    lacking: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """One question and how its ranking came out: ``right`` that the first note is, ``covered`` that any note does."""

    question: LabelledQuestion
    margins: Margins
    right: bool
    covered: bool
    left_out: bool


def tune(
    corpus: Corpus,
    settings_text: str,
    questions: Sequence[LabelledQuestion],
    talks: Sequence[Talk],
    progress: Progress = silent,
    *,
    stated_alone: bool = False,
) -> Tuned:
    """Choose the bars and stated probabilities of the decision anew, each part for which there are labels enough.

    Probabilities are stated as they came true on the tune questions, so that they hold where as many are covered.

    Parameters
    ----------
    settings_text
        The present ``settings.json``; all but its decision is kept, and of that each part which has too few labels.
    questions, talks
        The tune split alone.
    stated_alone
        The bars stay, and with them every decision.
    """
    lacking = lacking_labels(corpus, questions, talks)
    if stated_alone:
        lacking = {part: what for part, what in lacking.items() if part == "bars"}
    if len(lacking) == (1 if stated_alone else len(PARTS)):
        return Tuned(settings_text, tuple(lacking.values()))
    data = json.loads(settings_text)
    settings = settings_from_json(settings_text)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "tune.pack")
        progress("compiling")
        compile_corpus(corpus, settings, path)
        with Pack(path) as pack:
            pack.decision.update(data["decision"])
            if stated_alone:
                lacking |= _state(pack, asked_of(pack, questions, progress))
                data["decision"] = pack.decision
            else:
                lacking |= _choose(pack, corpus, settings, questions, talks, lacking.keys(), progress)
                data["decision"] = {**pack.decision, "labelled": len(questions)}
    if stated_alone and len(lacking) == len(_STATED):
        return Tuned(settings_text, tuple(lacking.values()))
    return Tuned(json.dumps(data, indent=1) + "\n", tuple(lacking.values()))


def _choose(
    pack: Pack,
    corpus: Corpus,
    settings: CompileSettings,
    questions: Sequence[LabelledQuestion],
    talks: Sequence[Talk],
    lacking: Set[str],
    progress: Progress,
) -> dict[str, str]:
    """Put what is chosen into the decision of the pack, and return what only asking has shown to be lacking."""
    found: dict[str, str] = {}
    retrievals = _retrievals(pack, questions, progress)
    if "bars" not in lacking:
        asked = list(_asked(pack, questions, retrievals))
        unknown = left_out(corpus, settings, questions, progress)
        progress("choosing bars")
        try:
            pack.decision["bars"] = _best_bars([*asked, *unknown])
        except UsageError as error:
            found["bars"] = str(error)
        found |= _state(pack, asked)
    if "harm" not in lacking:
        pack.decision.update(_best_harm(pack, questions, retrievals))
    if "refusal" not in lacking:
        pack.decision.update(_best_refusal(pack, questions, retrievals))
    if "turn" not in lacking:
        progress("choosing bars of turns")
        pack.decision["turn"] = _best_turns(pack, talks, questions)
    return found


def _state(pack: Pack, asked: Sequence[Asked]) -> dict[str, str]:
    """Put what is stated into the decision of the pack, and return what is lacking for it."""
    found: dict[str, str] = {}
    for target in _STATED:
        stated = table_of([row.margins for row in asked], [getattr(row, target) for row in asked])
        if stated is None:
            found[target] = f"the probabilities of '{target}' need {FEWEST_OF_A_KIND} questions of each kind"
        else:
            pack.decision[target] = stated
    return found


def fold_of(text: str) -> int:
    """Return the fold of a note's id: by its hash, so that it is the same on every machine."""
    return int(hashlib.sha256(text.encode("utf-8")).hexdigest(), 16) % FOLDS


def without_fold(corpus: Corpus, fold: int) -> Corpus:
    """Return the corpus without the notes of one fold, and without what belongs to them alone."""
    kept = {note.id for note in corpus.notes if fold_of(note.id) != fold}

    def apart(note_id: str) -> bool:
        return not note_id or note_id in kept

    rest = tuple(
        note._replace(
            phrases=note.phrases._replace(not_this=tuple(row for row in note.phrases.not_this if apart(row[1])))
        )
        for note in corpus.notes
        if note.id in kept
    )
    ambiguous = ((tuple(note for note in notes if note in kept), question) for notes, question in corpus.ambiguous)
    return corpus._replace(
        notes=rest,
        dangers=tuple(row for row in corpus.dangers if row[0] in kept),
        alarms=tuple(alarm for alarm in corpus.alarms if alarm.note in kept),
        ambiguous=tuple(row for row in ambiguous if row[0]),
    )


def left_out(
    corpus: Corpus, settings: CompileSettings, questions: Sequence[LabelledQuestion], progress: Progress = silent
) -> list[Asked]:
    """Ask the answerable questions of each fold's notes of a pack that was compiled without these notes."""
    found: list[Asked] = []
    for fold in range(FOLDS):
        rest = without_fold(corpus, fold)
        kept = {note.id for note in rest.notes}
        gone = [q for q in questions if q.manner in ANSWERABLE and not kept.intersection(q.relevant)]
        progress(f"leaving notes out, fold {fold + 1} of {FOLDS}")
        if not gone or not rest.notes:
            continue
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "fold.pack")
            compile_corpus(rest, settings, path)
            with Pack(path) as pack:
                retriever = Retriever(pack)
                found += _asked(pack, gone, [retriever(q.question) for q in gone], left_out=True)
    return found


def _asked(
    pack: Pack, questions: Sequence[LabelledQuestion], retrievals: Sequence[Retrieval], *, left_out: bool = False
) -> Iterable[Asked]:
    for question, retrieval in zip(questions, retrievals, strict=True):
        if is_judged(question) and retrieval.scores.order and retrieval.harm.alarm is None:
            right = pack.note_ids[retrieval.scores.order[0]] in question.right_first
            covered = bool(question.notes) and not left_out
            yield Asked(question, margins_of(retrieval), right and not left_out, covered, left_out)


def _best_bars(asked: Sequence[Asked]) -> dict[str, int]:
    """Return the bars with most (right - 2 wrong) that answer few uncovered questions and few of left-out notes.

    Stories do not count for what is right: few reps tell one, and to be asked which after a story costs little.
    """
    margins = np.array([row.margins for row in asked])
    told = np.array([row.question.manner != "long" for row in asked])
    right = np.array([row.right for row in asked])
    covered = np.array([row.covered for row in asked])
    left = np.array([row.left_out for row in asked])
    uncovered = ~covered & ~left
    best: tuple[float, dict[str, int]] | None = None
    for lead, over, points in product(range(0, 801, 50), range(0, 1501, 50), range(-600, 401, 50)):
        answered = (margins >= (lead, over, points)).all(axis=1)
        if (answered & left).sum() > MOST_LEFT_OUT * left.sum():
            continue
        if (answered & uncovered).sum() > MOST_UNCOVERED * uncovered.sum():
            continue
        value = float((answered & told & right).sum() - _WRONG * (answered & told & covered & ~right).sum())
        if best is None or value > best[0]:
            best = (value, {"lead": lead, "over_none": over, "points": points})
    if best is None:
        raise UsageError("no bars answer few enough uncovered questions: add questions to uncovered.txt")
    return best[1]


def asked_of(pack: Pack, questions: Sequence[LabelledQuestion], progress: Progress = silent) -> list[Asked]:
    """Ask all questions of a pack and return those whose answer the bars decide."""
    return list(_asked(pack, questions, _retrievals(pack, questions, progress)))


def _retrievals(pack: Pack, questions: Sequence[LabelledQuestion], progress: Progress) -> list[Retrieval]:
    retriever = Retriever(pack)
    return [retriever(question.question) for question in counted(questions, progress, "asking all questions")]


def _best_harm(
    pack: Pack, questions: Sequence[LabelledQuestion], retrievals: Sequence[Retrieval]
) -> dict[str, Mapping[str, Any]]:
    """Return the bars for putting a note on harm first and for telling that harm is near, and how sure the first is.

    First: the lowest bar at which few questions that tell of no harm get a note on harm first. Near: a step lower.
    """
    harmful = pack.harm_ids
    calm = [not tells_of_harm(question, harmful) for question in questions]
    bar = _HIGHEST
    for trial in range(_HIGHEST, -_HIGHEST, -50):
        pack.decision["harm"] = {**pack.decision["harm"], "bar": trial, "near": trial}
        found = decided(pack, questions, retrievals)
        if sum(o.safety_first for o, safe in zip(found, calm, strict=True) if safe) > MOST_FALSE_ALARMS * sum(calm):
            break
        bar = trial
    pack.decision["harm"] = {**pack.decision["harm"], "bar": bar}
    first = [o for o in decided(pack, questions, retrievals) if o.safety_first]
    right = sum(o.order[0][0] in o.question.relevant for o in first)
    stated = round(1000 * (right + 1) / (len(first) + 2))
    return {"harm": {"bar": bar, "near": bar - _NEARER, "offered": dict(_OFFERED), "right": stated}}


def _best_refusal(pack: Pack, questions: Sequence[LabelledQuestion], retrievals: Sequence[Retrieval]) -> dict[str, int]:
    """Return the bar for saying no, a wrong no counting thrice, and how near the notes of a choice must be."""
    best: tuple[float, dict[str, int]] | None = None
    for below, within in product(range(-600, 601, 50), (600, 900, 1200)):
        trial = {"refuse_below": below, "choose_within": within}
        pack.decision.update(trial)
        found = decided(pack, questions, retrievals)
        said = [not o.question.notes for o in found if o.decision == "none"]
        fitting = [o for o in found if o.question.manner == "ambiguous"]
        offered = sum(len(set(o.offered) & set(o.question.notes)) > 1 and o.decision != "none" for o in fitting)
        value = sum(said) - _REFUSED_COST * (len(said) - sum(said)) + offered
        if best is None or value > best[0]:
            best = (value, trial)
    return best[1] if best else {}


def _best_turns(pack: Pack, talks: Sequence[Talk], questions: Sequence[LabelledQuestion]) -> dict[str, int]:
    """Return the bars for turns: right turns of the talks, and questions that must leave a note that is not theirs."""
    retriever = cache(Retriever(pack))
    assistant = Assistant(pack, retriever)
    begun = []
    for question in questions:
        in_hand = any_note(question.question, len(pack.note_ids))
        if question.manner != "long" and pack.note_ids[in_hand] not in question.notes:
            begun.append((read_turn(question.question, pack), retriever(question.question), in_hand))
    chosen = dict(_TURNS)
    best = -1.0
    for name, values in _TURN_VALUES:
        for value in values:
            trial = {**chosen, name: value}
            pack.decision["turn"] = trial
            right = sum(row.right for row in talk_turns(assistant, talks))
            left = sum(leaves(turn, retrieval, in_hand, trial) for turn, retrieval, in_hand in begun)
            if right + left / 2 > best:
                best, chosen = right + left / 2, trial
    return chosen
