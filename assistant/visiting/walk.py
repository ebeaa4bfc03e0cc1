"""Working through a note as plain values: what comes next, what was done, where a choice leads.

Nothing is stored or drawn here. A step cannot be done or skipped before every safety message that stands before it was
acknowledged. The state is the fold of the acts, so that a work that was broken off goes on where it stood.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Act
from assistant.languages import language_of, said, spoken, to_say
from assistant.model import Branch, Note, SafetyMessage, Step

__all__ = [
    "NONE_OF_THESE",
    "Walk",
    "acknowledge",
    "after",
    "begin",
    "choices",
    "go_back",
    "pending",
    "replay",
    "skip",
    "tick",
    "wait",
]

NONE_OF_THESE = to_say("None of these: go on.")


class Walk(NamedTuple):
    """Where the work through a note stands.

    ``step`` is the number of the step that is next, one more than the last when there is none. ``marks`` holds
    (step, "done" or "skipped"), ``trail`` the steps gone through, oldest first. ``leads_to`` is the note that the last
    choice leads to: this one is left for good where it ``leaves``, else it goes on at ``step`` once that note is done.
    ``waiting`` is the act with which the wait of this step began.
    """

    note: Note
    work: int = 0
    step: int = 1
    acknowledged: frozenset[tuple[int, str]] = frozenset()
    marks: tuple[tuple[int, str], ...] = ()
    trail: tuple[int, ...] = ()
    leads_to: str = ""
    leaves: bool = False
    waiting: Act | None = None

    @property
    def finished(self) -> bool:
        """Whether no step is left."""
        return self.step > len(self.note.steps)

    @property
    def current(self) -> Step | None:
        """The step that is next."""
        return None if self.finished else self.note.steps[self.step - 1]


def begin(note: Note, work: int = 0) -> Walk:
    """Return the state before the first step."""
    return Walk(note, work)


def replay(note: Note, acts: Iterable[Act], work: int = 0) -> Walk:
    """Return the state after ``acts``, which were recorded at this revision of the note."""
    walk = begin(note, work)
    for act in acts:
        walk = after(walk, act)
    return walk


def pending(walk: Walk) -> tuple[SafetyMessage, ...]:
    """Return the safety messages that must be acknowledged before the next step."""
    return tuple(
        message
        for message in walk.note.safety
        if message.before_step == walk.step and _key(message) not in walk.acknowledged
    )


def choices(step: Step) -> tuple[Branch, ...]:
    """Return what can be chosen under a step; empty where it has no choice."""
    rest = language_of(spoken()).choice["rest"]
    if not step.branches or any(re.match(rest, branch.condition, re.IGNORECASE) for branch in step.branches):
        return step.branches
    return (*step.branches, Branch("", said(NONE_OF_THESE), step=step.n + 1))


def acknowledge(walk: Walk) -> Act:
    """Return the act of acknowledging the next safety message.

    Raises
    ------
    UsageError
        If none is waiting.
    """
    waiting = pending(walk)
    if not waiting:
        raise UsageError(said("no safety message is waiting"))
    return Act(walk.work, "acknowledged", walk.step, f"{waiting[0].signal}: {waiting[0].text}")


def tick(walk: Walk, choice: int | None = None, *, seconds: int = 0, reason: str = "") -> Act:
    """Return the act of having done the next step.

    It names the step that follows, the note that a choice leads to, and both where the work comes back from that note.

    Parameters
    ----------
    choice
        Place in `choices`, from 0, where the step has any.
    seconds
        How long the step took.

    Raises
    ------
    UsageError
        If no step is left, a safety message waits, or the choice is missing or unknown.
    """
    step = _ready(walk)
    offered = choices(step)
    if not offered:
        if choice is not None:
            raise UsageError(said("step {n} has no choice", n=step.n))
        return Act(walk.work, "done", step.n, step.text, reason, "", step.n + 1, "", seconds)
    if choice is None or not 0 <= choice < len(offered):
        raise UsageError(said("step {n} asks what you found: choose 1 to {len}", n=step.n, len=len(offered)))
    branch = offered[choice]
    end = None if branch.note else len(walk.note.steps) + 1
    return Act(
        walk.work,
        "done",
        step.n,
        step.text,
        reason,
        branch.text,
        end if branch.step is None else branch.step,
        branch.note or "",
        seconds,
    )


def skip(walk: Walk, reason: str) -> Act:
    """Return the act of skipping the next step.

    Raises
    ------
    UsageError
        If no step is left, a safety message waits, or no reason is given.
    """
    step = _ready(walk)
    if not reason.strip():
        raise UsageError(said("say why the step is skipped"))
    return Act(walk.work, "skipped", step.n, step.text, reason, "", step.n + 1)


def go_back(walk: Walk) -> Act:
    """Return the act of going back to the step before.

    Raises
    ------
    UsageError
        If there is none.
    """
    if not walk.trail:
        raise UsageError(said("this is the first step"))
    return Act(walk.work, "back", walk.trail[-1])


def wait(walk: Walk, seconds: int) -> Act:
    """Return the act of beginning to wait, which the next step tells."""
    step = _ready(walk)
    return Act(walk.work, "waiting", step.n, step.text, seconds=seconds)


def after(walk: Walk, act: Act) -> Walk:
    """Return the state after an act; going back where another window has gone back already changes nothing."""
    if act.act == "acknowledged":
        return walk._replace(acknowledged=walk.acknowledged | {(act.step, act.text)}, leads_to="")
    if act.act == "waiting":
        return walk._replace(waiting=act, leads_to="")
    if act.act == "back" and act.step not in walk.trail:
        return walk
    if act.act == "back":
        place = len(walk.trail) - 1 - walk.trail[::-1].index(act.step)
        marks = tuple(mark for mark in walk.marks if mark[0] != act.step)
        return walk._replace(
            step=act.step, trail=walk.trail[:place], marks=marks, leads_to="", leaves=False, waiting=None
        )
    marks = (*(mark for mark in walk.marks if mark[0] != act.step), (act.step, act.act))
    leaves = bool(act.to_note) and act.to_step is None
    ahead = len(walk.note.steps) + 1 if leaves else act.step + 1
    return walk._replace(
        step=act.to_step or ahead,
        marks=marks,
        trail=(*walk.trail, act.step),
        leads_to=act.to_note,
        leaves=leaves,
        waiting=None,
    )


def _ready(walk: Walk) -> Step:
    step = walk.current
    if step is None:
        raise UsageError(said("no step is left"))
    if pending(walk):
        raise UsageError(said("acknowledge the safety message before step {n}", n=step.n))
    return step


def _key(message: SafetyMessage) -> tuple[int, str]:
    return message.before_step, f"{message.signal}: {message.text}"
