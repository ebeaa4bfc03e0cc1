"""Figures of the journal, each with what it is counted from: repeats, first-time fixes, minutes, availability."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from itertools import zip_longest
from typing import NamedTuple

from assistant.journal.faults import damaged
from assistant.journal.records import Outcome, Sighting, Visit, Work
from assistant.journal.store import Journal, stamp
from assistant.languages import said, said_of, to_say
from assistant.planning.interval import exact_interval
from assistant.planning.reliability import availability
from assistant.visiting.rounds import StationState, events, step
from assistant.visiting.shops import Event
from assistant.visiting.times import local_day

__all__ = [
    "Figure",
    "NoteMinutes",
    "RepeatFault",
    "StationHours",
    "figures",
    "first_time_fix",
    "minutes_of_notes",
    "repeat_faults",
    "span",
    "station_hours",
]

_CLOSED_WELL = frozenset({"mended", "replaced"})
_FIRST, _LAST = "2000-01-01", "2999-12-31"


class Figure(NamedTuple):
    """One figure; a share has ``k`` of ``n`` and its exact 95 % interval. ``value`` is None where n is 0.

    ``plain`` says it as a rep would. ``name`` and ``unit`` are English; whoever shows them says them.
    """

    name: str
    value: float | None
    unit: str
    n: int
    definition: str
    k: int | None = None
    low: float | None = None
    high: float | None = None
    plain: str = ""


class RepeatFault(NamedTuple):
    """The same fault seen at the same station again; ``visit`` is the visit at which it was seen last."""

    station: str
    store: str
    fault: str
    note: str
    times: int
    first_at: str
    last_at: str
    visit: int


class NoteMinutes(NamedTuple):
    """Mean minutes that works through a note took, beside what the note says."""

    note: str
    minutes: float
    n: int
    written: int


class StationHours(NamedTuple):
    """Hours that a station could be played and could not, as far as the journal knows."""

    store: str
    station: str
    up: float
    down: float


def _same_fault(one: Sighting, other: Sighting) -> bool:
    if one.note and other.note:
        return one.note == other.note
    return bool(one.condition) and one.condition.casefold() == other.condition.casefold()


def repeat_faults(journal: Journal, visits: int = 3, *, store: str = "") -> list[RepeatFault]:
    """Return the faults seen again at the same station within so many later visits to the same shop.

    The same fault is one with the same note where both have one, else with the same words; seen twice in one visit it
    counts once. Latest first.

    Parameters
    ----------
    store
        Only this shop; all where empty.
    """
    stores = _stores(journal, store)
    found = [
        RepeatFault(
            run[-1].station,
            stores[run[-1].visit],
            run[-1].condition or run[-1].note,
            run[-1].note,
            len(run),
            run[0].at,
            run[-1].at,
            run[-1].visit,
        )
        for run in _runs_of_faults(journal, visits, store)
        if len(run) > 1
    ]
    return sorted(found, key=lambda repeat: (repeat.last_at, repeat.store, repeat.station), reverse=True)


def _stores(journal: Journal, store: str = "") -> dict[int, str]:
    """Return the shop of each visit; refuse a journal in which stations were seen on one that was taken back."""
    if store:
        return {visit.id: visit.store for visit in journal.all(Visit, store=store)}
    stores = {visit.id: visit.store for visit in journal.all(Visit)}
    for sighting in journal.all(Sighting):
        if sighting.visit not in stores:
            raise damaged(journal.path, f"sighting {sighting.id}: its visit was taken back")
    return stores


def _faults_at(journal: Journal, stores: Mapping[int, str], store: str = "") -> dict[tuple[str, str], list[Sighting]]:
    """Return the faults seen at each station, by shop and label, in the order in which they were seen."""
    seen = journal.at_shop(Sighting, store, result="fault") if store else journal.all(Sighting, result="fault")
    found: dict[tuple[str, str], list[Sighting]] = {}
    for fault in seen:
        if fault.visit in stores:
            found.setdefault((stores[fault.visit], fault.station), []).append(fault)
    return found


def _runs_of_faults(journal: Journal, visits: int, store: str = "") -> list[list[Sighting]]:
    """Return the faults seen, each with those of the same that followed within so many visits, oldest first."""
    stores = _stores(journal, store)
    place: dict[int, int] = {}
    seen_in: dict[str, int] = {}
    for visit, shop in stores.items():
        place[visit] = seen_in[shop] = seen_in.get(shop, 0) + 1
    found = []
    for faults in _faults_at(journal, stores, store).values():
        runs: list[list[Sighting]] = []
        near: list[list[Sighting]] = []
        for fault in faults:
            near = [run for run in near if place[fault.visit] - place[run[-1].visit] <= visits]
            run = next((run for run in reversed(near) if any(_same_fault(one, fault) for one in run)), None)
            if run is None:
                runs.append([fault])
                near.append(runs[-1])
            elif run[-1].visit != fault.visit:
                run.append(fault)
        found += runs
    return found


def _chains(journal: Journal) -> list[list[Work]]:
    """Return the works that led on to one another, each chain in order."""
    chains: dict[int, list[Work]] = {}
    for work in journal.all(Work):
        chain = chains.get(work.parent) if work.parent is not None else None
        if chain is None:
            chains[work.id] = [work]
        else:
            chain.append(work)
            chains[work.id] = chain
    return [chain for first, chain in chains.items() if chain[0].id == first]


def first_time_fix(journal: Journal, since: str, until: str, *, days: int = 30) -> Figure:
    """Return the share of jobs that were closed at the first visit and stayed closed.

    A job is a work at a station on a visit, with the works that it led on to; it is closed when all have ended, at the
    end of the last. It is provisional while the journal does not reach over the days that follow.
    """
    ended = {outcome.work: outcome for outcome in journal.all(Outcome)}
    stores = _stores(journal)
    faults: dict[tuple[str, str], list[Sighting]] = {}
    for fault in journal.all(Sighting, result="fault"):
        faults.setdefault((stores[fault.visit], fault.station), []).append(fault)
    reached = _day_after(span(journal)[1])
    closed = fixed = early = 0
    for chain in _chains(journal):
        outcomes = [ended[work.id] for work in chain if work.id in ended]
        first = chain[0]
        if len(outcomes) < len(chain) or not first.station or first.visit not in stores:
            continue
        last = max(outcomes, key=lambda outcome: outcome.at)
        if not since <= local_day(last.at) <= until:
            continue
        closed += 1
        over = datetime.fromisoformat(last.at) + timedelta(days=days)
        early += over > reached
        seen = faults.get((stores[first.visit], first.station), [])
        later = seen[bisect_right(seen, last.at, key=_at) : bisect_right(seen, stamp(over), key=_at)]
        again = any(_is_fault_of(fault, chain) for fault in later)
        fixed += last.outcome in _CLOSED_WELL and len({work.visit for work in chain}) == 1 and not again
    definition = said(
        "jobs that ended mended or replaced in one visit, with no repeat of the same fault at the same station within "
        "{days} days, over all jobs at stations that ended; {early} of {closed} are provisional, as the journal does "
        "not yet reach over their {days} days",
        days=days,
        early=early,
        closed=closed,
    )
    stay = said_of(
        "{n} of {closed} stays mended within {days} days",
        "{n} of {closed} stay mended within {days} days",
        fixed,
        closed=closed,
        days=days,
    )
    plain = stay if closed else said("no work on a station has ended")
    return _share(to_say("first-time fix rate"), fixed, closed, definition, plain)


def _at(fault: Sighting) -> str:
    return fault.at


def _is_fault_of(fault: Sighting, chain: Sequence[Work]) -> bool:
    if fault.note:
        return fault.note in {work.note for work in chain}
    return bool(fault.condition) and fault.condition.casefold() == chain[0].condition.casefold()


def minutes_of_notes(journal: Journal, since: str, until: str) -> list[NoteMinutes]:
    """Return the mean minutes of the works that ended in a period, note by note; ended early or not."""
    ended = {outcome.work: outcome for outcome in journal.all(Outcome) if since <= local_day(outcome.at) <= until}
    taken: dict[str, list[float]] = {}
    written: dict[str, int] = {}
    for work in journal.all(Work):
        if work.id in ended:
            taken.setdefault(work.note, []).append(ended[work.id].minutes)
            written[work.note] = work.minutes
    return [
        NoteMinutes(note, round(sum(minutes) / len(minutes), 1), len(minutes), written[note])
        for note, minutes in sorted(taken.items())
    ]


def station_hours(journal: Journal, since: str, until: str) -> list[StationHours]:
    """Return up and down hours of each station from its first event in a period to the end of the period.

    A station is down from a fault to the next pass, mended or replaced; one that was taken out of service until it is
    released too.
    """
    happened: dict[tuple[str, str], list[Event]] = {}
    for event in events(journal):
        if local_day(event.at) <= until:
            happened.setdefault((event.store, event.station), []).append(event)
    start, end = datetime.fromisoformat(since).astimezone(), _day_after(until)
    hours = []
    for (store, station), mine in sorted(happened.items()):
        up = down = 0.0
        stand = StationState(station, "not_checked")
        for event, later in zip_longest(mine, mine[1:]):
            stand = step(stand, event)
            begins = max(start, datetime.fromisoformat(event.at))
            ends = datetime.fromisoformat(later.at) if later else end
            length = max(0.0, (min(end, ends) - begins).total_seconds() / 3600)
            if stand.state == "plays":
                up += length
            else:
                down += length
        if up + down:
            hours.append(StationHours(store, station, round(up, 2), round(down, 2)))
    return hours


def figures(journal: Journal, since: str, until: str, *, days: int = 30, visits: int = 3) -> list[Figure]:
    """Return the figures of a period; ISO 8601 dates, both included."""
    again = [
        place > 0
        for run in _runs_of_faults(journal, visits)
        for place, s in enumerate(run)
        if since <= local_day(s.at) <= until
    ]
    taken = [outcome.minutes for outcome in journal.all(Outcome) if since <= local_day(outcome.at) <= until]
    hours = station_hours(journal, since, until)
    up, down = sum(h.up for h in hours), sum(h.down for h in hours)
    share = availability(up, down) if hours else None
    return [
        first_time_fix(journal, since, until, days=days),
        _share(
            to_say("repeat faults"),
            sum(again),
            len(again),
            said(
                "faults seen again at the same station within {visits} visits to the same shop, over all faults seen, "
                "each once a visit",
                visits=visits,
            ),
            _again_words(sum(again), len(again)) if again else said("no fault was seen"),
        ),
        Figure(
            to_say("mean minutes of a work"),
            round(sum(taken) / len(taken), 1) if taken else None,
            to_say("min"),
            len(taken),
            said(
                "minutes between the acts of a work, pauses over 30 minutes left out, or as the rep told, over all "
                "works that ended"
            ),
            plain=said_of("{n} minute a work", "{n} minutes a work", round(sum(taken) / len(taken)))
            if taken
            else said("no work has ended"),
        ),
        Figure(
            to_say("operational availability"),
            None if share is None else round(share, 4),
            "",
            len(hours),
            said(
                "hours up over hours up and down, waiting for parts and people included, over all stations seen: a "
                "station is down from a fault to the next pass, mended or replaced, out of service until it is "
                "released too"
            ),
            plain=said("no station was seen")
            if share is None
            else said("stations can be played {share} of the time", share=_percent(share)),
        ),
    ]


def _again_words(again: int, faults: int) -> str:
    """Return how many of the faults were seen before; ``again`` is at most ``faults``, and that is above 0."""
    if faults == 1:
        return said_of(
            "{n} of 1 fault was seen before at the same station",
            "{n} of 1 fault were seen before at the same station",
            again,
        )
    return said_of(
        "{n} of {faults} faults was seen before at the same station",
        "{n} of {faults} faults were seen before at the same station",
        again,
        faults=faults,
    )


def _percent(share: float) -> str:
    return said("{percent}%", percent=format(share * 100, ".0f"))


def _share(name: str, k: int, n: int, definition: str, plain: str) -> Figure:
    low, high = exact_interval(k, n)
    if not n:
        return Figure(name, None, "", 0, definition, 0, plain=plain)
    return Figure(name, round(k / n, 4), "", n, definition, k, round(low, 4), round(high, 4), plain)


def _day_after(day: str) -> datetime:
    """Return the first moment after a day, here."""
    return (datetime.fromisoformat(day) + timedelta(days=1)).astimezone()


def span(journal: Journal) -> tuple[str, str]:
    """Return the first and the last day of what was recorded; the widest limits where nothing was."""
    days = [local_day(record.at) for kind in (Visit, Outcome) for record in journal.all(kind)]
    return (min(days), max(days)) if days else (_FIRST, _LAST)
