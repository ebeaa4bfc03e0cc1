"""How the open visit stands: the stations of the round, what is open, what closing would leave."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, cast

from assistant.journal.records import RESULTS, Incident, OutcomeName, Sighting, SwitchedOff, Visit, Work
from assistant.journal.store import Journal
from assistant.languages import said, said_of
from assistant.visiting.figures import RepeatFault, repeat_faults
from assistant.visiting.open_points import LeftOpen, OpenPoint
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import StationState, Totals, states, totals
from assistant.visiting.shops import read_shop
from assistant.visiting.words import outcome_word, place_of

__all__ = ["RoundView", "before_closing", "round_view"]


class RoundView(NamedTuple):
    """The open visit as it stands.

    ``stations`` are in the order in which they were first seen, so that their places never change; ``seen`` are those
    seen on this visit; ``works`` stand open in this shop, newest first, ``elsewhere`` in others, each with the code of
    its shop, empty for none.
    ``last`` holds the name of the last event of each station on this visit, ``off`` why the staff had switched one off.
    """

    visit: Visit
    stations: tuple[StationState, ...]
    seen: frozenset[str]
    works: tuple[Work, ...]
    elsewhere: tuple[tuple[Work, str], ...]
    points: tuple[OpenPoint, ...]
    repeats: tuple[RepeatFault, ...]
    totals: Totals
    last: Mapping[str, str]
    off: Mapping[str, str]
    incidents: tuple[Incident, ...]

    @property
    def unseen(self) -> tuple[str, ...]:
        """Stations known here that were not seen on this visit."""
        return tuple(stand.station for stand in self.stations if stand.station not in self.seen)

    @property
    def known(self) -> tuple[str, ...]:
        """The asset labels known here."""
        return tuple(stand.station for stand in self.stations)

    def stand(self, station: str) -> StationState | None:
        """Return how a station stands, None where it is not known here."""
        return next((stand for stand in self.stations if stand.station == station), None)

    def word(self, stand: StationState) -> str:
        """Return how a station stands on this visit, in words."""
        if stand.state == "withdrawn":
            return stand.word if stand.station in self.seen else said("{state}, not seen yet", state=stand.word)
        if stand.station not in self.seen:
            return said("not seen yet")
        if any(work.station == stand.station for work in self.works):
            return said("being worked on")
        name = self.last.get(stand.station, "")
        if name in RESULTS or not name:
            return said("passes") if name == "pass" else stand.word
        return stand.word if name == "released" else outcome_word(cast("OutcomeName", name))


def round_view(recorder: Recorder) -> RoundView | None:
    """Return how the open visit stands, None where none is open."""
    visit, journal = recorder.visit, recorder.journal
    if visit is None:
        return None
    shop = read_shop(journal, visit.store)
    happened = shop.happened
    seen = dict.fromkeys(sighting.station for sighting in journal.all(Sighting, visit=visit.id))
    off = {one.station: one.reason for one in journal.all(SwitchedOff, visit=visit.id)}
    now = states(happened)
    order = dict.fromkeys([*(event.station for event in happened), *off])
    stations = tuple(now.get(station) or StationState(station, "not_checked") for station in order)
    works = [(work, _store_of(journal, work)) for work in recorder.open_works()]
    return RoundView(
        visit,
        stations,
        frozenset(seen),
        tuple(work for work, store in works if store == visit.store),
        tuple((work, store) for work, store in works if store != visit.store),
        tuple(LeftOpen(journal, shop).before(None)),
        tuple(r for r in repeat_faults(journal, store=visit.store) if r.station in seen),
        totals(journal, visit.id, shop),
        {event.station: event.name for event in happened if event.at >= visit.at},
        off,
        tuple(journal.all(Incident, visit=visit.id)),
    )


def _store_of(journal: Journal, work: Work) -> str:
    """Return the shop of a work, empty for none."""
    begun = journal.get(Visit, work.visit or 0)
    return begun.store if begun else ""


def before_closing(view: RoundView) -> tuple[str, ...]:
    """Return what should not be forgotten before the visit is closed, a line each, the gravest first."""
    lines = [
        said(
            "{station} is out of service ({why}), and nobody has handed it over to the support desk.",
            station=point.station,
            why=point.text,
        )
        for point in view.points
        if point.kind == "withdrawn" and not point.handed
    ]
    lines += [
        said("Nobody was told of this: {what}.", what=_what(incident))
        for incident in view.incidents
        if not incident.told
    ]
    lines += [
        said("Not finished: {place}, {title}.", place=place_of(work.station), title=work.title) for work in view.works
    ]
    if view.unseen:
        labels = ", ".join(view.unseen)
        lines.append(
            said_of(
                "Not seen: {labels} ({n} station).",
                "Not seen: {labels} ({n} stations).",
                len(view.unseen),
                labels=labels,
            )
        )
    return tuple(lines)


def _what(incident: Incident) -> str:
    return f"{incident.text} ({incident.station})" if incident.station else incident.text
