"""Which check first: the order with the least expected minutes, by what the journal has seen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, Work
from assistant.journal.store import Journal
from assistant.model import Note, Step
from assistant.planning.beliefs import dirichlet_means
from assistant.planning.order import Check, best_order, expected_minutes

__all__ = ["PRIOR", "CheckRow", "Plan", "check_notes", "check_steps"]

PRIOR = 1.0
"""Weight of the prior for each cause, in cases: all causes are alike before anything was seen (Laplace)."""
_FOUND = frozenset({"mended", "replaced"})
_SAFETY_ACTIONS = frozenset({"withdraw", "escalate"})


class CheckRow(NamedTuple):
    """One check; ``seen`` is how often it found the cause, ``fixed`` whether it keeps its place."""

    id: str
    title: str
    probability: float
    seen: int
    minutes: float
    fixed: bool


class Plan(NamedTuple):
    """The checks as written and in the best order, with the expected minutes of both."""

    written: tuple[CheckRow, ...]
    best: tuple[CheckRow, ...]
    written_minutes: float
    best_minutes: float
    seen: int
    definition: str


def check_notes(notes: Sequence[Note], journal: Journal, *, prior: float = PRIOR) -> Plan:
    """Order notes that may each hold the cause of what is seen.

    A note on safety, or one that withdraws or hands over, keeps its place: nothing is moved before it or behind it.

    Raises
    ------
    UsageError
        If there are fewer than two notes, or one stands twice.
    """
    if len({note.id for note in notes}) < max(2, len(notes)):
        raise UsageError("needs two different notes or more")
    ended = {outcome.work: outcome.outcome for outcome in journal.all(Outcome)}
    found = Counter(work.note for work in journal.all(Work) if ended.get(work.id) in _FOUND)
    counts = [found[note.id] for note in notes]
    return _plan(
        [(note.id, note.title, float(note.minutes), _keeps_its_place(note)) for note in notes],
        counts,
        prior,
        "probability: works through the note that ended mended or replaced, over those of all these notes, with "
        f"{prior:g} added to each; minutes: as the note says",
    )


def _keeps_its_place(note: Note) -> bool:
    dangerous = any(message.signal == "DANGER" for message in note.safety)
    return note.id.startswith("safety-") or note.action in _SAFETY_ACTIONS or dangerous


def check_steps(note: Note, journal: Journal, *, prior: float = PRIOR) -> Plan:
    """Order the checks of one note: its steps with choices, each probable as often as a choice there left the path.

    Only steps that stand side by side, have no safety message before them, and choices that lead ahead or to another
    note are moved; every other step keeps its place. The steps of the note itself are never changed.

    Raises
    ------
    UsageError
        If the note has fewer than two checks.
    """
    checks = [step for step in note.steps if step.branches]
    if len(checks) < len(("one", "another")):
        raise UsageError(f"{note.id} has no two checks to put in order")
    works = {work.id for work in journal.all(Work, note=note.id)}
    acts = [act for act in journal.all(Act, act="done") if act.work in works]
    found = Counter(act.step for act in acts if act.to_note)
    guarded = {message.before_step for message in note.safety}
    share = note.minutes / len(note.steps)
    return _plan(
        [(str(step.n), step.text, share, not _movable(step, checks, guarded)) for step in checks],
        [found[step.n] for step in checks],
        prior,
        "probability: how often a choice under the step led to another note, over those of all these steps, with "
        f"{prior:g} added to each; minutes: those of the note over its {len(note.steps)} steps",
    )


def _movable(step: Step, checks: Sequence[Step], guarded: set[int]) -> bool:
    beside = {check.n for check in checks} & {step.n - 1, step.n + 1}
    ahead = all(branch.step is None or branch.step > step.n for branch in step.branches)
    return bool(beside) and ahead and step.n not in guarded


def _plan(named: Sequence[tuple[str, str, float, bool]], counts: Sequence[int], prior: float, definition: str) -> Plan:
    chances = dirichlet_means(counts, [prior] * len(counts))
    rows = {
        name: CheckRow(name, title, chance, count, minutes, fixed)
        for (name, title, minutes, fixed), chance, count in zip(named, chances, counts, strict=True)
    }
    checks = [Check(row.id, row.probability, row.minutes, row.fixed) for row in rows.values()]
    best = best_order(checks)
    return Plan(
        tuple(rows.values()),
        tuple(rows[check.id] for check in best),
        round(expected_minutes(checks), 2),
        round(expected_minutes(best), 2),
        sum(counts),
        definition,
    )
