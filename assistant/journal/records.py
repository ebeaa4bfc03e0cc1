"""The kinds of record in a journal: one named tuple a kind, one table a kind, one column a field.

A record is added and never changed: what happens later to the same thing is a record of its own.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, get_args

__all__ = [
    "ACTS",
    "FIELDS",
    "KINDS",
    "OUTCOMES",
    "RESULTS",
    "TOLD_OUTCOMES",
    "USES",
    "VERDICTS",
    "Act",
    "ActName",
    "Closing",
    "Escalation",
    "Feedback",
    "Outcome",
    "OutcomeName",
    "Part",
    "Photo",
    "Question",
    "Record",
    "Remark",
    "Result",
    "Sighting",
    "ToldOutcome",
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
VerdictName = Literal["helpful", "not_helpful"]
RESULTS: tuple[Result, ...] = get_args(Result)
ACTS: tuple[ActName, ...] = get_args(ActName)
TOLD_OUTCOMES: tuple[ToldOutcome, ...] = get_args(ToldOutcome)
OUTCOMES: tuple[OutcomeName, ...] = get_args(OutcomeName)
USES: tuple[Use, ...] = get_args(Use)
VERDICTS: tuple[VerdictName, ...] = get_args(VerdictName)


class Visit(NamedTuple):
    """A rep arrived in a shop."""

    store: str
    rep: str = ""
    at: str = ""
    id: int = 0


class Closing(NamedTuple):
    """A visit was closed."""

    visit: int
    remark: str = ""
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
    at: str = ""
    id: int = 0


class Question(NamedTuple):
    """A question was asked, and this was answered."""

    text: str
    decision: str
    about: str
    note: str = ""
    options: str = ""
    read_as: str = ""
    confidence: float = 0.0
    pack: str = ""
    visit: int | None = None
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
    at: str = ""
    id: int = 0


class Photo(NamedTuple):
    """A picture was taken; the file stays where it is."""

    name: str
    station: str = ""
    shows: str = ""
    visit: int | None = None
    work: int | None = None
    at: str = ""
    id: int = 0


class Remark(NamedTuple):
    """Free text."""

    text: str
    station: str = ""
    visit: int | None = None
    work: int | None = None
    at: str = ""
    id: int = 0


Record = Visit | Closing | Sighting | Question | Feedback | Work | Act | Outcome | Part | Escalation | Photo | Remark
KINDS: tuple[type[Record], ...] = get_args(Record)

FIELDS = {
    "id": "number of the record within its kind, from 1; never used twice",
    "at": "when it was recorded: UTC, ISO 8601, 2026-11-25T16:23:37.250Z",
    "visit": "number of the visit, or none",
    "work": "number of the work through a note, or none",
    "parent": "number of the work that led on to this one, or none; it may have been erased",
    "store": "code of the shop",
    "rep": "who visits",
    "station": "asset label of the station",
    "model": "kind of station, as trade.yaml names it; empty for not told",
    "result": "pass or fault",
    "condition": "the fault as seen, in the rep's words",
    "note": "id of a procedure note; empty for none",
    "text": "the words themselves; of an act, the step or safety message as it stood",
    "decision": "answer, choose or none",
    "about": "what the answer is about, such as procedure, parts, time",
    "options": "ids of the other notes offered, best first, with spaces between",
    "read_as": "the words that were searched for",
    "confidence": "stated probability that the note is right, beside none that any note covers it, 0 to 1",
    "pack": "digest of the notes that answered",
    "question": "number of the question",
    "verdict": "helpful or not_helpful",
    "remark": "free text",
    "title": "title of the note",
    "action": "clean, adjust, replace, escalate, withdraw or inform",
    "revision": "revision of the note",
    "minutes": "of a work, minutes as the note says; of an outcome, minutes it took",
    "act": "acknowledged (a safety message), waiting (a count began), done, skipped or back (to an earlier step)",
    "step": "number of the step",
    "reason": "why a step was skipped, or why a fault was handed over",
    "choice": "the choice under the step that was taken",
    "to_step": "step that the choice leads to, or none; beside a note the step at which the work goes on after it",
    "to_note": "note that the choice leads to; empty for none",
    "seconds": "of waiting, how long to wait; of done, how long the step took",
    "outcome": "mended, replaced, escalated, withdrawn or not_mended; done on the way of another work; or led_on, left "
    "for another note",
    "part": "name of the part as the notes have it",
    "use": "used or wanted",
    "quantity": "how many",
    "job": "number of the job that the support desk gave",
    "contact": "who took the fault over",
    "due": "date that was promised, as told",
    "name": "file name of a picture, without a folder",
    "shows": "what is in the picture",
}


def kind_name(kind: type[NamedTuple]) -> str:
    """Return the name of a kind, which is the name of its table.

    >>> kind_name(Visit)
    'visit'
    """
    return kind.__name__.lower()
