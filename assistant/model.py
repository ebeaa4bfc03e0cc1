"""The values that pass between the rooms: plain, frozen, without behaviour of their own.

They are named tuples of `assistant.values` and not dataclasses because a question is answered in a new process, and
twenty of those take longer to define than the answer to find.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.values import Literal, NamedTuple, get_args

__all__ = [
    "ABOUTS",
    "ANY_STATION",
    "MOST_DAYS",
    "MOST_OF_ANY",
    "ON_SAFETY",
    "SIGNALS",
    "About",
    "Act",
    "Alarm",
    "Answer",
    "Branch",
    "Contact",
    "Corpus",
    "Decision",
    "Example",
    "Figure",
    "Forbidden",
    "Hazard",
    "Item",
    "Note",
    "Option",
    "Phrases",
    "Reason",
    "Review",
    "SafetyMessage",
    "ScoredNote",
    "ShownStep",
    "Step",
    "Trade",
    "Vocabulary",
]

SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")

Decision = Literal["answer", "choose", "none"]
About = Literal[
    "procedure",
    "parts",
    "tools",
    "time",
    "cautions",
    "why",
    "first_step",
    "next_step",
    "after_that",
    "next_if_fails",
    "escalate",
    "done_check",
    "step",
    "wait",
    "mended",
    "item",
    "back",
    "small_talk",
]
ABOUTS: tuple[About, ...] = get_args(About)


class SafetyMessage(NamedTuple):
    """A signal word of ANSI Z535.6 and its text; it stands before step ``before_step``."""

    signal: str
    text: str
    before_step: int
    line: int = 0


class Branch(NamedTuple):
    """A choice under a step: a step to go to, a note to go to, or neither when the work is done.

    With both, the note is done first, and the work then goes on at the step.
    """

    condition: str
    text: str
    step: int | None = None
    note: str | None = None


class Step(NamedTuple):
    """One numbered instruction; ``n`` counts from 1."""

    n: int
    text: str
    branches: tuple[Branch, ...] = ()
    line: int = 0


class Figure(NamedTuple):
    """A picture of a note: the name of its file beside the note, and the words for whoever does not see it.

    It stands under step ``step``, with 0 below what is to be done before the first. ``digest`` is the SHA-256 of its
    file in hexadecimal digits, empty where nobody has looked at the file.
    """

    name: str
    alt: str
    step: int = 0
    line: int = 0
    digest: str = ""


class Example(NamedTuple):
    """A question that leads to a note, and the steps that it is about, best first, where it singles some out."""

    question: str
    steps: tuple[int, ...] = ()


class Phrases(NamedTuple):
    """What hurried people call a note's trouble: each pair of a thing and a trouble, and each plain line, asks for it.

    ``not_this`` are (line, id) of what sounds near and belongs to another note, to none where the id is empty.
    """

    things: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()
    plain: tuple[str, ...] = ()
    not_this: tuple[tuple[str, str], ...] = ()


class Hazard(NamedTuple):
    """One hazard and its message: what it is, what it does, how to avoid it. ``source`` is where that comes from.

    ``before`` are the words of steps that its message stands before.
    """

    key: str
    signal: str
    hazard: str
    consequence: str
    avoidance: str
    source: str
    before: tuple[str, ...] = ()


ANY_STATION = "all"
"""Kind of station of a note that is for every kind."""
ON_SAFETY = "safety-"
"""With this the ids of notes on safety begin, whatever the trade; the one area that the program itself knows."""
MOST_OF_ANY = 999
"""Minutes, revisions and amounts that a note or the trade may tell."""
MOST_DAYS = 365
"""Days that a contact may take."""


class Item(NamedTuple):
    """A tool or a part by its one name.

    ``place`` is where a rep has it from: ``kit``, ``store``, ``station`` or ``ordered``; ``least`` how many the bag
    holds at least; ``other`` are names that a note does not use for it.
    """

    name: str
    plural: str
    place: str
    least: int = 1
    other: tuple[str, ...] = ()


class Contact(NamedTuple):
    """Somebody whom a note sends a rep to; ``number`` is empty until the company has filled it in.

    ``days`` is how many days they take to see to a fault, 0 where that is not told.
    """

    key: str
    name: str
    number: str = ""
    days: int = 0


class Act(NamedTuple):
    """What no note may tell a rep to do: one of ``verbs``, done to one of ``things``, which is one ``of`` these.

    ``marks`` are words of which the sentence must hold one, ``unless`` those of which it must hold none; where a list
    is empty, it asks for nothing. ``source`` is where the ban comes from.
    """

    key: str
    verbs: tuple[str, ...]
    things: tuple[str, ...]
    of: tuple[str, ...]
    marks: tuple[str, ...]
    unless: tuple[str, ...]
    why: str
    source: str


class Forbidden(NamedTuple):
    """The forbidden acts.

    ``harmless`` are phrases that are never part of one, ``idioms`` those whose "not" forbids nothing, ``others`` the
    people who may do the work.
    """

    acts: tuple[Act, ...] = ()
    harmless: tuple[str, ...] = ()
    idioms: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


class Trade(NamedTuple):
    """What there is in the trade, each under its one name; ``language`` is the code of that of all notes.

    ``stations``, ``areas`` and ``actions`` map a key of the notes to the word that a rep reads, in the order of the
    file; ``words`` maps a word to those that a step does not use for it.
    ``publishers`` maps the name of one whose publications a note may rest on to its country, which is
    ``international`` for a body of many; ``countries`` maps a country to the other names that a text may call it by.
    """

    stations: Mapping[str, str] = MappingProxyType({})
    areas: Mapping[str, str] = MappingProxyType({})
    actions: Mapping[str, str] = MappingProxyType({})
    tools: tuple[Item, ...] = ()
    parts: tuple[Item, ...] = ()
    contacts: tuple[Contact, ...] = ()
    words: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    publishers: Mapping[str, str] = MappingProxyType({})
    countries: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    language: str = "en"


class Review(NamedTuple):
    """Who signed that a note is safe, when, and at which revision; nobody yet where ``by`` is empty.

    ``digest`` is that of the text which was signed; ``fits`` tells whether the note is still that text.
    """

    by: str = ""
    on: str = ""
    revision: int = 0
    digest: str = ""
    fits: bool = True


class Note(NamedTuple):
    """One procedure note as its file says it, free of Markdown.

    ``hazards`` are the keys of its safety messages in their order, ``on_failure`` the notes that it names for the case
    that it still fails. ``safety_review`` is None where the note does not speak of it. ``draft`` says why the note is
    in no pack for reps yet, and is empty where it is ready.
    """

    id: str
    title: str
    station: tuple[str, ...]
    action: str
    minutes: int
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    see_also: tuple[str, ...]
    revision: int
    reviewed: str
    sources: tuple[str, ...]
    condition: str
    steps: tuple[Step, ...]
    safety: tuple[SafetyMessage, ...]
    result: str
    if_it_still_fails: str
    cause: tuple[str, ...] = ()
    before_you_start: tuple[str, ...] = ()
    why: str = ""
    links: tuple[str, ...] = ()
    on_failure: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    safety_review: Review | None = None
    examples: tuple[Example, ...] = ()
    phrases: Phrases = Phrases()
    figures: tuple[Figure, ...] = ()
    path: str = ""
    draft: str = ""


class Alarm(NamedTuple):
    """Words and phrases that put a safety note first, and those that lift it where they hold such a word."""

    note: str
    words: tuple[str, ...]
    lifted_by: tuple[str, ...] = ()


class Vocabulary(NamedTuple):
    """Words that mean another word: form -> ((corpus word, weight in percent), ...)."""

    forms: Mapping[str, tuple[tuple[str, int], ...]] = MappingProxyType({})


class Corpus(NamedTuple):
    """All that the author keeps.

    ``uncovered`` are questions that no note covers, ``followups`` (about, phrase) of turns, ``dangers`` (safety note,
    sentence) of bare sentences that tell of harm, ``ambiguous`` (notes, question) of those that fit several. ``alarms``
    are in the order of their file, the first of two that ring going first; ``emergency`` is the line on whom to call.
    ``figures`` are the pictures of the notes as they are shown, by the digest of their file.
    """

    notes: tuple[Note, ...]
    uncovered: tuple[str, ...] = ()
    vocabulary: Vocabulary = Vocabulary()
    followups: tuple[tuple[str, str], ...] = ()
    dangers: tuple[tuple[str, str], ...] = ()
    ambiguous: tuple[tuple[tuple[str, ...], str], ...] = ()
    alarms: tuple[Alarm, ...] = ()
    emergency: str = ""
    trade: Trade = Trade()
    hazards: tuple[Hazard, ...] = ()
    forbidden: Forbidden = Forbidden()
    digest: str = ""
    figures: Mapping[str, bytes] = MappingProxyType({})


class Reason(NamedTuple):
    """Points that one term brought to a note's score through one field."""

    term: str
    field: str
    points: int


class ScoredNote(NamedTuple):
    """A note of the ranking; ``reasons`` sum to ``score`` exactly."""

    id: str
    score: int
    reasons: tuple[Reason, ...] = ()


class ShownStep(NamedTuple):
    """A step of an answer; ``matches`` when it holds what was asked about."""

    n: int
    text: str
    matches: bool
    branches: tuple[str, ...] = ()


class Option(NamedTuple):
    """Another note to pick; ``apart`` says what tells it from the others."""

    id: str
    title: str
    apart: str = ""


class Answer(NamedTuple):
    """What every front end shows; none of them adds to it.

    ``note`` is None with ``choose`` and ``none``, and with ``answer`` where it is small talk and no note is in hand.
    ``confidence`` is the probability that the note is right, with ``none`` that any note covers the question.
    ``emergency`` is the line on whom to call where harm comes near, else empty. ``action`` is what the note does in the
    words of the trade, ``contacts`` are those whom the note names. ``language`` is the code of that of all its words.
    """

    question: str
    read_as: str
    decision: Decision
    about: About
    text: str
    note: Note | None
    safety: tuple[SafetyMessage, ...]
    steps: tuple[ShownStep, ...]
    options: tuple[Option, ...]
    confidence: float
    why: tuple[Reason, ...]
    pack: str
    id: str = ""
    safety_first: bool = False
    emergency: str = ""
    action: str = ""
    contacts: tuple[Contact, ...] = ()
    language: str = "en"
