"""From a note to what is shown of it; nothing is worded that the note does not say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.model import About, Note, ShownStep
from assistant.ranking.score import FULL, scaled

__all__ = ["ACTION_WORDS", "direct_answer", "matching_steps"]

ACTION_WORDS = {
    "clean": "Clean",
    "adjust": "Adjust",
    "replace": "Replace",
    "escalate": "Hand over",
    "withdraw": "Take out of service",
    "inform": "Read first",
}
_LEAST_SHARE = 95
_MOST_MARKED = 3


def direct_answer(note: Note, about: About, step: int) -> str:
    """Return the answer to one kind of question in the note's own words.

    Parameters
    ----------
    step
        The step last named; ``next_step`` gives the one after it.
    """
    if about == "parts":
        return f"Parts: {', '.join(note.parts)}." if note.parts else "The note names no parts."
    if about == "tools":
        return f"Tools: {', '.join(note.tools)}." if note.tools else "The note names no tools."
    if about == "time":
        return f"About {note.minutes} minute{'s' if note.minutes != 1 else ''}."
    if about == "cautions":
        if not note.safety:
            return "The note names no hazard. Local rules come first."
        return " ".join(f"{message.signal}: {message.text}" for message in note.safety)
    if about == "why":
        return note.why or "; ".join(note.cause) or note.condition
    if about in ("first_step", "next_step"):
        return _step_text(note, 1 if about == "first_step" else step + 1)
    if about in ("after_that", "done_check"):
        return note.result
    if about in ("next_if_fails", "escalate"):
        return note.if_it_still_fails
    return f"{ACTION_WORDS[note.action]}: {note.title}. About {note.minutes} min."


def _step_text(note: Note, n: int) -> str:
    if n > len(note.steps):
        return f"That was the last step. {note.result}"
    step = note.steps[n - 1]
    return " ".join([f"Step {n}: {step.text}", *(branch.text for branch in step.branches)])


def matching_steps(
    note: Note, terms: Sequence[tuple[str, int]], weights: Mapping[str, Sequence[Sequence[int]]]
) -> tuple[ShownStep, ...]:
    """Return all steps in order, those that deal with what was asked about marked.

    Parameters
    ----------
    terms
        Terms of the question with their weight in percent.
    weights
        The note's stored step weights; what stands under the empty term counts for every question.
    """
    gains = {step.n: 0 for step in note.steps}
    known = [(term, percent) for term, percent in terms if term in weights]
    for term, percent in [("", FULL), *known]:
        for n, weight in weights.get(term, ()):
            gains[n] = gains.get(n, 0) + scaled(weight, percent)
    bar = max(gains.values(), default=0) * _LEAST_SHARE if known else None
    marked = [n for n in sorted(gains, key=lambda n: (-gains[n], n)) if bar and gains[n] * 100 >= bar][:_MOST_MARKED]
    return tuple(
        ShownStep(step.n, step.text, step.n in marked, tuple(branch.text for branch in step.branches))
        for step in note.steps
    )
