"""Parts: what to order, and how many to carry."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.export import csv_table
from assistant.journal.records import Part
from assistant.journal.store import Journal
from assistant.planning.stock import stock_for
from assistant.visiting.rounds import wanted_parts

__all__ = ["BagRow", "OrderRow", "kit_bag", "order_list", "rows_csv"]


class OrderRow(NamedTuple):
    """One part: used in the time, still wanted now, and so to order."""

    part: str
    used: int
    wanted: int
    order: int
    stations: str


class BagRow(NamedTuple):
    """How many of a part to have when the next order is placed.

    ``mean`` is the use in one lead time; ``method`` the rule that gave ``carry``; ``used`` how many the days saw.
    """

    part: str
    used: int
    mean: float
    carry: int
    method: str


def order_list(journal: Journal, since: str = "", until: str = "9999") -> list[OrderRow]:
    """Return what to order: what was used between two days, and what is wanted and was not used since."""
    parts = journal.all(Part)
    used: Counter[str] = Counter()
    for part in parts:
        if part.use == "used" and since <= part.at[:10] <= until:
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
        raise UsageError("needs days and lead days above 0, and a level between 0 and 1")
    first = today - timedelta(days=days - 1)
    daily: dict[str, Counter[str]] = {}
    for part in journal.all(Part, use="used"):
        if first.isoformat() <= part.at[:10] <= today.isoformat():
            daily.setdefault(part.part, Counter())[part.at[:10]] += part.quantity
    rows = []
    for name, counts in sorted(daily.items()):
        demand = counts.total() / days
        every = [*counts.values(), *[0] * (days - len(counts))]
        deviation = statistics.stdev(every) if days > 1 else 0.0
        stock = stock_for(demand, lead_days, deviation, level)
        rows.append(BagRow(name, counts.total(), round(demand * lead_days, 3), stock.quantity, stock.method))
    return rows


def rows_csv(rows: Sequence[OrderRow] | Sequence[BagRow], kind: type[OrderRow] | type[BagRow]) -> str:
    """Return the rows as CSV with a header; text that a spreadsheet would take for a formula is guarded."""
    return csv_table(kind._fields, rows)
