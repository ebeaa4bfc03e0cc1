"""A report as headings, lists and tables: the same for every written form, which only draws them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from assistant.journal.records import TOLD_OUTCOMES, ToldOutcome
from assistant.visiting.figures import Figure
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.report_model import (
    HandOver,
    IncidentReport,
    Picture,
    Report,
    StationReport,
    VisitReport,
    WorkReport,
    copy_for_shop,
)
from assistant.visiting.report_works import UNFINISHED, whole_minutes
from assistant.visiting.rounds import Totals
from assistant.visiting.times import NOT_TOLD, local_day, shown_day, shown_time
from assistant.visiting.words import amount_of, counted, outcome_word

__all__ = [
    "NO_STATION",
    "NO_VISIT",
    "OUT_OF_SERVICE",
    "Block",
    "Facts",
    "Heading",
    "Items",
    "Line",
    "Pictures",
    "Sign",
    "Table",
    "amounts",
    "figure_value",
    "handed_words",
    "incident_words",
    "open_words",
    "picture_words",
    "report_blocks",
    "times_of",
    "totals_line",
]

NO_STATION = "no station"
NO_VISIT = "No visit in this time."
OUT_OF_SERVICE = "OUT OF SERVICE"
_THEN = (" ", " \N{RIGHTWARDS ARROW} ", " \N{RIGHTWARDS ARROW} ")
_OPEN = (" ", "; seen to by: ", "; by ")


class Heading(NamedTuple):
    """A heading; ``level`` counts from 1."""

    level: int
    text: str


class Facts(NamedTuple):
    """Short facts on one line, each with its name."""

    facts: tuple[tuple[str, str], ...]


class Line(NamedTuple):
    """A paragraph of one line."""

    text: str


class Items(NamedTuple):
    """A list; ``label`` stands before it."""

    label: str
    items: tuple[str, ...]


class Table(NamedTuple):
    """A table with its caption; the first column names the row, the first ``marked`` rows are the ones to look at.

    ``joins`` stand before the cells of the other columns where a row is read as one line.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    joins: tuple[str, ...]
    marked: int = 0


class Pictures(NamedTuple):
    """Pictures, shown small where the form can."""

    pictures: tuple[Picture, ...]


class Sign(NamedTuple):
    """A place to sign on paper for the store; ``name`` is written there already, or empty."""

    name: str


Block = Heading | Facts | Line | Items | Table | Pictures | Sign

_EXCHANGED = "mended by an exchange"


def totals_line(totals: Totals) -> str:
    """Return the totals of a visit in sentences; what is none is left out."""
    seen = f"{counted(totals.stations, 'station')} seen" if totals.stations else "No station seen"
    looks = [f"{totals.passes} pass"] if totals.passes else []
    looks += [counted(totals.faults, "fault")] if totals.faults else []
    works = [f"{n} {_EXCHANGED if name == 'replaced' else outcome_word(name)}" for name, n in _outcomes(totals)]
    minutes = whole_minutes(totals.minutes)
    works += [counted(minutes, "minute")] if minutes else []
    sentences = [
        f"{seen}: {', '.join(looks)}" if looks else seen,
        f"Worked on: {', '.join(works)}" if works else "",
        f"{totals.escalations} handed over to the support desk" if totals.escalations else "",
        counted(totals.photos, "picture") if totals.photos else "",
    ]
    return " ".join(f"{sentence}." for sentence in sentences if sentence)


def _outcomes(totals: Totals) -> list[tuple[ToldOutcome, int]]:
    """Return how works ended, in the order of the outcomes; hand-overs are counted by themselves."""
    counts = dict(totals.outcomes)
    return [(name, counts[name]) for name in TOLD_OUTCOMES if name in counts and name != "escalated"]


def report_blocks(report: Report, *, full: bool = False) -> Iterator[Block]:
    """Yield the blocks of a report, top to bottom; of the shop's copy, or of the full one."""
    report = report if full else copy_for_shop(report)
    yield Heading(1, report.title)
    if not report.visits:
        yield Line(NO_VISIT)
    elif report.totals:
        yield Line(f"{counted(len(report.visits), 'visit')}. {totals_line(report.totals)}")
        yield from _parts(report.totals)
    alone = report.totals is None
    for visit in report.visits:
        if not alone:
            yield Heading(2, f"Visit {visit.id}, shop {visit.store}")
        yield from _visit(visit, alone=alone)
        if full:
            yield from _step_by_step(visit, 2 if alone else 3)
    if report.figures:
        yield Heading(2, "Figures")
        yield from _figures(report.figures, full=full)


def _figures(figures: tuple[Figure, ...], *, full: bool) -> Iterator[Block]:
    if not full:
        yield Items("In this time", tuple(figure.plain for figure in figures))
        return
    rows = tuple((f.name, figure_value(f), str(f.n), f.definition) for f in figures)
    head = ("figure", "value", "n", "what it counts")
    yield Table("Figures of the period, each with what it counts", head, rows, (": ", ", n = ", ": "))


def figure_value(figure: Figure) -> str:
    """Return a figure with its interval, or that there is nothing to count."""
    if figure.value is None:
        return "nothing to count"
    if figure.k is None or figure.low is None or figure.high is None:
        return f"{figure.value:g} {figure.unit}".strip()
    return f"{figure.k}/{figure.n} = {figure.value:.3f} [{figure.low:.3f}, {figure.high:.3f}]"


def times_of(visit: VisitReport) -> tuple[str, str, str]:
    """Return day, time in and time out of a visit on the clock of the place; a time out on another day with its day."""
    day = local_day(visit.time_in)
    told = [shown_time(at).removeprefix(day).strip() if at else "still open" for at in (visit.time_in, visit.time_out)]
    return shown_day(day), told[0], told[1]


def _visit(visit: VisitReport, *, alone: bool) -> Iterator[Block]:
    day, time_in, time_out = times_of(visit)
    yield from _facts(
        ("Rep", visit.rep),
        ("Date", day),
        ("In", time_in),
        ("Out", time_out),
        ("Permission by", visit.allowed_by),
        ("Told on arrival", visit.house_rules),
    )
    yield Line(totals_line(visit.totals))
    if visit.stations:
        off = sum(station.state == "withdrawn" for station in visit.stations)
        rows = tuple(_station_row(station) for station in visit.stations)
        yield Table("Stations", ("station", "found", "done", "left"), rows, _THEN, off)
    yield from _facts(("Not seen", ", ".join(visit.unseen)))
    if visit.open_points:
        points = sorted(visit.open_points, key=lambda point: point.kind != "withdrawn")
        rows = tuple(
            (p.station or NO_STATION, open_words(p), p.owner, shown_day(p.due) if p.due else "") for p in points
        )
        yield Table("What is open", ("station", "what", "who sees to it", "by when"), rows, _OPEN)
    if visit.incidents:
        yield Items("Injuries and near misses", tuple(incident_words(one) for one in visit.incidents))
    if visit.exchanges:
        units = (f"{e.station or NO_STATION}, {e.unit}: {e.taken_out} out, {e.put_in} in" for e in visit.exchanges)
        yield Items("Units exchanged", tuple(units))
    yield from _parts(visit.totals)
    if visit.pictures:
        yield Pictures(visit.pictures)
    if visit.remarks:
        yield Items("Remarks", visit.remarks)
    yield from _facts(("Next visit", shown_day(visit.next_visit) if visit.next_visit else ""))
    if visit.signed == "typed":
        yield from _facts(("Taken over for the store by", f"{visit.taken_by} (name typed)"))
    elif alone:
        yield Sign(visit.taken_by)
    else:
        yield from _facts(("Taken over for the store by", visit.taken_by))


def _facts(*facts: tuple[str, str]) -> Iterator[Block]:
    told = tuple((name, value) for name, value in facts if value)
    if told:
        yield Facts(told)


def _parts(totals: Totals) -> Iterator[Block]:
    yield from _facts(("Parts used", amounts(totals.used)), ("Parts wanted", amounts(totals.wanted)))


def amounts(parts: tuple[tuple[str, int], ...]) -> str:
    """Return parts with how many of each.

    >>> amounts((("bolt", 2), ("lead", 1)))
    '2 x bolt, 1 lead'
    """
    return ", ".join(amount_of(count, part) for part, count in parts)


def _station_row(station: StationReport) -> tuple[str, ...]:
    left = f"{OUT_OF_SERVICE}: leave it off" if station.state == "withdrawn" else station.left
    return (station.station or NO_STATION, station.found, "; ".join(station.done), left)


def open_words(point: OpenPoint) -> str:
    """Return an open point in words, without who sees to it and by when."""
    number = f"desk's number {point.number or NOT_TOLD}"
    if point.kind == "withdrawn":
        handed = number if point.handed else "not handed over to the support desk yet"
        return f"{point.text}: leave it off until it is released; {handed}"
    if point.handed:
        return f"{point.text} ({number})"
    return f"{point.text}: {point.todo}"


def incident_words(incident: IncidentReport) -> str:
    """Return what happened to somebody, or nearly did, and who was told."""
    where = ", ".join(word for word in (incident.station, shown_time(incident.at)) if word)
    told = f"told: {incident.told}" if incident.told else "nobody was told yet"
    return f"{where}, {incident.what}: {incident.text}; {told}"


def picture_words(picture: Picture) -> str:
    """Return what a picture shows, of which station."""
    return ": ".join(word for word in (picture.station, picture.shows or picture.name) if word)


def handed_words(handed: HandOver) -> str:
    """Return what was handed over to the support desk, in one line."""
    told = (
        f"{handed.station or NO_STATION}: {handed.fault or handed.reason}",
        f"since {shown_time(handed.since)}",
        f"why: {handed.reason}" if handed.fault else "",
        f"desk's number {handed.number or NOT_TOLD}",
        f"taken by {handed.taken_by}" if handed.taken_by else "",
        f"by {shown_day(handed.due)}" if handed.due else "",
        f"checks made: {handed.checks}" if handed.checks else "",
    )
    return "; ".join(word for word in told if word)


def _step_by_step(visit: VisitReport, level: int) -> Iterator[Block]:
    """Yield what only the full copy holds."""
    for station in visit.stations:
        if station.works:
            yield Heading(level, f"Step by step: {station.station or NO_STATION}")
        for work in station.works:
            yield Items(_work_label(work), work.lines or ("no step was done",))
    if visit.handed:
        yield Items("Handed over to the support desk", tuple(handed_words(handed) for handed in visit.handed))
    if visit.repeats:
        seen = (f"{r.station}: {r.fault}, {r.times} times since {shown_time(r.first_at)}" for r in visit.repeats)
        yield Items("Seen again", tuple(seen))
    if visit.asked:
        yield Items("Asked", visit.asked)
    if visit.unanswered:
        yield Items("Asked without an answer", visit.unanswered)


def _work_label(work: WorkReport) -> str:
    led = f", led on from {work.led_by}" if work.led_by else ""
    resumed = ", broken off and taken up again" if work.resumed else ""
    minutes = f", {work.minutes} min" if work.minutes else ""
    remark = f" ({work.remark})" if work.remark else ""
    return f"{work.title} ({work.note}{led}{resumed}): {work.outcome or UNFINISHED}{remark}{minutes}"
