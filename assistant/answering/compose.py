"""From a note to what is shown of it; nothing is worded that the note does not say."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.model import About, Note, SafetyMessage, ShownStep, Step
from assistant.ranking.score import TermRow

__all__ = ["ACTION_WORDS", "direct_answer", "matching_steps"]

ACTION_WORDS = {
    "clean": "Clean",
    "adjust": "Adjust",
    "replace": "Replace",
    "escalate": "Hand over",
    "withdraw": "Take out of service",
    "inform": "Read first",
}
_LEAST_SHARE = 60
_COMMON_STEP_SHARE = 2


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


def matching_steps(note: Note, terms: Sequence[tuple[str, int]], rows: dict[str, TermRow]) -> tuple[ShownStep, ...]:
    """Return all steps in order, those that hold what was asked about marked.

    A term counts by its rarity in the whole corpus, not at all where more than half of the note's steps hold it.
    """
    stems = Stems()
    held = [_step_terms(step, note.safety, stems) for step in note.steps]
    gains = []
    for terms_of_step in held:
        gain = 0
        for term, percent in terms:
            if term in terms_of_step and term in rows:
                spread = sum(term in other for other in held)
                if spread * _COMMON_STEP_SHARE <= len(held):
                    gain += rows[term].mass * percent // spread
        gains.append(gain)
    best = max(gains, default=0)
    return tuple(
        ShownStep(
            step.n,
            step.text,
            best > 0 and gain * 100 >= best * _LEAST_SHARE,
            tuple(branch.text for branch in step.branches),
        )
        for step, gain in zip(note.steps, gains, strict=True)
    )


def _step_terms(step: Step, safety: Sequence[SafetyMessage], stems: Stems) -> set[str]:
    texts = [step.text, *(branch.condition for branch in step.branches)]
    texts += [message.text for message in safety if message.before_step == step.n]
    return {stems(form) for text in texts for form in tokenize(text)}
