"""From a note to what is shown of it; nothing is worded that the note does not say."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from assistant.answering.told import (
    asks_permission,
    cautions,
    item_answer,
    permission_answer,
    step_beyond,
    step_meant,
    steps_counted,
    wait_answer,
)
from assistant.languages import Language, language_of, said, said_of, to_say
from assistant.model import About, Branch, Contact, Note, ShownStep, Trade
from assistant.ranking.score import FULL, scaled

__all__ = ["SMALL_TALK", "direct_answer", "matching_steps", "named_contacts", "step_after", "step_left"]

_EMERGENCY = "emergency"
_LEAST_SHARE = 95
_MAY_READ_AS_YES = frozenset({"first_step", "item", "next_step", "step"})
_MOST_MARKED = 3


SMALL_TALK = to_say("Ready. Type what you see, hear or smell at the station; after an answer, ask on with a few words.")
"""What is said to a greeting."""


def direct_answer(
    note: Note, about: About, step: int, asked: str = "", *, action: str = "", language: Language | None = None
) -> str:
    """Return the answer to one kind of question in the note's own words.

    Parameters
    ----------
    step
        The step that is meant (see `step_after`), 0 for none.
    asked
        The turn, for the step, thing or wait that it names.
    action
        What the note does, in the words of the trade.
    language
        That of the turn; English where it is left out.
    """
    told = _direct(note, about, step, asked, action, language)
    if about in _MAY_READ_AS_YES and asks_permission(asked, language):
        return permission_answer(note, told, language)
    return told


def _direct(note: Note, about: About, step: int, asked: str, action: str, language: Language | None) -> str:
    if about == "step" and steps_counted(asked, language):
        return said_of("{n} step.", "{n} steps.", len(note.steps))
    if about == "step" and step_beyond(asked, len(note.steps), language):
        return " ".join([said("The note has steps 1 to {n} only.", n=len(note.steps)), _step_text(note, step)])
    if about in ("first_step", "next_step", "step"):
        return _step_text(note, step)
    if about == "next_if_fails":
        return _failed(note, step, asked, language)
    if about == "item":
        return item_answer(note, asked, language=language)
    if about == "wait":
        return wait_answer(note, language)
    told = _TOLD.get(about)
    if told:
        return told(note)
    action = action or note.action
    return said("{action}: {title}. About {n} min.", action=action, title=note.title, n=note.minutes)


def step_after(note: Note, about: About, step: int, asked: str, language: Language | None = None) -> int:
    """Return the step that is named once a turn is answered; ``step`` is the one named before it (0: none)."""
    if about == "step" and not steps_counted(asked, language):
        return step_meant(asked, step, len(note.steps), language)
    if about == "next_step":
        return step + 1
    return 1 if about == "first_step" else step


def step_left(note: Note, about: About, step: int, asked: str, language: Language | None = None) -> int:
    """Return the step in hand after the answer on ``step``: another one where that did not help and led there."""
    branch = _sure_branch(_choices(note, step, asked, language), language) if about == "next_if_fails" else None
    return branch.step if branch and branch.step and not branch.note else step


def _failed(note: Note, step: int, asked: str, language: Language | None) -> str:
    """Return where the step in hand leads that did not help; what to do at the end where no choice stands under it."""
    choices = _choices(note, step, asked, language)
    if not choices:
        return note.if_it_still_fails
    branch = _sure_branch(choices, language)
    if branch is None:
        return said("By what you see at step {n}: {choices}", n=step, choices=" ".join(one.text for one in choices))
    onward = [_step_text(note, branch.step)] if branch.step and not branch.note else []
    return " ".join([branch.text, *onward])


def _choices(note: Note, step: int, asked: str, language: Language | None) -> Sequence[Branch]:
    """Return the choices under the step in hand; none at the last step, or where the whole note did not help."""
    if not 0 < step < len(note.steps) or re.search((language or language_of()).all_steps, asked, re.IGNORECASE):
        return ()
    return note.steps[step - 1].branches


def _sure_branch(choices: Sequence[Branch], language: Language | None) -> Branch | None:
    """Return the choice for all other cases where each of the rest ends the work; else only who looks can choose."""
    rest = (language or language_of()).choice["rest"]
    onward = [one for one in choices if one.step or one.note]
    return onward[0] if len(onward) == 1 and re.match(rest, onward[0].condition, re.IGNORECASE) else None


def named_contacts(note: Note, trade: Trade) -> tuple[Contact, ...]:
    """Return the contacts that the steps, the result or the last section of a note name, in the order of the trade.

    One for emergencies is among them only where it has a number of its own: everywhere else the line on whom to call,
    which stands on the card where harm comes near, says what there is to say.
    """
    steps = (text for step in note.steps for text in (step.text, *(branch.text for branch in step.branches)))
    said = " ".join((*steps, note.result, note.if_it_still_fails)).lower()
    return tuple(
        contact
        for contact in trade.contacts
        if (contact.number or contact.key != _EMERGENCY)
        and (name := contact.name.lower()) in said
        and re.search(rf"\b{re.escape(name)}\b", said)
    )


def _parts(note: Note) -> str:
    return said("Parts: {names}.", names=", ".join(note.parts)) if note.parts else said("The note names no parts.")


def _tools(note: Note) -> str:
    return said("Tools: {names}.", names=", ".join(note.tools)) if note.tools else said("The note names no tools.")


_TOLD: Mapping[str, Callable[[Note], str]] = {
    "parts": lambda note: f"{_parts(note)} {_tools(note)}",
    "tools": lambda note: f"{_tools(note)} {_parts(note)}",
    "time": lambda note: said_of("About {n} minute.", "About {n} minutes.", note.minutes),
    "cautions": cautions,
    "why": lambda note: note.why or "; ".join(note.cause) or note.condition,
    "after_that": lambda note: note.result,
    "done_check": lambda note: note.result,
    "mended": lambda note: note.result,
    "escalate": lambda note: note.if_it_still_fails,
    "small_talk": lambda _: said(SMALL_TALK),
}


def _step_text(note: Note, n: int) -> str:
    if n > len(note.steps):
        return said("That was the last step. {result}", result=note.result)
    step = note.steps[n - 1]
    return " ".join([said("Step {n}: {text}", n=n, text=step.text), *(branch.text for branch in step.branches)])


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
