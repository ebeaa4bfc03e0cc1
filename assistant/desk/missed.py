"""The questions that did not find their answer, as far as a journal can tell."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Literal, NamedTuple

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.journal.export import Export
from assistant.journal.records import Feedback, Question, Visit, Work

__all__ = ["AGAIN_SECONDS", "LEFT_SECONDS", "Miss", "Missed", "missed_questions"]

Miss = Literal["none", "not helpful", "asked again", "left at once"]
"""Why a question is taken to be missed: all but ``none`` are answers that are likely to be wrong."""
AGAIN_SECONDS = 180
"""Within this time another wording of the same matter counts as asking again."""
LEFT_SECONDS = 8
"""Within this time nobody has read an answer."""
_ALIKE = 0.2


class Missed(NamedTuple):
    """One question that did not find its answer, and why it is taken so; ``note`` is what it was answered with."""

    text: str
    at: str
    store: str
    journal: str
    misses: tuple[Miss, ...]
    note: str = ""


def missed_questions(exports: Iterable[Export]) -> list[Missed]:
    """Return the questions that got no answer, or one that is likely to be wrong.

    It was called not helpful, or the same was asked again in other words, or the answer was left at once: another
    matter was asked before it could be read, and no work was begun. That a rep only walks away is in no journal.
    """
    found: list[Missed] = []
    for export in exports:
        stores = {visit.id: visit.store for visit in export.all(Visit)}
        unhelpful = {entry.question for entry in export.all(Feedback) if entry.verdict == "not_helpful"}
        begun = {(work.note, work.visit): work.at for work in export.all(Work)}
        questions = export.all(Question)
        stems = Stems()
        for question, following in zip(questions, [*questions[1:], None], strict=True):
            misses: list[Miss] = []
            if question.decision == "none":
                misses.append("none")
            if question.id in unhelpful:
                misses.append("not helpful")
            if following and _asked_again(question, following, stems):
                misses.append("asked again")
            elif following and _left_at_once(question, following, begun.get((question.note, question.visit), "")):
                misses.append("left at once")
            if misses:
                store = stores.get(question.visit or 0, "")
                note = question.note if question.decision == "answer" else ""
                found.append(Missed(question.text, question.at, store, export.uid, tuple(misses), note))
    return found


def _is_another(question: Question, following: Question, seconds: float) -> bool:
    """Tell whether the next question is no turn on the note just shown, and came within this time of it."""
    if question.visit != following.visit or following.about != "procedure":
        return False
    if question.text == following.text or (question.note and question.note == following.note):
        return False
    between = datetime.fromisoformat(following.at) - datetime.fromisoformat(question.at)
    return 0 <= between.total_seconds() <= seconds


def _asked_again(question: Question, following: Question, stems: Stems) -> bool:
    """Tell whether the next question asks the same in other words."""
    if not _is_another(question, following, AGAIN_SECONDS):
        return False
    one, other = set(_terms(question.text, stems)), set(_terms(following.text, stems))
    return bool(one & other) and len(one & other) >= _ALIKE * len(one | other)


def _left_at_once(question: Question, following: Question, begun: str) -> bool:
    """Tell whether an outright answer gave way to another matter before it was read, and no work ``begun`` on it.

    At a visit alone: who asks one question after the other on the command line may read them all at once.
    """
    if question.visit is None or question.decision != "answer" or question.about != "procedure" or begun >= question.at:
        return False
    return _is_another(question, following, LEFT_SECONDS)


def _terms(text: str, stems: Stems) -> list[str]:
    return [stems(form) for form in tokenize(text) if not is_question_word(form)]
