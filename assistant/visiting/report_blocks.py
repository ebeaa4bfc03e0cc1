"""A report as headings, lists and tables: the same for every written form, which only draws them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from assistant.journal.records import OUTCOMES
from assistant.visiting.figures import Figure
from assistant.visiting.report import DESK_ASKS, Report, StationReport, VisitReport, WorkReport, shown_time
from assistant.visiting.rounds import NOT_RECORDED, Totals

__all__ = ["Block", "Heading", "Items", "Line", "Table", "figure_value", "report_blocks", "totals_line"]


class Heading(NamedTuple):
    """A heading; ``level`` counts from 1."""

    level: int
    text: str


class Line(NamedTuple):
    """A paragraph of one line."""

    text: str


class Items(NamedTuple):
    """A list; ``label`` stands before it."""

    label: str
    items: tuple[str, ...]


class Table(NamedTuple):
    """A table with its caption; the first column names the row."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Heading | Line | Items | Table


def totals_line(totals: Totals) -> str:
    """Return the totals of a visit as a sentence."""
    counts = dict(totals.outcomes)
    ended = ", ".join(f"{counts[name]} {name.replace('_', ' ')}" for name in OUTCOMES if name in counts)
    return (
        f"{totals.stations} stations seen: {totals.passes} pass, {totals.faults} fault. "
        f"Works ended: {ended or 'none'}; {totals.minutes:g} minutes. "
        f"{totals.escalations} handed to the support desk, {totals.photos} pictures, "
        f"{totals.questions} questions, {totals.unanswered} without an answer."
    )


def report_blocks(report: Report) -> Iterator[Block]:
    """Yield the blocks of a report, top to bottom."""
    yield Heading(1, report.title)
    if not report.visits:
        yield Line("No visit in this time.")
    elif report.totals:
        yield Line(f"{len(report.visits)} visits. {totals_line(report.totals)}")
        yield from _amounts(report.totals, "in this time")
    for visit in report.visits:
        yield from _visit(visit, alone=len(report.visits) == 1 and not report.figures)
    if report.figures:
        yield Heading(2, "Figures")
        rows = tuple((f.name, figure_value(f), str(f.n), f.definition) for f in report.figures)
        yield Table("Figures of the period, each with what it counts", ("figure", "value", "n", "what it counts"), rows)


def figure_value(figure: Figure) -> str:
    """Return a figure with its interval, or that there is nothing to count."""
    if figure.value is None:
        return "nothing to count"
    if figure.k is None or figure.low is None or figure.high is None:
        return f"{figure.value:g} {figure.unit}".strip()
    return f"{figure.k}/{figure.n} = {figure.value:.3f} [{figure.low:.3f}, {figure.high:.3f}]"


def _visit(visit: VisitReport, *, alone: bool) -> Iterator[Block]:
    if not alone:
        yield Heading(2, f"Visit {visit.id}, shop {visit.store}")
    out = shown_time(visit.time_out) if visit.time_out else "still open"
    yield Line(f"Rep: {visit.rep or NOT_RECORDED}. In: {shown_time(visit.time_in)}. Out: {out}.")
    yield Line(totals_line(visit.totals))
    if visit.remark:
        yield Line(f"Remark: {visit.remark}")
    level = 2 if alone else 3
    if visit.stations:
        rows = tuple((s.station, s.model or "-", "; ".join(s.found) or "-", s.state) for s in visit.stations)
        yield Table("Stations as found and as left", ("station", "kind", "found", "left"), rows)
    yield from _amounts(visit.totals, "at this visit")
    for station in visit.stations:
        if _worth_telling(station):
            yield Heading(level, f"Station {station.station}")
            yield from _station(station)
    if visit.loose:
        yield Heading(level, "Without a station")
        yield from _station(visit.loose)
    if visit.open_points:
        yield Heading(level, "Open points")
        open_ = tuple((p.station or "-", p.text, shown_time(p.since), p.owner, p.todo) for p in visit.open_points)
        yield Table("What is open in this shop", ("station", "what", "since", "owner", "to do"), open_)
    if visit.repeats:
        told = (f"{r.station}: {r.fault}, {r.times} times since {shown_time(r.first_at)}" for r in visit.repeats)
        yield Items("Seen again", tuple(told))
    if visit.asked:
        yield Items("Asked", visit.asked)
    if visit.unanswered:
        yield Items("Asked without an answer", visit.unanswered)


def _amounts(totals: Totals, when: str) -> Iterator[Block]:
    for name, amounts in (("used", totals.used), ("wanted", totals.wanted)):
        if amounts:
            yield Items(f"All parts {name} {when}", tuple(f"{count} {part}" for part, count in amounts))


def _worth_telling(station: StationReport) -> bool:
    return bool(
        station.works or station.used or station.wanted or station.photos or station.remarks or station.escalations
    )


def _station(station: StationReport) -> Iterator[Block]:
    for work in station.works:
        yield Items(_work_label(work), work.lines or ("no step was done",))
    for name, items in (
        ("Parts used", station.used),
        ("Parts wanted", station.wanted),
        ("Pictures", station.photos),
        ("Remarks", station.remarks),
    ):
        if items:
            yield Items(name, items)
    for escalation in station.escalations:
        rows = tuple(zip(DESK_ASKS, escalation, strict=True))
        yield Table("Handed to the support desk: what it asks for", ("asked for", "answer"), rows)


def _work_label(work: WorkReport) -> str:
    led = f", led on from {work.led_by}" if work.led_by else ""
    resumed = ", broken off and taken up again" if work.resumed else ""
    remark = f" ({work.remark})" if work.remark else ""
    return f"{work.title} ({work.note}{led}{resumed}): {work.outcome or 'not finished'}{remark}, {work.minutes:g} min"
