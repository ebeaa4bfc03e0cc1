"""The stations of a shop and what is left open there, read off the journal."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assistant.journal.records import (
    Entry,
    Escalation,
    Outcome,
    Part,
    Photo,
    Plays,
    Question,
    Release,
    Sighting,
    Visit,
    Work,
)
from assistant.journal.store import Journal
from assistant.visiting.words import State, state_word

__all__ = [
    "Event",
    "StationState",
    "Totals",
    "begun_in",
    "events",
    "same_shop",
    "states",
    "stations_of",
    "sum_of",
    "totals",
    "visit_at",
]

_RELEASED = "released"
_AT_ONCE = {"fault": 0, _RELEASED: 1}
"""What comes first of what one entry holds: the fault, its release, and then how it passed or ended."""
_AFTER: dict[str, State] = {
    "pass": "plays",
    "fault": "fault",
    "mended": "plays",
    "replaced": "plays",
    "withdrawn": "withdrawn",
    "escalated": "fault",
    "not_mended": "fault",
    "led_on": "fault",
    _RELEASED: "fault",
}
_ON_THE_WAY = "done"
"""Outcome of a work on the way of another: it says nothing of the station, and the other holds its minutes."""


class Event(NamedTuple):
    """What was seen at a station or how work on it ended; ``name`` is a result, an outcome or ``released``.

    ``order`` is the entry that it was recorded with, or the last one before it: it tells what came first also where
    the clock was put back.
    """

    store: str
    station: str
    at: str
    visit: int
    name: str
    condition: str = ""
    note: str = ""
    model: str = ""
    work: int | None = None
    plays: Plays = ""
    order: int = 0


class StationState(NamedTuple):
    """How a station stands after its last event; ``condition``, ``note`` and ``plays`` tell the fault.

    One that was taken out of service stays so, whatever is seen or done, until somebody has released it.
    """

    station: str
    state: State
    model: str = ""
    condition: str = ""
    note: str = ""
    since: str = ""
    seen_at: str = ""
    plays: Plays = ""

    @property
    def word(self) -> str:
        """How it stands, in words."""
        return state_word(self.state, self.plays)


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


def same_shop(journal: Journal) -> dict[int, list[Visit]]:
    """Return, for the number of each visit, all visits to that shop, oldest first."""
    shops: dict[str, list[Visit]] = {}
    for visit in journal.all(Visit):
        shops.setdefault(visit.store, []).append(visit)
    return {visit.id: there for there in shops.values() for visit in there}


def visit_at(there: Sequence[Visit], first: int, at: str) -> int:
    """Return the visit at which something was done in a work that may have been taken up again later.

    Parameters
    ----------
    there
        All visits to the shop, oldest first.
    first
        The visit at which the work began.
    at
        When the thing was done; it belongs to the last visit that had begun before.
    """
    place = bisect_left(there, at, key=lambda visit: visit.at)
    return max(first, there[place - 1].id if place else 0)


def begun_in(journal: Journal) -> dict[int, int]:
    """Return the visit from which each work counts.

    One that was begun without a visit counts, once it has ended, at the visit at which that was told; where none was
    open, in the shop where its station is known.
    """
    shops, works = same_shop(journal), journal.all(Work)
    found = {work.id: work.visit for work in works if work.visit in shops}
    without = [work for work in works if work.visit is None]
    if without:
        told = {entry.id: entry.visit for entry in journal.all(Entry)}
        ended = {outcome.work: outcome for outcome in journal.all(Outcome)}
        known = {sighting.station: sighting.visit for sighting in journal.all(Sighting)}
        for work in without:
            outcome, seen = ended.get(work.id), known.get(work.station)
            visit = told.get(outcome.entry or 0) if outcome else None
            if outcome and visit is None and seen is not None:
                visit = visit_at(shops[seen], shops[seen][0].id, outcome.at)
            if visit in shops:
                found[work.id] = visit
    return found


def events(journal: Journal, *, store: str = "", until_visit: int | None = None) -> list[Event]:
    """Return what happened at stations, in the order in which it was recorded.

    Parameters
    ----------
    store
        Only this shop; all where empty.
    until_visit
        Leave out this visit and later ones.
    """
    shops, begun = same_shop(journal), begun_in(journal)
    stores = {v.id: v.store for v in journal.all(Visit) if until_visit is None or v.id < until_visit}
    ended = {outcome.work: outcome for outcome in journal.all(Outcome)}
    written = journal.every(Entry)
    times = [entry.at for entry in written]

    def order(record: Sighting | Release | Outcome) -> int:
        place = bisect_right(times, record.at)
        return record.entry or (written[place - 1].id if place else 0)

    def released_in(release: Release) -> int | None:
        first = begun.get(release.work or 0, release.visit)
        elsewhere = first is not None and shops[first] is not shops.get(release.visit or 0)
        return visit_at(shops[first], first, release.at) if first is not None and elsewhere else release.visit

    found = [
        Event(
            stores[s.visit], s.station, s.at, s.visit, s.result, s.condition, s.note, s.model, None, s.plays, order(s)
        )
        for s in journal.all(Sighting)
        if s.visit in stores
    ]
    found += [
        Event(stores[visit], r.station, r.at, visit, _RELEASED, work=r.work, order=order(r))
        for r in journal.all(Release)
        if r.station and (visit := released_in(r)) in stores
    ]
    found += [
        Event(stores[visit], w.station, o.at, visit, o.outcome, w.condition, w.note, work=w.id, order=order(o))
        for w in journal.all(Work)
        if w.station and (first := begun.get(w.id)) and (o := ended.get(w.id)) and o.outcome != _ON_THE_WAY
        if (visit := visit_at(shops[first], first, o.at)) in stores
    ]
    return sorted(
        (e for e in found if store in ("", e.store)),
        key=lambda e: (e.order, e.at, _AT_ONCE.get(e.name, len(_AT_ONCE)), e.work or 0),
    )


def states(found: Iterable[Event]) -> dict[str, StationState]:
    """Return how each station of one shop stands after its events, in the order in which they were last seen."""
    stand: dict[str, StationState] = {}
    for event in found:
        before = stand.pop(event.station, StationState(event.station, "not_checked"))
        state = _AFTER[event.name]
        out = before.state == "withdrawn" and event.name != _RELEASED
        if out or (event.name == "fault" and event.plays == "danger"):
            state = "withdrawn"
        model = event.model or before.model
        if state == "plays":
            after = StationState(event.station, state, model, since=event.at, seen_at=event.at)
        else:
            after = StationState(
                event.station,
                state,
                model,
                (before.condition if out else "") or event.condition or before.condition,
                (before.note if out else "") or event.note or before.note,
                before.since if before.state in {"fault", "withdrawn"} else event.at,
                event.at,
                event.plays or before.plays,
            )
        stand[event.station] = after
    return stand


def stations_of(journal: Journal, store: str, *, until_visit: int | None = None) -> list[StationState]:
    """Return the stations ever seen in a shop as they stand now, in the order of the last round."""
    return list(states(events(journal, store=store, until_visit=until_visit)).values())


def totals(journal: Journal, visit: int) -> Totals:
    """Return what a visit comes to; a work counts where it ended."""
    last = {sighting.station: sighting.result for sighting in journal.all(Sighting, visit=visit)}
    there = same_shop(journal).get(visit, [])
    shop = {one.id for one in there}
    works = {work: first for work, first in begun_in(journal).items() if first in shop}
    ended = [
        outcome
        for outcome in journal.all(Outcome)
        if (first := works.get(outcome.work)) and visit_at(there, first, outcome.at) == visit
    ]
    parts = journal.all(Part, visit=visit)
    questions = journal.all(Question, visit=visit)
    return Totals(
        stations=len(last),
        passes=sum(result == "pass" for result in last.values()),
        faults=sum(result == "fault" for result in last.values()),
        outcomes=tuple(sorted(Counter(outcome.outcome for outcome in ended).items())),
        minutes=round(sum(outcome.minutes for outcome in ended if outcome.outcome != _ON_THE_WAY), 1),
        used=_amounts(parts, "used"),
        wanted=_amounts(parts, "wanted"),
        escalations=len(journal.all(Escalation, visit=visit)),
        photos=len(journal.all(Photo, visit=visit)),
        questions=len(questions),
        unanswered=sum(question.decision == "none" for question in questions),
    )


def sum_of(visits: Sequence[Totals]) -> Totals:
    """Return what several visits come to; a station counts once for each visit at which it was seen."""

    def counted(field: str) -> tuple[tuple[str, int], ...]:
        counts: Counter[str] = Counter()
        for one in visits:
            counts.update(dict(getattr(one, field)))
        return tuple(sorted(counts.items()))

    return Totals(
        stations=sum(one.stations for one in visits),
        passes=sum(one.passes for one in visits),
        faults=sum(one.faults for one in visits),
        outcomes=counted("outcomes"),
        minutes=round(sum(one.minutes for one in visits), 1),
        used=counted("used"),
        wanted=counted("wanted"),
        escalations=sum(one.escalations for one in visits),
        photos=sum(one.photos for one in visits),
        questions=sum(one.questions for one in visits),
        unanswered=sum(one.unanswered for one in visits),
    )


def _amounts(parts: Iterable[Part], use: str) -> tuple[tuple[str, int], ...]:
    counts: Counter[str] = Counter()
    for part in parts:
        if part.use == use:
            counts[part.part] += part.quantity
    return tuple(sorted(counts.items()))
