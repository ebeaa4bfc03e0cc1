"""What a visit or a period comes to, as values that every form of the report is made from."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from assistant.journal.records import Signed
from assistant.languages import said
from assistant.visiting.figures import Figure, RepeatFault
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.rounds import Totals
from assistant.visiting.words import State

__all__ = [
    "Exchange",
    "HandOver",
    "IncidentReport",
    "Picture",
    "Report",
    "StationReport",
    "VisitReport",
    "WorkReport",
    "copy_for_shop",
    "visit_title",
]


class WorkReport(NamedTuple):
    """The work through one note.

    ``outcome`` is in words, empty while it has not ended; ``lines`` tell what was done in order, ``checks`` what each
    check showed; ``led_by`` is the note that led on to this one; ``resumed`` tells that it was broken off and taken up
    again; ``alone`` is False of one that was done on the way of another.
    """

    note: str
    title: str
    outcome: str
    minutes: int
    begun: str
    ended: str = ""
    led_by: str = ""
    resumed: bool = False
    alone: bool = True
    remark: str = ""
    lines: tuple[str, ...] = ()
    checks: str = ""


class StationReport(NamedTuple):
    """One station in three words: as found, what was done, as left. The label is empty where none was told."""

    station: str
    model: str
    state: State
    found: str
    done: tuple[str, ...]
    left: str
    works: tuple[WorkReport, ...] = ()


class HandOver(NamedTuple):
    """What the support desk was told of one fault; ``number`` is the desk's, ``checks`` what was looked at before."""

    station: str
    fault: str
    since: str
    reason: str
    number: str = ""
    taken_by: str = ""
    due: str = ""
    checks: str = ""


class Exchange(NamedTuple):
    """A whole unit that was exchanged, by its number out and in."""

    station: str
    unit: str
    taken_out: str
    put_in: str


class IncidentReport(NamedTuple):
    """An injury or a near miss; ``told`` is who was told of it, empty for nobody."""

    at: str
    station: str
    what: str
    text: str
    told: str = ""


class Picture(NamedTuple):
    """A picture; ``copy`` is the name of its copy beside the journal, empty where there is none."""

    name: str
    station: str = ""
    shows: str = ""
    copy: str = ""


class VisitReport(NamedTuple):
    """One visit.

    ``stations`` holds those that something was seen or done at, and those that are out of service, which stand first;
    ``unseen`` the others known in this shop.
    """

    id: int
    store: str
    rep: str
    time_in: str
    time_out: str
    allowed_by: str
    house_rules: str
    stations: tuple[StationReport, ...]
    unseen: tuple[str, ...]
    open_points: tuple[OpenPoint, ...]
    handed: tuple[HandOver, ...]
    exchanges: tuple[Exchange, ...]
    incidents: tuple[IncidentReport, ...]
    pictures: tuple[Picture, ...]
    remarks: tuple[str, ...]
    next_visit: str
    taken_by: str
    signed: Signed
    totals: Totals
    repeats: tuple[RepeatFault, ...] = ()
    asked: tuple[str, ...] = ()
    unanswered: tuple[str, ...] = ()


class Report(NamedTuple):
    """One visit, or all visits of a period with what they come to and its figures.

    ``folder`` is where the copies of the pictures lie; no form tells it.
    """

    title: str
    since: str
    until: str
    visits: tuple[VisitReport, ...]
    figures: tuple[Figure, ...] = ()
    totals: Totals | None = None
    folder: Path | None = None


def visit_title(visit: VisitReport) -> str:
    """Return what the report of a visit is headed by."""
    return said("Visit {id}, shop {store}", id=visit.id, store=visit.store)


def copy_for_shop(report: Report) -> Report:
    """Return the report without what a shop does not need: ticked steps, checks, questions, what was seen again."""
    return report._replace(visits=tuple(_visit_for_shop(visit) for visit in report.visits))


def _visit_for_shop(visit: VisitReport) -> VisitReport:
    return visit._replace(
        stations=tuple(
            station._replace(works=tuple(work._replace(lines=(), checks="") for work in station.works))
            for station in visit.stations
        ),
        handed=tuple(handed._replace(checks="") for handed in visit.handed),
        totals=visit.totals._replace(questions=0, unanswered=0),
        repeats=(),
        asked=(),
        unanswered=(),
    )
