"""What to order and what to carry, by hand; names that no spreadsheet may run."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Part, Use, Visit
from assistant.journal.store import Journal
from assistant.visiting.kit import BagRow, OrderRow, kit_bag, order_list, rows_csv


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
    assert order_list(journal, "2026-02-01") == [
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
    assert order_list(journal) == [OrderRow("pad", 11, 3, 14, "A-1 A-3")]
    assert order_list(journal, "2026-03-03", "2026-03-03") == [OrderRow("pad", 2, 3, 5, "A-1 A-3")]


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
    for kind, rows in ((OrderRow, order_list(journal)), (BagRow, kit_bag(journal, date(2026, 3, 2)))):
        head, row = csv.reader(io.StringIO(rows_csv(rows, kind), newline=""), strict=True)
        assert tuple(head) == kind._fields
        assert row[0] == guarded


def test_parts_as_csv_run_no_formula(journal: Journal) -> None:
    parts(journal, ('=HYPERLINK("x"),\n', "wanted", 1, "2026-03-02"))
    text = rows_csv(order_list(journal), OrderRow)
    assert text.split("\r\n")[0] == "part,used,wanted,order,stations"
    assert "\"'=HYPERLINK(" in text
    assert text.count("\r\n") == 2
