"""What every written form of a report says of one matter, each in one line."""

from __future__ import annotations

from assistant.journal.records import TOLD_OUTCOMES, ToldOutcome
from assistant.languages import said, said_of
from assistant.visiting.figures import Figure, RepeatFault
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.report_model import Exchange, HandOver, IncidentReport, Picture, VisitReport, WorkReport
from assistant.visiting.report_works import UNFINISHED, minutes_beside, whole_minutes
from assistant.visiting.rounds import Totals
from assistant.visiting.times import NOT_TOLD, local_day, shown_day, shown_time
from assistant.visiting.words import amount_of, decimal, outcome_word, place_of

__all__ = [
    "again_words",
    "amounts",
    "exchange_words",
    "figure_value",
    "handed_words",
    "incident_words",
    "open_words",
    "picture_words",
    "times_of",
    "totals_line",
    "work_label",
]


def totals_line(totals: Totals) -> str:
    """Return the totals of a visit in sentences; what is none is left out."""
    seen = (
        said_of("{n} station seen", "{n} stations seen", totals.stations)
        if totals.stations
        else said("No station seen")
    )
    looks = [said("{n} pass", n=totals.passes)] if totals.passes else []
    looks += [said_of("{n} fault", "{n} faults", totals.faults)] if totals.faults else []
    works = [_ended(name, n) for name, n in _outcomes(totals)]
    minutes = whole_minutes(totals.minutes)
    works += [said_of("{n} minute", "{n} minutes", minutes)] if minutes else []
    sentences = [
        f"{seen}: {', '.join(looks)}" if looks else seen,
        said("Worked on: {works}", works=", ".join(works)) if works else "",
        said("{n} handed over to the support desk", n=totals.escalations) if totals.escalations else "",
        said_of("{n} picture", "{n} pictures", totals.photos) if totals.photos else "",
    ]
    return " ".join(f"{sentence}." for sentence in sentences if sentence)


def _ended(outcome: ToldOutcome, n: int) -> str:
    """Return how many works ended so."""
    return said("{n} mended by an exchange", n=n) if outcome == "replaced" else f"{n} {outcome_word(outcome)}"


def _outcomes(totals: Totals) -> list[tuple[ToldOutcome, int]]:
    """Return how works ended, in the order of the outcomes; hand-overs are counted by themselves."""
    counts = dict(totals.outcomes)
    return [(name, counts[name]) for name in TOLD_OUTCOMES if name in counts and name != "escalated"]


def figure_value(figure: Figure) -> str:
    """Return a figure with its interval, or that there is nothing to count."""
    if figure.value is None:
        return said("nothing to count")
    if figure.k is None or figure.low is None or figure.high is None:
        unit = said(figure.unit) if figure.unit else ""
        return f"{decimal(f'{figure.value:g}')} {unit}".strip()
    within = said("{low}, {high}", low=decimal(f"{figure.low:.3f}"), high=decimal(f"{figure.high:.3f}"))
    return f"{figure.k}/{figure.n} = {decimal(f'{figure.value:.3f}')} [{within}]"


def times_of(visit: VisitReport) -> tuple[str, str, str]:
    """Return day, time in and time out of a visit on the clock of the place; a time out on another day with its day."""
    day = local_day(visit.time_in)
    told = [
        shown_time(at).removeprefix(day).strip() if at else said("still open") for at in (visit.time_in, visit.time_out)
    ]
    return shown_day(day), told[0], told[1]


def exchange_words(one: Exchange) -> str:
    """Return which unit was exchanged, by its numbers."""
    return said(
        "{place}, {unit}: {taken_out} out, {put_in} in",
        place=place_of(one.station),
        unit=one.unit,
        taken_out=one.taken_out,
        put_in=one.put_in,
    )


def amounts(parts: tuple[tuple[str, int], ...]) -> str:
    """Return parts with how many of each.

    >>> amounts((("bolt", 2), ("lead", 1)))
    '2 x bolt, 1 lead'
    """
    return ", ".join(amount_of(count, part) for part, count in parts)


def open_words(point: OpenPoint) -> str:
    """Return an open point in words, without who sees to it and by when."""
    number = said("desk's number {number}", number=point.number or said(NOT_TOLD))
    if point.kind == "withdrawn":
        handed = number if point.handed else said("not handed over to the support desk yet")
        return said("{what}: leave it off until it is released; {handed}", what=point.text, handed=handed)
    if point.handed:
        return f"{point.text} ({number})"
    return f"{point.text}: {point.todo}"


def incident_words(incident: IncidentReport) -> str:
    """Return what happened to somebody, or nearly did, and who was told."""
    where = ", ".join(word for word in (incident.station, shown_time(incident.at)) if word)
    told = said("told: {name}", name=incident.told) if incident.told else said("nobody was told yet")
    return f"{where}, {incident.what}: {incident.text}; {told}"


def picture_words(picture: Picture) -> str:
    """Return what a picture shows, of which station."""
    return ": ".join(word for word in (picture.station, picture.shows or picture.name) if word)


def handed_words(handed: HandOver) -> str:
    """Return what was handed over to the support desk, in one line."""
    told = (
        f"{place_of(handed.station)}: {handed.fault or handed.reason}",
        said("since {time}", time=shown_time(handed.since)),
        said("why: {reason}", reason=handed.reason) if handed.fault else "",
        said("desk's number {number}", number=handed.number or said(NOT_TOLD)),
        said("taken by {name}", name=handed.taken_by) if handed.taken_by else "",
        said("by {day}", day=shown_day(handed.due)) if handed.due else "",
        said("checks made: {checks}", checks=handed.checks) if handed.checks else "",
    )
    return "; ".join(word for word in told if word)


def again_words(one: RepeatFault) -> str:
    """Return a fault that was seen again, and since when."""
    return said(
        "{station}: {fault}, {times} times since {shown_day}",
        station=one.station,
        fault=one.fault,
        times=one.times,
        shown_day=shown_time(one.first_at),
    )


def work_label(work: WorkReport) -> str:
    """Return what the steps of a work are headed by: its note, how it came to it, how it ended."""
    led = said(", led on from {note}", note=work.led_by) if work.led_by else ""
    resumed = said(", broken off and taken up again") if work.resumed else ""
    remark = f" ({work.remark})" if work.remark else ""
    ended = f"{work.outcome or said(UNFINISHED)}{remark}{minutes_beside(work.minutes)}"
    return f"{work.title} ({work.note}{led}{resumed}): {ended}"
