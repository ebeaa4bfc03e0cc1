"""Whether there are labels enough to choose each part of the decision by."""

from __future__ import annotations

from collections.abc import Sequence, Set

from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.model import Corpus

__all__ = ["FEWEST", "FEWEST_OF_A_KIND", "FEWEST_TURNS", "PARTS", "is_judged", "lacking_labels", "tells_of_harm"]

PARTS = ("bars", "harm", "refusal", "turn")
"""Parts of the decision that are chosen by labels of their own."""
FEWEST = 100
"""So many labelled questions are needed to choose bars and to state probabilities."""
FEWEST_OF_A_KIND = 10
"""So many of each of two kinds that are held against one another, such as covered and uncovered questions."""
FEWEST_TURNS = 20
"""So many turns after the first of a talk are needed to choose the bars of turns."""


def is_judged(question: LabelledQuestion) -> bool:
    """Tell whether bars are chosen on a question: one that a note answers, or that none covers."""
    return question.manner in ANSWERABLE or question.manner == "uncovered"


def tells_of_harm(question: LabelledQuestion, harmful: Set[str]) -> bool:
    """Tell whether a question tells of harm, where these are the notes on it."""
    return bool(question.danger) or not harmful.isdisjoint(question.notes)


def lacking_labels(corpus: Corpus, questions: Sequence[LabelledQuestion], talks: Sequence[Talk]) -> dict[str, str]:
    """Return for each part of the decision that has too few labels what it needs, and what there is."""
    judged = sum(is_judged(question) for question in questions)
    uncovered = sum(question.manner == "uncovered" for question in questions)
    harmful = {alarm.note for alarm in corpus.alarms} | {note for note, _ in corpus.dangers}
    dangerous = sum(tells_of_harm(question, harmful) for question in questions)
    calm = len(questions) - dangerous
    kinds = f"{judged - uncovered} covered and {uncovered} uncovered ones"
    turns = sum(len(talk.turns) - 1 for talk in talks)
    each = f"{FEWEST_OF_A_KIND} or more of each kind"
    needs = {
        "bars": (
            judged >= FEWEST and min(uncovered, judged - uncovered) >= FEWEST_OF_A_KIND,
            f"bars of an answer and stated probabilities: {FEWEST} questions, {each}; there are {kinds}",
        ),
        "harm": (
            min(dangerous, calm) >= FEWEST_OF_A_KIND,
            f"bar of harm: {each}; there are {dangerous} questions that tell of harm and {calm} others",
        ),
        "refusal": (
            min(uncovered, judged - uncovered) >= FEWEST_OF_A_KIND,
            f"bar of a refusal: {each}; there are {kinds}",
        ),
        "turn": (
            turns >= FEWEST_TURNS,
            f"bars of turns: {FEWEST_TURNS} turns after the first of their talks; there are {turns}",
        ),
    }
    return {part: f"too few labels for the {what}" for part, (enough, what) in needs.items() if not enough}
