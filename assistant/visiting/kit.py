"""Parts: what to order, what is in the bag, and how many to carry."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple, TypeVar

from assistant.errors import UsageError
from assistant.journal.export import csv_table
from assistant.journal.records import Count, Part
from assistant.journal.store import Journal
from assistant.languages import said
from assistant.model import Trade
from assistant.planning.stock import stock_for
from assistant.visiting.amounts import in_one_spelling, shown_amount
from assistant.visiting.open_points import wanted_parts
from assistant.visiting.times import local_day, shown_day

__all__ = [
    "BagRow",
    "CarriedRow",
    "LiveBag",
    "OrderRow",
    "bag_lines",
    "kit_bag",
    "live_bag",
    "order_list",
    "rows_csv",
]

_FROM_THE_BAG = "kit"
Row = TypeVar("Row", "OrderRow", "CarriedRow", "BagRow")


class OrderRow(NamedTuple):
    """One part: used in the time, still wanted now, and so to order."""

    part: str
    used: int
    wanted: int
    order: int
    stations: str


class CarriedRow(NamedTuple):
    """What is left of a part in the bag: what was counted on a day, less what was used since.

    ``least`` is how many the trade wants in the bag, ``fill`` how many are missing to that. Where more was used than
    was counted, ``left`` is 0 and it is to be counted ``again``.
    """

    part: str
    left: int
    least: int
    fill: int
    counted: int
    used: int
    on: str
    again: bool


class LiveBag(NamedTuple):
    """What is in the bag, by name, and the parts for the bag that were never counted."""

    rows: tuple[CarriedRow, ...]
    never: tuple[str, ...]


class BagRow(NamedTuple):
    """How many of a part to have when the next order is placed.

    ``mean`` is the use in one lead time; ``method`` the rule that gave ``carry``; ``used`` how many the days saw.
    """

    part: str
    used: int
    mean: float
    carry: int
    method: str


def order_list(journal: Journal, trade: Trade, since: str = "", until: str = "9999") -> list[OrderRow]:
    """Return what to order: what was used between two days, and what is wanted and was not used since.

    A tool of the trade is not used up.
    """
    parts = in_one_spelling(journal.all(Part))
    tools = {tool.name for tool in trade.tools}
    used: Counter[str] = Counter()
    for part in parts:
        if part.use == "used" and part.part not in tools and since <= local_day(part.at) <= until:
            used[part.part] += part.quantity
    wanted: Counter[str] = Counter()
    stations: dict[str, list[str]] = {}
    for station, name, count, _ in wanted_parts(parts):
        wanted[name] += count
        stations.setdefault(name, []).append(station or "-")
    return [
        OrderRow(name, used[name], wanted[name], used[name] + wanted[name], " ".join(stations.get(name, ())))
        for name in sorted(used.keys() | wanted.keys())
    ]


def live_bag(journal: Journal, trade: Trade) -> LiveBag:
    """Return what is in the bag now, by the last count of each part and what was used since."""
    least = {item.name: item.least for item in (*trade.tools, *trade.parts) if item.place == _FROM_THE_BAG}
    names = [item.name for item in (*trade.tools, *trade.parts)]
    last = {count.part: count for count in in_one_spelling(journal.all(Count), names)}
    used: Counter[str] = Counter()
    for part in in_one_spelling(journal.all(Part, use="used"), [*last, *names]):
        if part.part in last and part.at > last[part.part].at:
            used[part.part] += part.quantity
    rows = []
    for name, count in sorted(last.items()):
        left, wanted = max(0, count.quantity - used[name]), least.get(name, 0)
        again = used[name] > count.quantity
        fill, day = max(0, wanted - left), local_day(count.at)
        rows.append(CarriedRow(name, left, wanted, fill, count.quantity, used[name], day, again))
    never = (item.name for item in trade.parts if item.place == _FROM_THE_BAG and item.name not in last)
    return LiveBag(tuple(rows), tuple(sorted(never)))


def bag_lines(bag: LiveBag, trade: Trade) -> Iterator[str]:
    """Yield what is in the bag as a rep reads it, a line for each part that was counted, and one for those never."""
    for row in bag.rows:
        told = [said("counted {day}", day=shown_day(row.on))]
        if row.used:
            told.append(said("{n} used since", n=row.used))
        if row.again:
            told.append(said("count again"))
        fill = said("; fill up {n}, to {least} at least", n=row.fill, least=row.least) if row.fill else ""
        yield f"{shown_amount(row.left, row.part, trade)} ({', '.join(told)}){fill}"
    if bag.never:
        yield said("Never counted: {names}.", names=", ".join(bag.never))


def kit_bag(
    journal: Journal, today: date, *, days: int = 90, lead_days: float = 7.0, level: float = 0.95
) -> list[BagRow]:
    """Return how many of each part to have in the bag when an order is placed.

    Parameters
    ----------
    today
        The last of the ``days`` that count.
    lead_days
        Days until an ordered part comes.
    level
        Probability that the bag lasts until then.

    Raises
    ------
    UsageError
        If a number is out of its range.
    """
    if days < 1 or lead_days <= 0 or not 0 < level < 1:
        raise UsageError(said("needs days and lead days above 0, and a level between 0 and 1"))
    first = today - timedelta(days=days - 1)
    daily: dict[str, Counter[str]] = {}
    for part in in_one_spelling(journal.all(Part, use="used")):
        day = local_day(part.at)
        if first.isoformat() <= day <= today.isoformat():
            daily.setdefault(part.part, Counter())[day] += part.quantity
    rows = []
    for name, counts in sorted(daily.items()):
        demand = counts.total() / days
        every = [*counts.values(), *[0] * (days - len(counts))]
        deviation = statistics.stdev(every) if days > 1 else 0.0
        stock = stock_for(demand, lead_days, deviation, level)
        rows.append(BagRow(name, counts.total(), round(demand * lead_days, 3), stock.quantity, stock.method))
    return rows


def rows_csv(rows: Sequence[Row], kind: type[Row]) -> str:
    """Return the rows as CSV with a header; text that a spreadsheet would take for a formula is guarded."""
    return csv_table(kind._fields, rows)
