"""What each word says for each step of a note, learned from the steps and from the questions that name them."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence

from assistant.compiling.settings import StepSettings
from assistant.model import Note

__all__ = ["PRIOR", "step_weights"]

PRIOR = ""
"""Stands among the terms for how often questions name a step; counts for every question."""
_NEW_TERM_IDF = 5.0
Terms = Callable[[str], Sequence[str]]


def step_weights(
    note: Note, terms: Terms, masses: Mapping[str, int], settings: StepSettings
) -> dict[str, list[tuple[int, int]]]:
    """Return term -> (step, weight in hundredths).

    The weights are those of multinomial naive Bayes with one class a step, as for the notes, over unit-length
    sublinear TF-IDF of each step (with its choices and safety messages) and of each example question that names it.

    Parameters
    ----------
    terms
        Turns text into content terms.
    masses
        idf of the terms, in thousandths.
    """
    seen: dict[int, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    named: Counter[int] = Counter()
    for step in note.steps:
        messages = [message.text for message in note.safety if message.before_step == step.n]
        text = " ".join([step.text, *(branch.condition for branch in step.branches), *messages])
        _add(seen[step.n], _unit(terms(text), masses), 1.0)
    for example in note.examples:
        named.update(example.steps[:1])
        for n in example.steps:
            _add(seen[n], _unit(terms(example.question), masses), 1 / len(example.steps))
    weights: dict[str, list[tuple[int, int]]] = {
        PRIOR: [(n, round(100 * settings.prior * math.log1p(named[n]))) for n in sorted(seen)]
    }
    for n in sorted(seen):
        mass = sum(seen[n].values())
        for term, value in sorted(seen[n].items()):
            weights.setdefault(term, []).append((n, round(100 * math.log1p(value / mass / settings.alpha))))
    return weights


def _unit(terms: Sequence[str], masses: Mapping[str, int]) -> dict[str, float]:
    values = {
        term: (1 + math.log(count)) * (masses[term] / 1000 if term in masses else _NEW_TERM_IDF)
        for term, count in Counter(terms).items()
    }
    norm = math.sqrt(sum(value * value for value in values.values())) or 1.0
    return {term: value / norm for term, value in values.items()}


def _add(sums: dict[str, float], values: Mapping[str, float], weight: float) -> None:
    for term, value in values.items():
        sums[term] += weight * value
