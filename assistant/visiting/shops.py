"""What the journal holds of one shop: its visits, the works that count there, and what happened at its stations.

Only the rows of that shop are read, and of one of its stations where one is named, however much else is kept.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from assistant.journal.records import Entry, Outcome, Plays, Release, Sighting, Visit, Work
from assistant.journal.store import Journal

__all__ = ["ON_THE_WAY", "RELEASED", "Event", "Shop", "read_shop", "strays", "visit_at"]

RELEASED = "released"
_AT_ONCE = {"fault": 0, RELEASED: 1}
"""What comes first of what one entry holds: the fault, its release, and then how it passed or ended."""
ON_THE_WAY = "done"
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


class Shop(NamedTuple):
    """One shop, or one of its stations.

    ``visits`` are all visits to it, oldest first. ``works`` are those that count there, ``begun`` the visit from which
    each does, ``outcomes`` how each ended, and ``ended`` the visit at which. ``happened`` is in the order in which it
    was recorded.
    """

    store: str
    visits: Sequence[Visit]
    works: Sequence[Work]
    begun: Mapping[int, int]
    outcomes: Mapping[int, Outcome]
    ended: Mapping[int, int]
    happened: Sequence[Event]


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


def strays(journal: Journal, station: str = "") -> dict[int, int]:
    """Return the visit from which each work counts that was begun without one, of one station where one is named.

    It counts, once it has ended, at the visit at which that was told; where none was open, in the shop where its
    station is known. One that has not ended, or whose station is not known, counts nowhere.
    """
    found = {}
    only: dict[str, Any] = {"station": station} if station else {}
    for work in journal.all(Work, visit=None, **only):
        visit = _visit_of_stray(journal, work)
        if visit is not None:
            found[work.id] = visit
    return found


def _visit_of_stray(journal: Journal, work: Work) -> int | None:
    outcome = journal.last(Outcome, work=work.id)
    if outcome is None:
        return None
    told = journal.get(Entry, outcome.entry or 0)
    if told and told.visit is not None:
        visit = told.visit
    else:
        seen = _seen_by_then(journal, work.station, outcome)
        known = journal.get(Visit, seen.visit) if seen else None
        if known is None:
            return None
        there = journal.all(Visit, store=known.store)
        visit = visit_at(there, there[0].id, outcome.at)
    return visit if journal.get(Visit, visit) else None


def _seen_by_then(journal: Journal, station: str, outcome: Outcome) -> Sighting | None:
    """Return the last sighting of a station when a work on it had ended, or else the first after; None for none.

    A later one may be of a station with the same label in another shop, to which what was told does not move.
    """
    seen = journal.all(Sighting, station=station)
    then = _order(journal, outcome)
    before = [sighting for sighting in seen if _order(journal, sighting) <= then]
    return next(iter([*before[-1:], *seen]), None)


def read_shop(journal: Journal, store: str, station: str = "", *, without: Mapping[int, int] | None = None) -> Shop:
    """Read what the journal holds of a shop.

    Parameters
    ----------
    station
        Only what was seen and done at this station; all where empty.
    without
        What `strays` returns, where more shops than one are read.
    """
    only: dict[str, Any] = {"station": station} if station else {}
    stray = strays(journal, station) if without is None else without
    visits = journal.all(Visit, store=store)
    here = {visit.id for visit in visits}
    more = [journal.get(Work, work) for work, visit in stray.items() if visit in here]
    works = [*journal.at_shop(Work, store, **only), *(work for work in more if work)]
    works.sort(key=lambda work: work.id)
    begun = {work.id: work.visit or stray[work.id] for work in works}
    outcomes = _outcomes(journal, store, works, only)
    ended = {work: visit_at(visits, begun[work], outcome.at) for work, outcome in outcomes.items()}
    happened = [
        Event(
            store, s.station, s.at, s.visit, s.result, s.condition, s.note, s.model, None, s.plays, _order(journal, s)
        )
        for s in journal.at_shop(Sighting, store, **only)
    ]
    happened += [
        Event(store, r.station, r.at, visit, RELEASED, work=r.work, order=_order(journal, r))
        for r, visit in _releases(journal, store, station, visits, works, begun)
    ]
    happened += [
        Event(store, w.station, o.at, ended[w.id], o.outcome, w.condition, w.note, work=w.id, order=_order(journal, o))
        for w in works
        if w.station and (o := outcomes.get(w.id)) and o.outcome != ON_THE_WAY
    ]
    happened.sort(key=lambda e: (e.order, e.at, _AT_ONCE.get(e.name, len(_AT_ONCE)), e.work or 0))
    return Shop(store, visits, works, begun, outcomes, ended, happened)


def _order(journal: Journal, record: Sighting | Release | Outcome) -> int:
    return record.entry or journal.last_before(Entry, record.at)


def _outcomes(journal: Journal, store: str, works: Sequence[Work], only: Mapping[str, Any]) -> dict[int, Outcome]:
    """Return how each work ended; of a whole shop those with a visit at once."""
    found = [] if only else journal.at_shop(Outcome, store, through="work")
    singly = works if only else [work for work in works if work.visit is None]
    found += [outcome for work in singly for outcome in journal.all(Outcome, work=work.id)]
    return {outcome.work: outcome for outcome in found}


def _releases(
    journal: Journal,
    store: str,
    station: str,
    visits: Sequence[Visit],
    works: Sequence[Work],
    begun: Mapping[int, int],
) -> list[tuple[Release, int]]:
    """Return the releases that count in a shop, also if told on a visit elsewhere, each with its visit there."""
    if station:
        found = journal.all(Release, station=station)
    else:
        found = [*journal.at_shop(Release, store), *journal.at_shop(Release, store, through="work")]
        singly = [work.id for work in works if work.visit is None]
        found += [release for work in singly for release in journal.all(Release, work=work)]
    here = {visit.id for visit in visits}
    kept = []
    for release in sorted(set(found), key=lambda release: release.id):
        first = begun.get(release.work or 0) or _begun(journal, release)
        if first in here and release.station:
            kept.append((release, release.visit if release.visit in here else visit_at(visits, first, release.at)))
    return kept


def _begun(journal: Journal, release: Release) -> int:
    """Return the visit from which the work of a release counts, or else the visit on which it was told; 0 for none."""
    work = journal.get(Work, release.work) if release.work else None
    first = (work.visit or _visit_of_stray(journal, work) or 0) if work else 0
    return first if first and journal.get(Visit, first) else release.visit or 0
