"""Where the steps of a note lead."""

from __future__ import annotations

from assistant.checking.said import has
from assistant.model import Note, Step

__all__ = ["ends_here", "falls_through", "next_steps"]


def falls_through(step: Step) -> bool:
    """Tell whether the step after this one may follow without a choice that says so: none of them is for the rest."""
    return not any(has(branch.condition, r"^if not\b") for branch in step.branches)


def next_steps(note: Note, n: int) -> set[int]:
    """Return the steps that may follow step ``n``."""
    step = note.steps[n - 1]
    following = {branch.step for branch in step.branches if branch.step}
    if falls_through(step) and n < len(note.steps):
        following.add(n + 1)
    return following


def ends_here(note: Note, n: int) -> bool:
    """Tell whether the work may end with step ``n`` or go on in another note."""
    return n == len(note.steps) or any(branch.step is None for branch in note.steps[n - 1].branches)
