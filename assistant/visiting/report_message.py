"""The message for the desk, or to paste: what is out of service first, then what was handed over, then each station."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.analysis.tokens import printable
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.report_blocks import (
    NO_STATION,
    NO_VISIT,
    OUT_OF_SERVICE,
    amounts,
    handed_words,
    incident_words,
    open_words,
    times_of,
    totals_line,
)
from assistant.visiting.report_model import Report, StationReport, VisitReport, copy_for_shop
from assistant.visiting.times import NOT_TOLD, shown_day, shown_time
from assistant.visiting.words import outcome_word

__all__ = ["handoff_text"]


def handoff_text(report: Report) -> str:
    """Return plain text to paste into a message; no station that is out of service is ever left out of it."""
    lines = [line for visit in copy_for_shop(report).visits for line in _message(visit)]
    return "\n".join(printable(line) for line in lines or [NO_VISIT]) + "\n"


def _message(visit: VisitReport) -> Iterator[str]:
    yield from (_off(visit, point) for point in visit.open_points if point.kind == "withdrawn")
    yield from (
        f"{OUT_OF_SERVICE}: {NO_STATION} told, shop {visit.store}: {work.title}."
        for station in visit.stations
        for work in station.works
        if not station.station and work.outcome == outcome_word("withdrawn")
    )
    day, time_in, time_out = times_of(visit)
    rep = f" by {visit.rep}" if visit.rep else ""
    yield f"Shop {visit.store}, visit {visit.id}{rep}, {day}, in {time_in}, out {time_out}."
    yield from (f"Hurt, or nearly: {incident_words(incident)}." for incident in visit.incidents)
    yield from (f"Handed over: {handed_words(handed)}." for handed in visit.handed)
    yield totals_line(visit.totals)
    yield from (_station(station) for station in visit.stations)
    told = {station.station for station in visit.stations}
    for point in visit.open_points:
        if point.kind not in {"withdrawn", "part"} and point.station not in told:
            yield f"Still open, {point.station or NO_STATION}: {open_words(point)}"
    if visit.totals.wanted:
        yield f"Wanted: {amounts(visit.totals.wanted)}"


def _off(visit: VisitReport, point: OpenPoint) -> str:
    by = f", by {shown_day(point.due)}" if point.due else ""
    handed = (
        f"handed over, desk's number {point.number or NOT_TOLD}{by}"
        if point.handed
        else "NOT HANDED OVER to the support desk yet"
    )
    where = f"{point.station or NO_STATION}, shop {visit.store}"
    return f"{OUT_OF_SERVICE}: {where}: {point.text}, since {shown_time(point.since)}; {handed}."


def _station(station: StationReport) -> str:
    words = (station.found, "; ".join(station.done), station.left)
    return f"{station.station or NO_STATION}: {' -> '.join(word for word in words if word)}"
