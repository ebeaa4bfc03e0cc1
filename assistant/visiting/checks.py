"""Which check first: the order with the least expected minutes, by what the journal has seen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, Sighting, Work
from assistant.journal.store import Journal
from assistant.languages import said, severity
from assistant.model import ON_SAFETY, Branch, Note
from assistant.planning.beliefs import dirichlet_means
from assistant.planning.order import Check, best_order, expected_minutes
from assistant.visiting.words import decimal

__all__ = ["PRIOR", "CheckRow", "Plan", "check_notes", "check_steps", "plain_order"]

PRIOR = 1.0
"""Weight of the prior for each cause, in cases: all causes are alike before anything was seen (Laplace)."""
_FOUND = frozenset({"mended", "replaced"})
_LOOKING = frozenset({"ask", "compare", "feel", "inspect", "listen", "look", "read", "watch"})
"""First words of steps that change nothing at the station."""
_SAFETY_ACTIONS = frozenset({"withdraw", "escalate"})
_FEWEST = 2


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


def check_notes(notes: Sequence[Note], journal: Journal, *, station_model: str = "", prior: float = PRIOR) -> Plan:
    """Order notes that may each hold the cause of what is seen.

    A note on safety, or one that withdraws or hands over, keeps its place: nothing is moved before it or behind it.

    Parameters
    ----------
    station_model
        Count only works at stations of this kind, as last told on a round; all works where empty.

    Raises
    ------
    UsageError
        If there are fewer than two notes, or one stands twice.
    """
    if len({note.id for note in notes}) < max(_FEWEST, len(notes)):
        raise UsageError(said("needs two different notes or more"))
    ended = {outcome.work: outcome.outcome for outcome in journal.all(Outcome)}
    works = [work for work in journal.all(Work) if ended.get(work.id) in _FOUND]
    if station_model:
        kinds = {sighting.station: sighting.model for sighting in journal.all(Sighting) if sighting.model}
        works = [work for work in works if kinds.get(work.station) == station_model]
    found = Counter(work.note for work in works)
    chances = dirichlet_means([found[note.id] for note in notes], [prior] * len(notes))
    where = said(" at stations of the kind {kind}", kind=station_model) if station_model else ""
    return _plan(
        [
            CheckRow(note.id, note.title, chance, found[note.id], float(note.minutes), _keeps_its_place(note))
            for note, chance in zip(notes, chances, strict=True)
        ],
        said(
            "probability: works through the note{where} that ended mended or replaced, over those of all these notes, "
            "with {prior} added to each; minutes: as the note says",
            where=where,
            prior=decimal(f"{prior:g}"),
        ),
    )


def plain_order(plan: Plan) -> str:
    """Return the best order in a sentence for a rep, without figures; steps that check nothing are not named."""
    looks = [row for row in plan.best if row.probability]
    named = said("; then ").join(_look(row) for row in looks)
    if len(looks) < len(plan.best):
        return said("Look first at: {named}. Do the other steps where they stand.", named=named)
    return said("Look first at: {named}.", named=named)


def _look(row: CheckRow) -> str:
    title = row.title.rstrip(".")
    return said("step {n}, {title}", n=row.id, title=title) if row.id.isdigit() else title


def _keeps_its_place(note: Note) -> bool:
    dangerous = any(severity(message.signal) == 0 for message in note.safety)
    return note.id.startswith(ON_SAFETY) or note.action in _SAFETY_ACTIONS or dangerous


def check_steps(note: Note, journal: Journal, *, prior: float = PRIOR) -> Plan:
    """Order the checks of one note: its steps with choices that leave for another note, each such choice one cause.

    A check is moved only past checks beside it, and only where no safety message stands before it and no choice under
    it leads back or to a note on safety. Every other step keeps its place, and nothing is moved past it. The steps of
    the note itself are never changed. A choice counts where it was taken in these words, whatever the revision, and not
    gone back on.

    Raises
    ------
    UsageError
        If the note has fewer than two checks.
    """
    causes = [(step, branch) for step in note.steps for branch in step.branches if _leaves(branch)]
    if len({step.n for step, _ in causes}) < _FEWEST:
        raise UsageError(said("{note} has no two checks to put in order", note=note.id))
    taken = _choices_taken(note, journal)
    counts = [taken[step.text, branch.text, branch.note or ""] for step, branch in causes]
    chances = dirichlet_means(counts, [prior] * len(causes))
    probability, seen = dict.fromkeys((step.n for step in note.steps), 0.0), Counter[int]()
    for (step, _), chance, count in zip(causes, chances, counts, strict=True):
        probability[step.n] += chance
        seen[step.n] += count
    movable = _movable(note)
    share = note.minutes / len(note.steps)
    return _plan(
        [
            CheckRow(str(step.n), step.text, probability[step.n], seen[step.n], share, step.n not in movable)
            for step in note.steps
        ],
        said(
            "probability: how often a choice under the step left for another note, over all such choices of this note, "
            "with {prior} added to each choice; minutes: those of the note over its {steps} steps",
            prior=decimal(f"{prior:g}"),
            steps=len(note.steps),
        ),
    )


def _choices_taken(note: Note, journal: Journal) -> Counter[tuple[str, str, str]]:
    """Count (text of the step, choice, note that it leads to) over the works through a note, as they stand."""
    standing: dict[tuple[int, int], Act] = {}
    for work in journal.all(Work, note=note.id):
        for act in journal.all(Act, work=work.id):
            if act.act == "done":
                standing[act.work, act.step] = act
            elif act.act == "back":
                standing.pop((act.work, act.step), None)
    return Counter((act.text, act.choice, act.to_note) for act in standing.values())


def _movable(note: Note) -> set[int]:
    """Return the numbers of the steps that may change places with a step beside them: those that look or ask only."""
    guarded = {message.before_step for message in note.safety}
    free = {
        step.n
        for step in note.steps
        if step.n not in guarded
        and step.text.split(" ", 1)[0].lower() in _LOOKING
        and all(not branch.note or _leaves(branch) for branch in step.branches)
        and any(branch.note for branch in step.branches)
        and not any((branch.note or "").startswith(ON_SAFETY) for branch in step.branches)
        and all(branch.step is None or branch.step > step.n for branch in step.branches)
    }
    return {n for n in free if free & {n - 1, n + 1}}


def _leaves(branch: Branch) -> bool:
    """Tell whether a choice leads to another note and not back; another note that is done on the way is no cause."""
    return branch.note is not None and branch.step is None


def _plan(written: Sequence[CheckRow], definition: str) -> Plan:
    rows = {row.id: row for row in written}
    checks = [Check(row.id, row.probability, row.minutes, row.fixed) for row in written]
    best = best_order(checks)
    return Plan(
        tuple(written),
        tuple(rows[check.id] for check in best),
        round(expected_minutes(checks), 2),
        round(expected_minutes(best), 2),
        sum(row.seen for row in written),
        definition,
    )
