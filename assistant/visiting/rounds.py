"""The stations of a shop and what is left open there, read off the journal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from assistant.journal.records import Escalation, Part, Photo, Plays, Question, Sighting, Visit
from assistant.journal.store import Journal
from assistant.visiting.shops import ON_THE_WAY, RELEASED, Event, Shop, read_shop, strays
from assistant.visiting.words import State, state_word

__all__ = [
    "StandingBefore",
    "StationState",
    "Totals",
    "events",
    "states",
    "stations_of",
    "step",
    "sum_of",
    "totals",
]

_AFTER: dict[str, State] = {
    "pass": "plays",
    "fault": "fault",
    "mended": "plays",
    "replaced": "plays",
    "withdrawn": "withdrawn",
    "escalated": "fault",
    "not_mended": "fault",
    "led_on": "fault",
    RELEASED: "fault",
}


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


def events(journal: Journal, *, store: str = "", until_visit: int | None = None) -> list[Event]:
    """Return what happened at stations, shop by shop, each in the order in which it was recorded.

    Parameters
    ----------
    store
        Only this shop; all where empty.
    until_visit
        Leave out this visit and later ones.
    """
    without = strays(journal)
    stores = [store] if store else [visit.store for visit in journal.last_of_each(Visit, "store")]
    happened = [event for one in stores for event in read_shop(journal, one, without=without).happened]
    return [event for event in happened if until_visit is None or event.visit < until_visit]


def step(before: StationState, event: Event) -> StationState:
    """Return how a station stands after an event, by how it stood before."""
    state = _AFTER[event.name]
    out = before.state == "withdrawn" and event.name != RELEASED
    if out or (event.name == "fault" and event.plays == "danger"):
        state = "withdrawn"
    model = event.model or before.model
    if state == "plays":
        return StationState(event.station, state, model, since=event.at, seen_at=event.at)
    return StationState(
        event.station,
        state,
        model,
        (before.condition if out else "") or event.condition or before.condition,
        (before.note if out else "") or event.note or before.note,
        before.since if before.state in {"fault", "withdrawn"} else event.at,
        event.at,
        event.plays or before.plays,
    )


def states(found: Iterable[Event]) -> dict[str, StationState]:
    """Return how each station of one shop stands after its events, in the order in which they were last seen."""
    return _after(found, {})


def _after(found: Iterable[Event], stand: dict[str, StationState]) -> dict[str, StationState]:
    for event in found:
        stand[event.station] = step(stand.pop(event.station, StationState(event.station, "not_checked")), event)
    return stand


class StandingBefore:
    """How the stations of a shop stood before its visits; those of all visits in their order cost one pass.

    Parameters
    ----------
    happened
        The events of the shop, in the order in which they were recorded.
    """

    def __init__(self, happened: Sequence[Event]) -> None:
        self._happened = happened
        self._in_order = all(one.visit <= other.visit for one, other in pairwise(happened))
        self._place = 0
        self._stand: dict[str, StationState] = {}

    def __call__(self, visit: int | None) -> dict[str, StationState]:
        """Return how each station stood before a visit, or stands now where it is None."""
        if visit is None or not self._in_order:
            return states(event for event in self._happened if visit is None or event.visit < visit)
        if self._place and self._happened[self._place - 1].visit >= visit:
            self._place, self._stand = 0, {}
        begin = self._place
        while self._place < len(self._happened) and self._happened[self._place].visit < visit:
            self._place += 1
        return dict(_after(self._happened[begin : self._place], self._stand))


def stations_of(journal: Journal, store: str, *, until_visit: int | None = None) -> list[StationState]:
    """Return the stations ever seen in a shop as they stand now, in the order of the last round."""
    return list(states(events(journal, store=store, until_visit=until_visit)).values())


def totals(journal: Journal, visit: int, shop: Shop | None = None) -> Totals:
    """Return what a visit comes to; a work counts where it ended.

    Parameters
    ----------
    shop
        What was read of its shop already.
    """
    if shop is None:
        found = journal.get(Visit, visit)
        shop = read_shop(journal, found.store if found else "")
    last = {sighting.station: sighting.result for sighting in journal.all(Sighting, visit=visit)}
    ended = [shop.outcomes[work] for work, at in shop.ended.items() if at == visit]
    parts = journal.all(Part, visit=visit)
    questions = journal.all(Question, visit=visit)
    return Totals(
        stations=len(last),
        passes=sum(result == "pass" for result in last.values()),
        faults=sum(result == "fault" for result in last.values()),
        outcomes=tuple(sorted(Counter(outcome.outcome for outcome in ended).items())),
        minutes=round(sum(outcome.minutes for outcome in ended if outcome.outcome != ON_THE_WAY), 1),
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
