"""The stations of a shop and what is left open there, read off the journal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Literal, NamedTuple

from assistant.journal.records import (
    Escalation,
    Outcome,
    Part,
    Photo,
    Question,
    Sighting,
    Visit,
    Work,
)
from assistant.journal.store import Journal

__all__ = [
    "NOT_RECORDED",
    "STATE_WORDS",
    "Event",
    "OpenPoint",
    "State",
    "StationState",
    "Totals",
    "events",
    "left_open",
    "states",
    "stations_of",
    "totals",
    "wanted_parts",
]

State = Literal["plays", "fault", "withdrawn", "not_checked"]
STATE_WORDS: dict[State, str] = {
    "plays": "plays",
    "fault": "plays with a fault, or does not play",
    "withdrawn": "withdrawn from service",
    "not_checked": "not checked",
}
NOT_RECORDED = "not recorded"
_AFTER: dict[str, State] = {
    "pass": "plays",
    "fault": "fault",
    "mended": "plays",
    "replaced": "plays",
    "withdrawn": "withdrawn",
    "escalated": "fault",
    "not_mended": "fault",
}
_STAYS_WITHDRAWN = frozenset({"fault", "escalated", "not_mended"})


class Event(NamedTuple):
    """What was seen at a station or how work on it ended; ``name`` is a result or an outcome."""

    store: str
    station: str
    at: str
    visit: int
    name: str
    condition: str = ""
    note: str = ""
    model: str = ""
    work: int | None = None


class StationState(NamedTuple):
    """How a station stands after its last event; ``condition`` and ``note`` tell the fault."""

    station: str
    state: State
    model: str = ""
    condition: str = ""
    note: str = ""
    since: str = ""
    seen_at: str = ""


class OpenPoint(NamedTuple):
    """Something that is not done with: who has to do what."""

    kind: Literal["withdrawn", "fault", "work", "escalation", "part"]
    station: str
    text: str
    since: str
    owner: str
    todo: str


class Totals(NamedTuple):
    """What a visit comes to; ``outcomes`` counts works by outcome, in the order of their names."""

    stations: int
    passes: int
    faults: int
    outcomes: tuple[tuple[str, int], ...]
    minutes: float
    used: tuple[tuple[str, int], ...]
    wanted: tuple[tuple[str, int], ...]
    escalations: int
    photos: int
    questions: int
    unanswered: int


def events(journal: Journal, *, store: str = "", until_visit: int | None = None) -> list[Event]:
    """Return what happened at stations, in the order of time.

    Parameters
    ----------
    store
        Only this shop; all where empty.
    until_visit
        Leave out this visit and later ones.
    """
    stores = {v.id: v.store for v in journal.all(Visit) if until_visit is None or v.id < until_visit}
    ended = {outcome.work: outcome for outcome in journal.all(Outcome)}
    found = [
        Event(stores[s.visit], s.station, s.at, s.visit, s.result, s.condition, s.note, s.model)
        for s in journal.all(Sighting)
        if s.visit in stores
    ]
    found += [
        Event(stores[w.visit], w.station, o.at, w.visit, o.outcome, w.condition, w.note, work=w.id)
        for w in journal.all(Work)
        if w.station and w.visit in stores and (o := ended.get(w.id))
    ]
    return sorted((e for e in found if store in ("", e.store)), key=lambda e: (e.at, e.visit, e.work or 0))


def states(found: Iterable[Event]) -> dict[str, StationState]:
    """Return how each station of one shop stands after its events, in the order in which they were last seen."""
    stand: dict[str, StationState] = {}
    for event in found:
        before = stand.pop(event.station, StationState(event.station, "not_checked"))
        state = _AFTER[event.name]
        if before.state == "withdrawn" and event.name in _STAYS_WITHDRAWN:
            state = "withdrawn"
        model = event.model or before.model
        if state == "plays":
            after = StationState(event.station, state, model, since=event.at, seen_at=event.at)
        else:
            after = StationState(
                event.station,
                state,
                model,
                event.condition or before.condition,
                event.note or before.note,
                before.since if before.state in {"fault", "withdrawn"} else event.at,
                event.at,
            )
        stand[event.station] = after
    return stand


def stations_of(journal: Journal, store: str, *, until_visit: int | None = None) -> list[StationState]:
    """Return the stations ever seen in a shop as they stand now, in the order of the last round."""
    return list(states(events(journal, store=store, until_visit=until_visit)).values())


def wanted_parts(parts: Iterable[Part]) -> list[tuple[str, str, int, str]]:
    """Return (station, part, quantity, since) of what is wanted and was not used since at the same station."""
    open_: dict[tuple[str, str], tuple[int, str]] = {}
    for part in parts:
        key = (part.station, part.part)
        count, since = open_.get(key, (0, part.at))
        count = count + part.quantity if part.use == "wanted" else max(0, count - part.quantity)
        if count:
            open_[key] = (count, since)
        else:
            open_.pop(key, None)
    return [(station, part, count, since) for (station, part), (count, since) in sorted(open_.items())]


def left_open(journal: Journal, store: str, *, before_visit: int | None = None) -> list[OpenPoint]:
    """Return what earlier visits to a shop left open: stations, works, hand-overs, parts.

    Parameters
    ----------
    before_visit
        Leave out this visit and later ones.
    """
    happened = events(journal, store=store, until_visit=before_visit)
    stand = states(happened)
    plays = {event.station: event.at for event in happened if _AFTER[event.name] == "plays"}
    visits = {v.id for v in journal.all(Visit) if v.store == store and (before_visit is None or v.id < before_visit)}
    points: list[OpenPoint] = []
    handed = {e.station: e.at for e in journal.all(Escalation) if e.visit in visits}
    for s in stand.values():
        what = s.condition or s.note or NOT_RECORDED
        owner = "support desk" if handed.get(s.station, "") >= s.since else "rep"
        if s.state == "withdrawn":
            todo = "leave it off until the support desk releases it"
            points.append(OpenPoint("withdrawn", s.station, what, s.since, "support desk", todo))
        elif s.state == "fault":
            points.append(
                OpenPoint("fault", s.station, what, s.since, owner, f"check it; note: {s.note or 'none yet'}")
            )
    ended = {outcome.work for outcome in journal.all(Outcome)}
    points += [
        OpenPoint("work", work.station, work.title, work.at, "rep", f"go on with {work.note}")
        for work in journal.all(Work)
        if work.visit in visits and work.id not in ended
    ]
    for e in journal.all(Escalation):
        if e.visit in visits and plays.get(e.station, "") < e.at:
            job = f"job {e.job or NOT_RECORDED}, promised for {e.due or NOT_RECORDED}"
            points.append(OpenPoint("escalation", e.station, e.reason, e.at, "support desk", job))
    for station, part, count, since in wanted_parts(p for p in journal.all(Part) if p.visit in visits):
        points.append(OpenPoint("part", station, f"{count} {part}", since, "rep", "order it, or fit it if it has come"))
    return points


def totals(journal: Journal, visit: int) -> Totals:
    """Return what a visit comes to."""
    last = {sighting.station: sighting.result for sighting in journal.all(Sighting, visit=visit)}
    works = {work.id for work in journal.all(Work, visit=visit)}
    ended = [outcome for outcome in journal.all(Outcome) if outcome.work in works]
    parts = journal.all(Part, visit=visit)
    questions = journal.all(Question, visit=visit)
    return Totals(
        stations=len(last),
        passes=sum(result == "pass" for result in last.values()),
        faults=sum(result == "fault" for result in last.values()),
        outcomes=tuple(sorted(Counter(outcome.outcome for outcome in ended).items())),
        minutes=round(sum(outcome.minutes for outcome in ended), 1),
        used=_amounts(parts, "used"),
        wanted=_amounts(parts, "wanted"),
        escalations=len(journal.all(Escalation, visit=visit)),
        photos=len(journal.all(Photo, visit=visit)),
        questions=len(questions),
        unanswered=sum(question.decision == "none" for question in questions),
    )


def _amounts(parts: Iterable[Part], use: str) -> tuple[tuple[str, int], ...]:
    counts: Counter[str] = Counter()
    for part in parts:
        if part.use == use:
            counts[part.part] += part.quantity
    return tuple(sorted(counts.items()))
