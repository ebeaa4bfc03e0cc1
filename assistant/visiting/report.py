"""The report of a visit or of a period, read off the journal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import Arrival, Closing, Incident, Photo, Question, Remark, Visit
from assistant.journal.store import Journal
from assistant.languages import said
from assistant.visiting.figures import RepeatFault, figures, repeat_faults
from assistant.visiting.open_points import LeftOpen
from assistant.visiting.photos import FOLDER
from assistant.visiting.report_model import Exchange, IncidentReport, Picture, Report, VisitReport, visit_title
from assistant.visiting.report_stations import handed_at, read_visit, station_reports, unseen_at
from assistant.visiting.rounds import StandingBefore, sum_of, totals
from assistant.visiting.shops import Shop, read_shop
from assistant.visiting.times import local_day
from assistant.visiting.words import INCIDENT_WORDS

__all__ = ["period_report", "visit_report"]


def visit_report(journal: Journal, visit: int | None = None) -> Report:
    """Return the report of a visit, the newest where none is named.

    Raises
    ------
    UsageError
        If there is no such visit; it tells which there are.
    """
    found = journal.get(Visit, visit) if visit is not None else journal.last(Visit)
    if found is None:
        raise UsageError(_no_visit(visit, [one.id for one in journal.all(Visit)]))
    made = _Visits(journal, repeat_faults(journal, store=found.store)).report(found)
    folder = journal.path.parent / FOLDER
    return Report(visit_title(made), made.time_in, made.time_out, (made,), folder=folder)


def period_report(journal: Journal, since: str, until: str) -> Report:
    """Return the report of the visits that began from one day to another, both included; ISO 8601 dates."""
    chosen = [visit for visit in journal.all(Visit) if since <= local_day(visit.at) <= until]
    read = _Visits(journal, repeat_faults(journal))
    visits = tuple(read.report(visit) for visit in chosen)
    return Report(
        said("Visits from {since} to {until}", since=since, until=until),
        since,
        until,
        visits,
        tuple(figures(journal, since, until)),
        sum_of([visit.totals for visit in visits]),
        journal.path.parent / FOLDER,
    )


def _no_visit(visit: int | None, known: Sequence[int]) -> str:
    if not known:
        return said("there is no visit yet: open one, and it can be reported")
    runs: list[list[int]] = []
    for number in known:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = ", ".join(
        said("{first} to {last}", first=run[0], last=run[-1]) if len(run) > 1 else str(run[0]) for run in runs
    )
    if len(known) == 1:
        return said("there is no visit {visit}: there is visit {told}", visit=visit, told=told)
    return said("there is no visit {visit}: there are visits {told}", visit=visit, told=told)


class _AtShop(NamedTuple):
    """What was read of a shop, how its stations stood, and what was left open there."""

    shop: Shop
    stood: StandingBefore
    left: LeftOpen


class _Visits:
    """Reports visits; what the journal holds of a shop is read once for all of them."""

    def __init__(self, journal: Journal, repeats: Iterable[RepeatFault]) -> None:
        self._journal = journal
        self._shops: dict[str, _AtShop] = {}
        self._repeats: dict[int, list[RepeatFault]] = {}
        for repeat in repeats:
            self._repeats.setdefault(repeat.visit, []).append(repeat)

    def report(self, visit: Visit) -> VisitReport:
        """Return the report of a visit."""
        if visit.store not in self._shops:
            shop = read_shop(self._journal, visit.store)
            stood = StandingBefore(shop.happened)
            self._shops[visit.store] = _AtShop(shop, stood, LeftOpen(self._journal, shop, stood))
        return _visit(self._journal, visit, self._shops[visit.store], self._repeats.get(visit.id, ()))


def _visit(journal: Journal, visit: Visit, there: _AtShop, repeats: Iterable[RepeatFault]) -> VisitReport:
    closing = next(iter(journal.all(Closing, visit=visit.id)), Closing(visit.id))
    arrivals = journal.all(Arrival, visit=visit.id)
    at = read_visit(journal, visit, there.shop, there.stood)
    questions = journal.all(Question, visit=visit.id)
    remarks = [(remark.station, remark.text) for remark in journal.all(Remark, visit=visit.id)]
    return VisitReport(
        visit.id,
        visit.store,
        visit.rep,
        visit.at,
        closing.at,
        ", ".join(dict.fromkeys(arrival.allowed_by for arrival in arrivals)),
        "; ".join(arrival.remark for arrival in arrivals if arrival.remark),
        station_reports(at),
        unseen_at(at),
        tuple(there.left.before(visit.id + 1)),
        handed_at(at),
        tuple(Exchange(swap.station, swap.unit, swap.taken_out, swap.put_in) for swap in at.swaps),
        tuple(
            IncidentReport(one.at, one.station, said(INCIDENT_WORDS[one.incident]), one.text, one.told)
            for one in journal.all(Incident, visit=visit.id)
        ),
        _pictures(journal.all(Photo, visit=visit.id)),
        tuple(f"{station}: {text}" if station else text for station, text in [*remarks, ("", closing.remark)] if text),
        closing.next_visit,
        closing.taken_by,
        closing.signed,
        totals(journal, visit.id, there.shop),
        tuple(repeats),
        tuple(question.text for question in questions),
        tuple(question.text for question in questions if question.decision == "none"),
    )


def _pictures(photos: Iterable[Photo]) -> tuple[Picture, ...]:
    return tuple(dict.fromkeys(Picture(photo.name, photo.station, photo.shows, photo.copy) for photo in photos))
