"""Where one work stands: its note, its steps, the works that led to it, and how it ended."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from math import ceil
from typing import Literal, NamedTuple

from assistant.errors import AssistantError
from assistant.journal.records import Act, Entry, Escalation, Outcome, Part, Photo, Release, Remark, Swap, Work
from assistant.journal.store import Journal
from assistant.languages import said
from assistant.model import Note, Step
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import Walk, pending

__all__ = [
    "Standing",
    "StepState",
    "StepWord",
    "as_minutes",
    "begun_from",
    "belongs_to",
    "chain_of",
    "leads_alone",
    "note_or_none",
    "standing",
    "where",
]

NoteById = Callable[[str], Note | None]
StepWord = Literal["done", "skipped", "next", "locked", "later", "left out"]
_INFORM = "inform"
_MOVES = frozenset({"done", "skipped", "back"})


class StepState(NamedTuple):
    """A step, where it stands, and why it was skipped or what was chosen."""

    step: Step
    word: StepWord
    remark: str = ""


class Standing(NamedTuple):
    """Where the last work of a chain stands.

    ``acts`` are those of this revision of the note. ``child`` is how the work ended that the last choice led to, or
    that to which it led on in turn; ``child_held`` tells that a note on harm was among these. ``above`` is the place in
    the chain of the nearest work before the last that has not ended, with words for it; ``on_the_way`` tells that it
    goes on after this one, ``held`` that it can only end as this one does, because harm came up on the way.
    """

    chain: tuple[Work, ...]
    note: Note
    walk: Walk
    acts: tuple[Act, ...] = ()
    ended: Outcome | None = None
    child: Outcome | None = None
    child_held: bool = False
    above: tuple[int, str] | None = None
    on_the_way: bool = False
    held: bool = False

    @property
    def work(self) -> Work:
        """The work in hand."""
        return self.chain[-1]

    @property
    def steps(self) -> tuple[StepState, ...]:
        """Every step with its state."""
        remarks = {
            act.step: "; ".join(filter(None, (act.choice, act.reason))) for act in self.acts if act.act in _MOVES
        }
        return tuple(StepState(step, self._word(step), remarks.get(step.n, "")) for step in self.note.steps)

    def _word(self, step: Step) -> StepWord:
        if step.n == self.walk.step:
            return "locked" if pending(self.walk) else "next"
        mark = dict(self.walk.marks).get(step.n)
        if mark:
            return "done" if mark == "done" else "skipped"
        return "later" if step.n > self.walk.step else "left out"

    @property
    def wait_seconds(self) -> int | None:
        """How long the next step tells to wait; None where it tells no time."""
        step = self.walk.current
        return waiting_seconds(step.text) if step else None

    def seconds_left(self, moment: datetime) -> int | None:
        """Return how much of the countdown is left, 0 when it is over, None where none was begun."""
        act = self.walk.waiting
        if act is None:
            return None
        gone = (moment - datetime.fromisoformat(act.at)).total_seconds()
        return min(act.seconds, max(0, ceil(act.seconds - gone)))

    def after(self, act: Act, walk: Walk) -> Standing:
        """Return where the work stands after an act that was recorded, which led to ``walk``."""
        moved = self._replace(walk=walk, acts=(*self.acts, act))
        return moved._replace(child=None, child_held=False) if act.act in _MOVES else moved


def standing(recorder: Recorder, chain: tuple[Work, ...], note: Note, note_by_id: NoteById) -> Standing:
    """Return where the last work of a chain stands, whose note is ``note``.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """
    journal, work = recorder.journal, chain[-1]
    walk = recorder.walk_of(work, note)
    acts = tuple(journal.all(Act, work=work.id)) if note.revision == work.revision else ()
    begun = begun_from(journal, walk)
    child = _outcome(journal, begun[-1]) if begun else None
    child_held = any(leads_alone(recorder, work.note, work.action) for work in begun)
    above = _above(recorder, chain, note_by_id)
    return Standing(chain, note, walk, acts, _outcome(journal, work), child, child_held, *above)


def leads_alone(recorder: Recorder, note_id: str, action: str) -> bool:
    """Tell whether a note deals with harm, so that what led to it does not go on: not where it is only to be read."""
    return note_id in recorder.harm and action != _INFORM


def chain_of(journal: Journal, work: Work) -> tuple[Work, ...]:
    """Return the works that led to a work, oldest first, and the work itself last."""
    chain = [work]
    while (parent := chain[0].parent) is not None and (before := journal.get(Work, parent)) is not None:
        chain.insert(0, before)
    return tuple(chain)


def note_or_none(note_by_id: NoteById, note_id: str) -> Note | None:
    """Return a note, None also where it cannot be read."""
    try:
        return note_by_id(note_id)
    except AssistantError:
        return None


def _outcome(journal: Journal, work: Work) -> Outcome | None:
    return next(iter(journal.all(Outcome, work=work.id)), None)


def begun_from(journal: Journal, walk: Walk) -> tuple[Work, ...]:
    """Return the work that the last choice of a walk led to, and those to which that led on; none where none began."""
    if not walk.leads_to:
        return ()
    chosen = max(act.at for act in journal.all(Act, work=walk.work) if act.to_note)
    begun = [w for w in journal.all(Work, parent=walk.work, note=walk.leads_to) if w.at >= chosen]
    found: list[Work] = []
    while begun:
        found.append(begun[-1])
        outcome = _outcome(journal, begun[-1])
        begun = journal.all(Work, parent=begun[-1].id) if outcome and outcome.outcome == "led_on" else []
    return tuple(found)


def _above(
    recorder: Recorder, chain: Sequence[Work], note_by_id: NoteById
) -> tuple[tuple[int, str] | None, bool, bool]:
    """Return the place of the nearest work above that has not ended, with words; whether it waits, and is held."""
    places = range(len(chain) - 2, -1, -1)
    place = next((place for place in places if _outcome(recorder.journal, chain[place]) is None), None)
    if place is None:
        return None, False, False
    held = any(leads_alone(recorder, work.note, work.action) for work in chain[place + 1 :])
    work = chain[place]
    note = note_or_none(note_by_id, work.note)
    if note is None:
        return (place, work.title), False, held
    walk = recorder.walk_of(work, note)
    waits = place == len(chain) - 2 and walk.leads_to == chain[-1].note and not walk.leaves
    return (place, f"{work.title}, {where(walk)}"), waits and not held, held


def where(walk: Walk) -> str:
    """Return where a walk stands, in words."""
    return said("to the outcome") if walk.finished else said("step {step}", step=walk.step)


def as_minutes(seconds: int) -> str:
    """Return a time as minutes and seconds.

    >>> as_minutes(125)
    '02:05'
    """
    return f"{seconds // 60:02}:{seconds % 60:02}"


def belongs_to(journal: Journal, entry: Entry, work: Work) -> bool:
    """Tell whether an entry began a work, or recorded something of it or of one to which it led."""
    kinds = (Outcome, Part, Escalation, Release, Swap, Photo, Remark)
    works = [work, *journal.all(Work, parent=work.id)]
    return work.entry == entry.id or any(journal.all(kind, entry=entry.id, work=w.id) for kind in kinds for w in works)
