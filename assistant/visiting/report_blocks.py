"""A report as headings, lists and tables: the same for every written form, which only draws them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from assistant.languages import said, said_of, to_say
from assistant.visiting.figures import Figure
from assistant.visiting.open_points import owner_word
from assistant.visiting.report_model import Picture, Report, StationReport, VisitReport, copy_for_shop, visit_title
from assistant.visiting.report_words import (
    again_words,
    amounts,
    exchange_words,
    figure_value,
    handed_words,
    incident_words,
    open_words,
    times_of,
    totals_line,
    work_label,
)
from assistant.visiting.rounds import Totals
from assistant.visiting.times import shown_day
from assistant.visiting.words import place_of

__all__ = [
    "NO_VISIT",
    "Block",
    "Facts",
    "Heading",
    "Items",
    "Line",
    "Pictures",
    "Sign",
    "Table",
    "report_blocks",
]

NO_VISIT = to_say("No visit in this time.")
_TAKEN_OVER = to_say("Taken over for the store by")
_THEN = (" ", " \N{RIGHTWARDS ARROW} ", " \N{RIGHTWARDS ARROW} ")


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


def report_blocks(report: Report, *, full: bool = False) -> Iterator[Block]:
    """Yield the blocks of a report, top to bottom; of the shop's copy, or of the full one."""
    report = report if full else copy_for_shop(report)
    yield Heading(1, report.title)
    if not report.visits:
        yield Line(said(NO_VISIT))
    elif report.totals:
        visits = said_of("{n} visit.", "{n} visits.", len(report.visits))
        yield Line(f"{visits} {totals_line(report.totals)}")
        yield from _parts(report.totals)
    alone = report.totals is None
    for visit in report.visits:
        if not alone:
            yield Heading(2, visit_title(visit))
        yield from _visit(visit, alone=alone)
        if full:
            yield from _step_by_step(visit, 2 if alone else 3)
    if report.figures:
        yield Heading(2, said("Figures"))
        yield from _figures(report.figures, full=full)


def _figures(figures: tuple[Figure, ...], *, full: bool) -> Iterator[Block]:
    if not full:
        yield Items(said("In this time"), tuple(figure.plain for figure in figures))
        return
    rows = tuple((said(f.name), figure_value(f), str(f.n), f.definition) for f in figures)
    head = (said("figure"), said("value"), "n", said("what it counts"))
    yield Table(said("Figures of the period, each with what it counts"), head, rows, (": ", ", n = ", ": "))


def _visit(visit: VisitReport, *, alone: bool) -> Iterator[Block]:
    day, time_in, time_out = times_of(visit)
    yield from _facts(
        (said("Rep"), visit.rep),
        (said("Date"), day),
        (said("In"), time_in),
        (said("Out"), time_out),
        (said("Permission by"), visit.allowed_by),
        (said("Told on arrival"), visit.house_rules),
    )
    yield Line(totals_line(visit.totals))
    if visit.stations:
        off = sum(station.state == "withdrawn" for station in visit.stations)
        rows = tuple(_station_row(station) for station in visit.stations)
        head = (said("station"), said("found"), said("done"), said("left"))
        yield Table(said("Stations"), head, rows, _THEN, off)
    yield from _facts((said("Not seen"), ", ".join(visit.unseen)))
    if visit.open_points:
        points = sorted(visit.open_points, key=lambda point: point.kind != "withdrawn")
        rows = tuple(
            (place_of(p.station), open_words(p), owner_word(p.owner), shown_day(p.due) if p.due else "") for p in points
        )
        head = (said("station"), said("what"), said("who sees to it"), said("by when"))
        yield Table(said("What is open"), head, rows, (" ", said("; seen to by: "), said("; by ")))
    if visit.incidents:
        yield Items(said("Injuries and near misses"), tuple(incident_words(one) for one in visit.incidents))
    if visit.exchanges:
        yield Items(said("Units exchanged"), tuple(exchange_words(one) for one in visit.exchanges))
    yield from _parts(visit.totals)
    if visit.pictures:
        yield Pictures(visit.pictures)
    if visit.remarks:
        yield Items(said("Remarks"), visit.remarks)
    yield from _facts((said("Next visit"), shown_day(visit.next_visit) if visit.next_visit else ""))
    if visit.signed == "typed":
        yield from _facts((said(_TAKEN_OVER), said("{name} (name typed)", name=visit.taken_by)))
    elif alone:
        yield Sign(visit.taken_by)
    else:
        yield from _facts((said(_TAKEN_OVER), visit.taken_by))


def _facts(*facts: tuple[str, str]) -> Iterator[Block]:
    told = tuple((name, value) for name, value in facts if value)
    if told:
        yield Facts(told)


def _parts(totals: Totals) -> Iterator[Block]:
    yield from _facts((said("Parts used"), amounts(totals.used)), (said("Parts wanted"), amounts(totals.wanted)))


def _station_row(station: StationReport) -> tuple[str, ...]:
    left = said("OUT OF SERVICE: leave it off") if station.state == "withdrawn" else station.left
    return (place_of(station.station), station.found, "; ".join(station.done), left)


def _step_by_step(visit: VisitReport, level: int) -> Iterator[Block]:
    """Yield what only the full copy holds."""
    for station in visit.stations:
        if station.works:
            yield Heading(level, said("Step by step: {place}", place=place_of(station.station)))
        for work in station.works:
            yield Items(work_label(work), work.lines or (said("no step was done"),))
    if visit.handed:
        yield Items(said("Handed over to the support desk"), tuple(handed_words(handed) for handed in visit.handed))
    if visit.repeats:
        yield Items(said("Seen again"), tuple(again_words(one) for one in visit.repeats))
    if visit.asked:
        yield Items(said("Asked"), visit.asked)
    if visit.unanswered:
        yield Items(said("Asked without an answer"), visit.unanswered)
