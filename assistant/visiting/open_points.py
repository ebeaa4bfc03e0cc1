"""What is not done with in a shop: one row a matter, with who sees to it and by when."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

from assistant.journal.records import Arrangement, Escalation, Part, Work
from assistant.journal.store import Journal
from assistant.languages import said, to_say
from assistant.visiting.amounts import in_one_spelling
from assistant.visiting.rounds import StandingBefore, StationState
from assistant.visiting.shops import Shop, read_shop
from assistant.visiting.times import NOT_TOLD, shown_day
from assistant.visiting.words import amount_of

__all__ = ["DESK", "REP", "LeftOpen", "OpenPoint", "PointKind", "left_open", "owner_word", "wanted_parts"]

PointKind = Literal["withdrawn", "fault", "work", "escalation", "part"]
DESK = to_say("support desk")
REP = to_say("rep")


class OpenPoint(NamedTuple):
    """One matter that is not done with.

    ``owner`` sees to it, by ``due`` (ISO 8601, empty where no day was told); ``number`` is the desk's. ``handed`` tells
    whether the support desk was told of it since it began.
    """

    kind: PointKind
    station: str
    text: str
    since: str
    owner: str
    todo: str
    due: str = ""
    number: str = ""
    handed: bool = False


class _Counting(NamedTuple):
    """What the journal holds of a shop's visits, as far as they count."""

    stand: dict[str, StationState]
    plays_since: dict[str, str]
    handed: dict[str, Escalation]
    handed_alone: list[Escalation]
    works: list[Work]
    wanted: list[tuple[str, str, int, str]]


def wanted_parts(parts: Iterable[Part]) -> list[tuple[str, str, int, str]]:
    """Return (station, part, quantity, since) of what is wanted and was not used since at the same station."""
    open_: dict[tuple[str, str], tuple[int, str]] = {}
    for part in in_one_spelling(parts):
        key = (part.station, part.part)
        count, since = open_.get(key, (0, part.at))
        count = count + part.quantity if part.use == "wanted" else max(0, count - part.quantity)
        if count:
            open_[key] = (count, since)
        else:
            open_.pop(key, None)
    return [(station, part, count, since) for (station, part), (count, since) in sorted(open_.items())]


def owner_word(owner: str) -> str:
    """Return who sees to a matter, in the language that is spoken; a name as it was told."""
    return said(owner) if owner in {DESK, REP} else owner


def left_open(journal: Journal, store: str, *, before_visit: int | None = None) -> list[OpenPoint]:
    """Return what the visits to a shop left open, see `LeftOpen`, before a visit or now."""
    return LeftOpen(journal, read_shop(journal, store)).before(before_visit)


class LeftOpen:
    """What the visits to a shop left open: stations, works, hand-overs, parts.

    A station that does not play, or plays with a fault, is one row, with the work that stands open on it and the
    hand-over of it, which may have been made after the visit was closed. What was arranged last for a station says who
    sees to it and by when.

    Parameters
    ----------
    shop
        What was read of the shop.
    stood
        How its stations stood, where that is asked for elsewhere too.
    """

    def __init__(self, journal: Journal, shop: Shop, stood: StandingBefore | None = None) -> None:
        self._shop = shop
        self._stood = stood or StandingBefore(shop.happened)
        self._told = journal.at_shop(Escalation, shop.store)
        self._told_without = journal.all(Escalation, visit=None)
        self._parts = journal.at_shop(Part, shop.store)
        self._arranged = journal.at_shop(Arrangement, shop.store)

    def before(self, visit: int | None) -> list[OpenPoint]:
        """Return what was left open before a visit, or is now where it is None."""
        shop = self._counting(visit)
        rows = [_station_row(shop, stand) for stand in shop.stand.values() if stand.state in {"withdrawn", "fault"}]
        told = {row.station for row in rows}
        rows += [
            OpenPoint("work", work.station, work.title, work.at, REP, said("finish the work"))
            for work in shop.works
            if work.station not in told
        ]
        told |= {row.station for row in rows if row.station}
        rows += [
            OpenPoint("escalation", e.station, e.reason, e.at, DESK, _number(e), e.due, e.job, handed=True)
            for e in (*shop.handed.values(), *shop.handed_alone)
            if e.station not in told and shop.plays_since.get(e.station, "") < e.at
        ]
        rows += [
            OpenPoint("part", station, amount_of(count, part), since, REP, said("order it, or fit it if it has come"))
            for station, part, count, since in shop.wanted
        ]
        arranged = {(one.station, one.point): one for one in self._arranged if _is_before(one.visit, visit)}
        return [_arranged(row, arranged.get((row.station, row.kind))) for row in rows]

    def _counting(self, before: int | None) -> _Counting:
        stand = self._stood(before)
        plays_since = {station.station: station.since for station in stand.values() if station.state == "plays"}
        ended = self._shop.ended
        works = [
            work
            for work in self._shop.works
            if work.visit is not None
            and _is_before(work.visit, before)
            and (work.id not in ended or not _is_before(ended[work.id], before))
        ]
        told = [e for e in self._told if _is_before(e.visit, before)]
        if before is None:
            told += [e for e in self._told_without if e.station in stand]
            told.sort(key=lambda e: e.id)
        handed = {e.station: e for e in told if e.station}
        alone = [e for e in told if not e.station]
        wanted = wanted_parts(part for part in self._parts if _is_before(part.visit, before))
        return _Counting(stand, plays_since, handed, alone, works, wanted)


def _is_before(visit: int | None, before: int | None) -> bool:
    return before is None or (visit is not None and visit < before)


def _station_row(shop: _Counting, stand: StationState) -> OpenPoint:
    handed = shop.handed.get(stand.station)
    since = handed is not None and handed.at >= stand.since
    text = stand.condition or stand.note or stand.word
    work = next((work for work in reversed(shop.works) if work.station == stand.station), None)
    if stand.state == "withdrawn":
        rest = _number(handed) if handed and since else said("hand it over to the support desk")
        todo = said("leave it off until it is released; {rest}", rest=rest)
    elif handed and since:
        todo = _number(handed)
    else:
        todo = said("finish the work: {title}", title=work.title) if work else said("check it")
    return OpenPoint(
        "withdrawn" if stand.state == "withdrawn" else "fault",
        stand.station,
        text,
        stand.since,
        DESK if since else REP,
        todo,
        handed.due if handed and since else "",
        handed.job if handed and since else "",
        since,
    )


def _number(handed: Escalation) -> str:
    number = handed.job or said(NOT_TOLD)
    if handed.due:
        return said("desk's number {number} by {day}", number=number, day=shown_day(handed.due))
    return said("desk's number {number}", number=number)


def _arranged(row: OpenPoint, told: Arrangement | None) -> OpenPoint:
    if told is None or told.at < row.since:
        return row
    return row._replace(owner=told.owner or row.owner, due=told.due or row.due)
