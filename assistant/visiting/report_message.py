"""The message for the desk, or to paste: what is out of service first, then what was handed over, then each station."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.analysis.tokens import printable
from assistant.languages import said
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.report_blocks import NO_VISIT
from assistant.visiting.report_model import Report, StationReport, VisitReport, copy_for_shop
from assistant.visiting.report_words import (
    amounts,
    handed_words,
    incident_words,
    open_words,
    times_of,
    totals_line,
)
from assistant.visiting.times import NOT_TOLD, shown_day, shown_time
from assistant.visiting.words import outcome_word, place_of

__all__ = ["handoff_text"]


def handoff_text(report: Report) -> str:
    """Return plain text to paste into a message; no station that is out of service is ever left out of it."""
    lines = [line for visit in copy_for_shop(report).visits for line in _message(visit)]
    return "\n".join(printable(line) for line in lines or [said(NO_VISIT)]) + "\n"


def _message(visit: VisitReport) -> Iterator[str]:
    yield from (_off(visit, point) for point in visit.open_points if point.kind == "withdrawn")
    yield from (
        said("OUT OF SERVICE: no station told, shop {store}: {title}.", store=visit.store, title=work.title)
        for station in visit.stations
        for work in station.works
        if not station.station and work.outcome == outcome_word("withdrawn")
    )
    day, time_in, time_out = times_of(visit)
    there = said("Shop {store}, visit {id}", store=visit.store, id=visit.id)
    by = said("{visit} by {rep}", visit=there, rep=visit.rep) if visit.rep else there
    yield said("{visit}, {day}, in {time_in}, out {time_out}.", visit=by, day=day, time_in=time_in, time_out=time_out)
    yield from (said("Hurt, or nearly: {what}.", what=incident_words(incident)) for incident in visit.incidents)
    yield from (said("Handed over: {what}.", what=handed_words(handed)) for handed in visit.handed)
    yield totals_line(visit.totals)
    yield from (_station(station) for station in visit.stations)
    told = {station.station for station in visit.stations}
    for point in visit.open_points:
        if point.kind not in {"withdrawn", "part"} and point.station not in told:
            yield said("Still open, {place}: {what}", place=place_of(point.station), what=open_words(point))
    if visit.totals.wanted:
        yield said("Wanted: {parts}", parts=amounts(visit.totals.wanted))


def _off(visit: VisitReport, point: OpenPoint) -> str:
    handed = said("NOT HANDED OVER to the support desk yet")
    if point.handed:
        by = said(", by {shown_day}", shown_day=shown_day(point.due)) if point.due else ""
        handed = said("handed over, desk's number {number}", number=point.number or said(NOT_TOLD)) + by
    return said(
        "OUT OF SERVICE: {place}, shop {store}: {what}, since {time}; {handed}.",
        place=place_of(point.station),
        store=visit.store,
        what=point.text,
        time=shown_time(point.since),
        handed=handed,
    )


def _station(station: StationReport) -> str:
    words = (station.found, "; ".join(station.done), station.left)
    return f"{place_of(station.station)}: {' -> '.join(word for word in words if word)}"
