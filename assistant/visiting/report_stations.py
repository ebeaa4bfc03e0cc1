"""The stations of a visit, a line each: as found, what was done, as left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.journal.records import Escalation, Release, Sighting, Swap, SwitchedOff, Visit, Work
from assistant.journal.store import Journal
from assistant.languages import said, to_say
from assistant.visiting.report_model import HandOver, StationReport, WorkReport
from assistant.visiting.report_works import UNFINISHED, minutes_beside, works_of
from assistant.visiting.rounds import StandingBefore, StationState
from assistant.visiting.shops import Shop
from assistant.visiting.times import local_day, shown_day

__all__ = ["AtVisit", "handed_at", "read_visit", "station_reports", "unseen_at"]

_NOT_LOOKED_AT = to_say("not looked at")
_NOT_CHECKED = to_say("not checked")


class AtVisit(NamedTuple):
    """What the journal holds of the stations at one visit; ``before`` and ``after`` are how they stood."""

    before: Mapping[str, StationState]
    after: Mapping[str, StationState]
    sightings: Sequence[Sighting]
    switched_off: Sequence[SwitchedOff]
    works: Sequence[tuple[Work, WorkReport]]
    handed: Sequence[Escalation]
    swaps: Sequence[Swap]
    releases: Sequence[Release]

    @property
    def labels(self) -> list[str]:
        """The stations that something was seen or done at, or that are out of service, which stand first."""
        off = [stand.station for stand in self.after.values() if stand.state == "withdrawn"]
        kinds = (self.switched_off, self.sightings, [work for work, _ in self.works], self.handed, self.swaps)
        touched = [record.station for kind in (*kinds, self.releases) for record in kind]
        return list(dict.fromkeys([*off, *sorted(touched, key=self._place)]))

    def _place(self, station: str) -> int:
        """Return where a station stands in the order of the round; one without a label comes last."""
        order = list(dict.fromkeys(sighting.station for sighting in self.sightings))
        return order.index(station) if station in order else len(order) + (not station)


def read_visit(journal: Journal, visit: Visit, shop: Shop, stood: StandingBefore) -> AtVisit:
    """Read what the journal holds of the stations at a visit.

    Parameters
    ----------
    shop
        What was read of its shop.
    stood
        How its stations stood.
    """
    return AtVisit(
        stood(visit.id),
        stood(visit.id + 1),
        journal.all(Sighting, visit=visit.id),
        journal.all(SwitchedOff, visit=visit.id),
        works_of(journal, visit, shop),
        journal.all(Escalation, visit=visit.id),
        journal.all(Swap, visit=visit.id),
        journal.all(Release, visit=visit.id),
    )


def station_reports(at: AtVisit) -> tuple[StationReport, ...]:
    """Return a line for each station of a visit, those out of service first."""
    return tuple(_station(at, label) for label in at.labels)


def unseen_at(at: AtVisit) -> tuple[str, ...]:
    """Return the stations known in the shop that nothing was seen or done at, and that are not out of service."""
    told = set(at.labels)
    return tuple(sorted(station for station in at.before if station not in told))


def handed_at(at: AtVisit) -> tuple[HandOver, ...]:
    """Return what was handed over to the support desk at a visit."""
    return tuple(_handed(at, escalation) for escalation in at.handed)


def _station(at: AtVisit, label: str) -> StationReport:
    now = at.after.get(label)
    works = [(work, told) for work, told in at.works if work.station == label]
    sightings = [sighting for sighting in at.sightings if sighting.station == label]
    first = min((told.begun for _, told in works), default="")
    before = [sighting for sighting in sightings if not first or sighting.at <= first]
    known = now is not None and bool(sightings or works or now.state == "withdrawn" or _released(at, label))
    return StationReport(
        label,
        now.model if now else "",
        now.state if now and known else "not_checked",
        _found(at, label, before, works),
        _done(at, label, sightings[len(before) :], works),
        now.word if now and known else said(_NOT_CHECKED) if label else "",
        tuple(told for _, told in works),
    )


def _released(at: AtVisit, label: str) -> list[Release]:
    return [release for release in at.releases if release.station == label]


def _found(at: AtVisit, label: str, seen: Sequence[Sighting], works: Sequence[tuple[Work, WorkReport]]) -> str:
    words = [
        said("switched off by the staff: {reason}", reason=off.reason)
        if off.reason
        else said("switched off by the staff")
        for off in at.switched_off
        if off.station == label
    ]
    before = at.before.get(label)
    if before and before.state == "withdrawn":
        since = said("out of service since {day}", day=shown_day(local_day(before.since)))
        words.append(f"{since}: {before.condition}" if before.condition else since)
    words += [_seen(sighting) for sighting in seen if not words or _seen(sighting) not in words[-1]]
    if not words:
        words = [work.condition for work, _ in works if work.condition][:1]
    return said("; then ").join(words) or (said(_NOT_LOOKED_AT) if label else "")


def _seen(sighting: Sighting) -> str:
    return said("passes") if sighting.result == "pass" else sighting.condition or said("a fault")


def _done(
    at: AtVisit, label: str, again: Sequence[Sighting], works: Sequence[tuple[Work, WorkReport]]
) -> tuple[str, ...]:
    """Return what was done at a station, in the order of time."""
    told = [(work.ended or work.begun, _ended(work)) for _, work in works if work.alone]
    told += [(swap.at, said("{unit} exchanged", unit=swap.unit)) for swap in at.swaps if swap.station == label]
    told += [(sighting.at, said("seen again: {what}", what=_seen(sighting))) for sighting in again]
    told += [(release.at, _release_words(release)) for release in _released(at, label)]
    told += [
        (
            handed.at,
            said("handed over, desk's number {number}", number=handed.job) if handed.job else said("handed over"),
        )
        for handed in at.handed
        if handed.station == label
    ]
    return tuple(dict.fromkeys(words for _, words in sorted(told, key=lambda one: one[0])))


def _release_words(release: Release) -> str:
    return said(
        "released by {name} on {day}, number {number}",
        name=release.by,
        day=shown_day(release.day),
        number=release.number,
    )


def _ended(work: WorkReport) -> str:
    told = f"{work.title}: {work.outcome or said(UNFINISHED)}{minutes_beside(work.minutes)}"
    return f"{told} ({work.remark})" if work.remark else told


def _handed(at: AtVisit, escalation: Escalation) -> HandOver:
    label = escalation.station
    now = at.after.get(label)
    works = [(work, told) for work, told in at.works if work.station == label]
    seen = [s.condition or s.note for s in at.sightings if s.station == label and s.result == "fault"]
    begun = [work.condition for work, _ in works if work.condition]
    stood = now.condition or now.note if now else ""
    return HandOver(
        label,
        (seen or begun or [stood])[-1],
        now.since if now and now.state != "plays" else escalation.at,
        escalation.reason,
        escalation.job,
        escalation.contact,
        escalation.due,
        " / ".join(told.checks for _, told in works),
    )
