"""Which shops to go to, what is open there and by when, in which order."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from assistant.errors import Fault, NotesError, UsageError
from assistant.journal.records import Closing, Visit
from assistant.journal.store import Journal
from assistant.languages import said, said_of
from assistant.notes.text import regular
from assistant.planning.route import best_route, route_minutes
from assistant.visiting.labels import find_store
from assistant.visiting.open_points import DESK, REP, OpenPoint, left_open
from assistant.visiting.times import shown_day
from assistant.visiting.typed import label
from assistant.visiting.words import decimal, place_of, state_word

__all__ = ["MOST_MINUTES", "TRAVEL", "PlannedShop", "plan", "plan_lines", "read_travel"]

TRAVEL = "travel.csv"
"""Name of the file of travel minutes in the home folder."""
MOST_MINUTES = 600
_HEADER = ("from", "to", "minutes")
_NEVER = "9999-12-31"
Minutes = Mapping[tuple[str, str], float]


class PlannedShop(NamedTuple):
    """A shop to go to.

    ``due`` is the earliest of the day told for the next visit and of the days by which something is to be seen to there
    (ISO 8601, empty for none). ``travel`` are the minutes from the place before, None where no travel times are given.
    """

    store: str
    due: str
    overdue: bool
    next_visit: str
    points: tuple[OpenPoint, ...]
    known: bool = True
    travel: float | None = None


def plan(
    journal: Journal, today: date, shops: Sequence[str] = (), *, minutes: Minutes | None = None, start: str = ""
) -> list[PlannedShop]:
    """Return the shops to go to, in order.

    With travel times a shop that is due earlier comes first, and of the orders that keep this the shortest is taken;
    without them they are in the order of the days on which they are due, then of their names.

    Parameters
    ----------
    shops
        Codes of shops, however they are spelt; all where something is open or a next visit is due where none is named.
    minutes
        Travel minutes by (from, to).
    start
        Where the day begins, as the travel times name it; at the first shop where empty.

    Raises
    ------
    UsageError
        If travel times are missing, there are too many shops for them, or a start is named without them.
    """
    if start and not minutes:
        raise UsageError(
            said(
                "no travel minutes are known from {place}: write them into {file}",
                place=label(start, "start"),
                file=TRAVEL,
            )
        )
    last = {visit.store: visit for visit in journal.all(Visit)}
    named = dict.fromkeys(find_store(shop, tuple(last)).label for shop in shops)
    rows = [_planned(journal, store, last.get(store), today) for store in named or last]
    if not named:
        rows = [row for row in rows if row.points or (row.next_visit and row.next_visit <= today.isoformat())]
    rows.sort(key=lambda row: (row.due or _NEVER, row.store))
    return _by_way(rows, minutes, label(start, "start") if start else "") if minutes else rows


def plan_lines(rows: Iterable[PlannedShop]) -> Iterator[str]:
    """Yield a plan as a rep reads it: a line for each shop, and one below it for each matter that is open there."""
    number = 0
    for number, row in enumerate(rows, start=1):
        told = [_when(row)] if row.due else []
        if row.travel:
            told.append(said("{minutes} min on the way", minutes=decimal(f"{row.travel:g}")))
        if not row.known:
            told.append(said("not visited yet"))
        elif not row.points:
            told.append(said("nothing is open"))
        points = said_of("{n} open point", "{n} open points", len(row.points))
        yield f"{number}. {row.store}: {'; '.join(told) or points}"
        yield from (f"   {_point(point)}" for point in row.points)
    if not number:
        yield said("Nothing is open in any shop, and no next visit is due.")


def read_travel(path: Path) -> dict[tuple[str, str], float]:
    """Read travel minutes: lines ``from,to,minutes`` below a first line that says so; the way back is as long as the
    way there where it has no line of its own.

    Raises
    ------
    NotesError
        If it cannot be read, with the number of every line that is not as it should be.
    """
    try:
        text = regular(path).read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        told = error.strerror if isinstance(error, OSError) else said("not valid UTF-8")
        raise NotesError([Fault(str(path), 1, said("cannot be read: {why}", why=told))]) from error
    minutes: dict[tuple[str, str], float] = {}
    faults: list[Fault] = []
    reader = csv.reader(text.splitlines())
    header = tuple(cell.strip().lower() for cell in next(reader, []))
    if header != _HEADER:
        raise NotesError([Fault(str(path), 1, said("the first line must be {cells}", cells=",".join(_HEADER)))])
    for row in reader:
        if not any(cell.strip() for cell in row):
            continue
        try:
            pair, took = _travel(row)
            if pair in minutes:
                raise UsageError(said("the way from {start} to {end} stands twice", start=pair[0], end=pair[1]))
            minutes[pair] = took
        except UsageError as error:
            faults.append(Fault(str(path), reader.line_num, str(error)))
    if faults:
        raise NotesError(faults)
    return {(to, from_): took for (from_, to), took in minutes.items()} | minutes


def _planned(journal: Journal, store: str, visit: Visit | None, today: date) -> PlannedShop:
    points = left_open(journal, store) if visit else []
    closed = journal.all(Closing, visit=visit.id) if visit else []
    next_visit = closed[-1].next_visit if closed else ""
    due = min((day for day in (next_visit, *(point.due for point in points)) if _is_day(day)), default="")
    overdue = bool(due) and due < today.isoformat()
    return PlannedShop(store, due, overdue, next_visit, tuple(points), known=visit is not None)


def _by_way(rows: Sequence[PlannedShop], minutes: Minutes, start: str) -> list[PlannedShop]:
    planned = {row.store: row for row in rows}
    ranks = {row.store: date.fromisoformat(row.due).toordinal() for row in rows if row.due}
    order = best_route(list(planned), minutes, start, ranks)
    legs = route_minutes(order, minutes, start)
    return [planned[store]._replace(travel=leg) for store, leg in zip(order, legs, strict=True)]


def _travel(row: Sequence[str]) -> tuple[tuple[str, str], float]:
    if len(row) != len(_HEADER):
        raise UsageError(said("must have three cells, {cells}", cells=",".join(_HEADER)))
    from_, to = label(row[0], "place to go from"), label(row[1], "place to go to")
    if from_ == to:
        raise UsageError(said("goes from {start} to {end}, which is the same place", start=from_, end=to))
    try:
        took = float(row[2])
    except ValueError:
        took = math.nan
    if not 0 <= took <= MOST_MINUTES:
        raise UsageError(said("minutes must be a number of 0 to {most}", most=MOST_MINUTES))
    return (from_, to), took


def _is_day(text: str) -> bool:
    """Tell whether a day can be reckoned with; old records hold it as it was told."""
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _when(row: PlannedShop) -> str:
    told = said(", overdue") if row.overdue else ""
    if row.due == row.next_visit:
        return said("next visit {shown_day}{told}", shown_day=shown_day(row.due), told=told)
    return said("due {shown_day}{told}", shown_day=shown_day(row.due), told=told)


def _point(point: OpenPoint) -> str:
    what = {
        "withdrawn": f"{state_word('withdrawn')}, {point.text}",
        "fault": point.text,
        "work": said("work not finished, {title}", title=point.text),
        "escalation": point.text,
        "part": said("{parts} wanted", parts=point.text),
    }[point.kind]
    told = [f"{place_of(point.station)}: {what}"]
    if point.handed:
        told.append(said("handed over to the support desk"))
    elif point.kind == "withdrawn":
        told.append(said("not handed over yet"))
    if point.owner not in {DESK, REP}:
        told.append(said("{owner} sees to it", owner=point.owner))
    by = said(", by {shown_day}", shown_day=shown_day(point.due)) if point.due else ""
    return "; ".join(told) + by
