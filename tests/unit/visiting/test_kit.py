"""What to order and what to carry, by hand; names that no spreadsheet may run."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Count, Part, Use, Visit
from assistant.journal.store import Journal
from assistant.model import Item, Trade
from assistant.visiting.kit import (
    BagRow,
    CarriedRow,
    LiveBag,
    OrderRow,
    bag_lines,
    kit_bag,
    live_bag,
    order_list,
    rows_csv,
)
from assistant.visiting.recorder import Recorder
from tests.unit.visiting.conftest import Clock

TRADE = Trade(
    tools=(Item("torch", "torches", "kit"), Item("trolley", "trolleys", "store"), Item("test console", "", "ordered")),
    parts=(
        Item("pad", "pads", "kit", 2),
        Item("lead", "leads", "kit", 3),
        Item("cell", "cells", "kit", 8),
        Item("display", "displays", "ordered"),
        Item("cloth", "cloths", "store"),
    ),
)


def parts(journal: Journal, *uses: tuple[str, Use, int, str]) -> None:
    visit = journal.add(Visit("S-1"))
    for name, use, quantity, day in uses:
        journal.add(Part(name, use, quantity, "A-1", visit.id, at=f"{day}T10:00:00.000Z"))


def test_what_to_order_and_what_to_carry(journal: Journal) -> None:
    parts(
        journal,
        ("pad", "used", 2, "2026-03-01"),
        ("pad", "wanted", 1, "2026-03-02"),
        ("lead", "used", 1, "2026-01-05"),
        ("=cmd", "wanted", 1, "2026-03-02"),
    )
    assert order_list(journal, TRADE, "2026-02-01") == [
        OrderRow("=cmd", 0, 1, 1, "A-1"),
        OrderRow("pad", 2, 1, 3, "A-1"),
    ]
    bag = kit_bag(journal, date(2026, 3, 3), days=90, lead_days=45, level=0.95)
    assert bag == [BagRow("lead", 1, 0.5, 2, "Poisson"), BagRow("pad", 2, 1.0, 3, "Poisson")]
    assert kit_bag(journal, date(2026, 3, 3), days=30)[0].part == "pad"
    for wrong in ({"days": 0}, {"lead_days": 0.0}, {"level": 1.0}):
        with pytest.raises(UsageError, match="needs days"):
            kit_bag(journal, date(2026, 3, 3), **wrong)


def test_what_is_still_wanted(journal: Journal) -> None:
    """Of 3 wanted, 2 were used later; what was used before does not lessen it, nor what was used elsewhere."""
    parts(
        journal,
        ("pad", "used", 5, "2026-03-01"),
        ("pad", "wanted", 3, "2026-03-02"),
        ("pad", "used", 2, "2026-03-03"),
    )
    journal.add(Part("pad", "used", 4, "A-2", at="2026-03-04T10:00:00.000Z"))
    journal.add(Part("pad", "wanted", 2, "A-3", at="2026-03-04T10:00:00.000Z"))
    assert order_list(journal, TRADE) == [OrderRow("pad", 11, 3, 14, "A-1 A-3")]
    assert order_list(journal, TRADE, "2026-03-03", "2026-03-03") == [OrderRow("pad", 2, 3, 5, "A-1 A-3")]


def test_a_slow_part_by_poisson(journal: Journal) -> None:
    """Mean 2 in a lead time: 4 are enough with .9473, 5 with .9834 (cumulative Poisson, from memory)."""
    parts(journal, ("pad", "used", 4, "2026-03-02"))
    for level, carry in ((0.947, 4), (0.95, 5), (0.983, 5), (0.984, 6)):
        bag = kit_bag(journal, date(2026, 3, 3), days=20, lead_days=10, level=level)
        assert bag == [BagRow("pad", 4, 2.0, carry, "Poisson")]


def test_a_quick_part_by_the_normal_rule(journal: Journal) -> None:
    """Used 2, 4, 2, 4 a day: mean 3, deviation 1.1547; in 4 days 12 + 1.6449 * 1.1547 * 2 = 15.8, so 16."""
    days = ("2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04")
    parts(journal, *(("pad", "used", quantity, day) for quantity, day in zip((2, 4, 2, 4), days, strict=True)))
    assert kit_bag(journal, date(2026, 3, 4), days=4, lead_days=4) == [BagRow("pad", 12, 12.0, 16, "normal")]
    assert kit_bag(journal, date(2026, 3, 4), days=4, lead_days=3)[0].method == "Poisson"


def test_days_of_the_bag_are_counted_from_the_last(journal: Journal) -> None:
    parts(journal, ("a", "used", 1, "2026-03-01"), ("b", "used", 1, "2026-03-02"), ("c", "used", 1, "2026-03-05"))
    assert [row.part for row in kit_bag(journal, date(2026, 3, 4), days=3)] == ["b"]


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@sum(a1)", "a,b", 'say "a"', "a;b", "'a", "plain"])
def test_hostile_names_come_back_from_csv_as_text(journal: Journal, name: str) -> None:
    """OWASP, CSV Injection (from memory): a cell must not begin with = + - @."""
    parts(journal, (name, "used", 1, "2026-03-02"), (name, "wanted", 1, "2026-03-02"))
    guarded = f"'{name}" if name[0] in "=+-@" else name
    orders, bag = order_list(journal, TRADE), kit_bag(journal, date(2026, 3, 2))
    for fields, text in ((OrderRow._fields, rows_csv(orders, OrderRow)), (BagRow._fields, rows_csv(bag, BagRow))):
        head, row = csv.reader(io.StringIO(text, newline=""), strict=True)
        assert tuple(head) == fields
        assert row[0] == guarded


def test_parts_as_csv_run_no_formula(journal: Journal) -> None:
    parts(journal, ('=HYPERLINK("x"),\n', "wanted", 1, "2026-03-02"))
    text = rows_csv(order_list(journal, TRADE), OrderRow)
    assert text.split("\r\n")[0] == '"part","used","wanted","order","stations"'
    assert "\"'=HYPERLINK(" in text
    assert text.count("\r\n") == 2


def test_a_tool_that_was_used_is_not_used_up(journal: Journal) -> None:
    parts(
        journal,
        ("test console", "used", 5, "2026-03-01"),
        ("torch", "used", 1, "2026-03-01"),
        ("pad", "used", 1, "2026-03-01"),
        ("torch", "wanted", 1, "2026-03-02"),
    )
    assert order_list(journal, TRADE) == [OrderRow("pad", 1, 0, 1, ""), OrderRow("torch", 0, 1, 1, "A-1")]
    assert "test console" in [row.part for row in order_list(journal, Trade())]


def test_what_is_left_in_the_bag_falls_as_it_is_used(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.part("pad", "used", quantity=9)
    for count in (("pad", 4), ("lead", 3), ("cell", 2), ("torch", 1), ("display", 1)):
        clock.pass_(minutes=1)
        recorder.count(*count)
    recorder.open_visit("S-1")
    clock.pass_(days=1)
    recorder.part("pad", "used", quantity=3, station="A-1")
    recorder.part("lead", "wanted", station="A-1")
    recorder.part("cell", "used", quantity=3, station="A-1")
    day = "2026-03-02"
    assert live_bag(journal, TRADE) == LiveBag(
        (
            CarriedRow("cell", 0, 8, 8, 2, 3, day, True),
            CarriedRow("display", 1, 0, 0, 1, 0, day, False),
            CarriedRow("lead", 3, 3, 0, 3, 0, day, False),
            CarriedRow("pad", 1, 2, 1, 4, 3, day, False),
            CarriedRow("torch", 1, 1, 0, 1, 0, day, False),
        ),
        (),
    )
    recorder.undo()
    clock.pass_(days=1)
    recorder.count("pad", 0)
    again = {row.part: row for row in live_bag(journal, TRADE).rows}
    assert again["pad"] == CarriedRow("pad", 0, 2, 2, 0, 0, "2026-03-04", False)
    assert again["cell"] == CarriedRow("cell", 2, 8, 6, 2, 0, day, False)


def test_capitals_are_no_other_part(journal: Journal, clock: Clock) -> None:
    """Journals of before hold every name in small letters; the trade's spelling is shown."""
    trade = Trade(parts=tuple(part._replace(name=part.name.upper()) for part in TRADE.parts))
    name = next(part.name for part in trade.parts if part.place == "kit")
    journal.add(Count(name.lower(), 5))
    clock.pass_(minutes=1)
    for record in (Part(name.lower(), "wanted", 2, "A-1"), Part(name, "used", 1, "A-1")):
        journal.add(record)
    (row,) = live_bag(journal, trade).rows
    least = next(part.least for part in trade.parts if part.name == name)
    assert (row.part, row.left, row.used, row.least) == (name, 4, 1, least)
    assert name not in live_bag(journal, trade).never
    assert [(row.part, row.used, row.wanted) for row in order_list(journal, trade)] == [(name, 1, 1)]


def test_a_bag_that_was_used_up_exactly_need_not_be_counted_again(recorder: Recorder, clock: Clock) -> None:
    recorder.count("pad", 2)
    clock.pass_(minutes=1)
    recorder.part("pad", "used", quantity=2)
    (row,) = live_bag(recorder.journal, TRADE).rows
    assert (row.left, row.fill, row.again) == (0, 2, False)


def test_the_bag_in_words(recorder: Recorder, clock: Clock) -> None:
    assert list(bag_lines(live_bag(recorder.journal, TRADE), TRADE)) == ["Never counted: cell, lead, pad."]
    recorder.count("pad", 2)
    recorder.count("lead", 1)
    clock.pass_(minutes=1)
    recorder.part("lead", "used", quantity=2)
    assert list(bag_lines(live_bag(recorder.journal, TRADE), TRADE)) == [
        "0 leads (counted Mon 2026-03-02, 2 used since, count again); fill up 3, to 3 at least",
        "2 pads (counted Mon 2026-03-02)",
        "Never counted: cell.",
    ]


def test_the_bag_as_csv(journal: Journal) -> None:
    journal.add(Count("=cmd", 1, at="2026-03-02T10:00:00.000Z"))
    head, row = csv.reader(io.StringIO(rows_csv(live_bag(journal, TRADE).rows, CarriedRow), newline=""), strict=True)
    assert tuple(head) == CarriedRow._fields
    assert row == ["'=cmd", "1", "0", "0", "1", "0", "2026-03-02", "False"]
