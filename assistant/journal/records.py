"""The kinds of record in a journal: one named tuple a kind, one table a kind, one column a field.

A record is added and never changed: what happens later to the same thing is a record of its own. Records that were
written together belong to one entry, and an entry that was taken back stays with the record that says so.
"""

from __future__ import annotations

from assistant.journal.first import Closing, Entry, Question, Signed, Undo, Visit, kind_name
from assistant.values import Literal, NamedTuple, get_args

__all__ = [
    "ACTS",
    "INCIDENTS",
    "KINDS",
    "OUTCOMES",
    "RESULTS",
    "TOLD_OUTCOMES",
    "USES",
    "VERDICTS",
    "Act",
    "ActName",
    "Arrangement",
    "Arrival",
    "Closing",
    "Count",
    "Entry",
    "Escalation",
    "Feedback",
    "Incident",
    "IncidentName",
    "Outcome",
    "OutcomeName",
    "Part",
    "Photo",
    "Plays",
    "Question",
    "Record",
    "Release",
    "Remark",
    "Result",
    "Sighting",
    "Signed",
    "Swap",
    "SwitchedOff",
    "ToldOutcome",
    "Undo",
    "Use",
    "VerdictName",
    "Visit",
    "Work",
    "kind_name",
]

Result = Literal["pass", "fault"]
ActName = Literal["acknowledged", "waiting", "done", "skipped", "back"]
ToldOutcome = Literal["mended", "replaced", "escalated", "withdrawn", "not_mended"]
"""What a rep may tell of a work."""
OutcomeName = Literal["mended", "replaced", "escalated", "withdrawn", "not_mended", "done", "led_on"]
"""``done`` is a work on the way of another, which goes on; ``led_on`` one that was left for another note for good."""
Use = Literal["used", "wanted"]
Plays = Literal["", "yes", "no", "danger"]
"""Whether a station with a fault can still be played; empty for not told, ``danger`` where it must not be."""
IncidentName = Literal["injury", "shock", "spill", "near_miss"]
VerdictName = Literal["helpful", "not_helpful"]
RESULTS: tuple[Result, ...] = get_args(Result)
ACTS: tuple[ActName, ...] = get_args(ActName)
TOLD_OUTCOMES: tuple[ToldOutcome, ...] = get_args(ToldOutcome)
OUTCOMES: tuple[OutcomeName, ...] = get_args(OutcomeName)
USES: tuple[Use, ...] = get_args(Use)
VERDICTS: tuple[VerdictName, ...] = get_args(VerdictName)
INCIDENTS: tuple[IncidentName, ...] = get_args(IncidentName)


class Arrival(NamedTuple):
    """The store gave permission for the work."""

    visit: int
    allowed_by: str
    remark: str = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class SwitchedOff(NamedTuple):
    """The staff had switched a station off before the rep came."""

    visit: int
    station: str
    reason: str = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class Sighting(NamedTuple):
    """A station was looked at on the round and passed, or showed a fault."""

    visit: int
    station: str
    result: Result
    model: str = ""
    condition: str = ""
    note: str = ""
    plays: Plays = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class Feedback(NamedTuple):
    """An answer was called helpful or not."""

    question: int
    verdict: VerdictName
    remark: str = ""
    at: str = ""
    id: int = 0


class Work(NamedTuple):
    """Work through a note began; ``parent`` is the work that led on to it."""

    note: str
    title: str
    action: str
    revision: int
    minutes: int
    station: str = ""
    condition: str = ""
    visit: int | None = None
    parent: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Act(NamedTuple):
    """One thing done in the work through a note."""

    work: int
    act: ActName
    step: int
    text: str = ""
    reason: str = ""
    choice: str = ""
    to_step: int | None = None
    to_note: str = ""
    seconds: int = 0
    at: str = ""
    id: int = 0


class Outcome(NamedTuple):
    """The work through a note ended."""

    work: int
    outcome: OutcomeName
    minutes: float = 0.0
    remark: str = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class Part(NamedTuple):
    """A part was used, or is wanted."""

    part: str
    use: Use
    quantity: int = 1
    station: str = ""
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Escalation(NamedTuple):
    """A fault was handed to the support desk."""

    reason: str
    station: str = ""
    note: str = ""
    job: str = ""
    contact: str = ""
    due: str = ""
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Release(NamedTuple):
    """A station that was out of service may be played again."""

    station: str
    by: str
    day: str
    number: str
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Arrangement(NamedTuple):
    """Who sees to what is open at a station, and by when."""

    station: str
    point: str
    owner: str
    due: str = ""
    visit: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Swap(NamedTuple):
    """A whole unit was exchanged for another."""

    station: str
    unit: str
    taken_out: str
    put_in: str
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Incident(NamedTuple):
    """Somebody was hurt, or nearly, whether or not anybody complained."""

    incident: IncidentName
    text: str
    station: str = ""
    told: str = ""
    visit: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Count(NamedTuple):
    """So many of a part were in the bag when it was counted."""

    part: str
    quantity: int
    visit: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Photo(NamedTuple):
    """A picture was taken; ``copy`` is the file beside the journal, empty where there is none."""

    name: str
    station: str = ""
    shows: str = ""
    copy: str = ""
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


class Remark(NamedTuple):
    """Free text."""

    text: str
    station: str = ""
    visit: int | None = None
    work: int | None = None
    entry: int | None = None
    at: str = ""
    id: int = 0


Record = (
    Entry
    | Visit
    | Closing
    | Arrival
    | SwitchedOff
    | Sighting
    | Question
    | Feedback
    | Work
    | Act
    | Outcome
    | Part
    | Escalation
    | Release
    | Arrangement
    | Swap
    | Incident
    | Count
    | Photo
    | Remark
    | Undo
)
KINDS: tuple[type[Record], ...] = get_args(Record)
