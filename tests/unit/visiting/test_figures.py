"""Figures counted by hand, and the order of checks against brute force."""

from __future__ import annotations

from datetime import date
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.journal.records import Outcome, Part, Visit, Work
from assistant.journal.store import Journal
from assistant.planning.order import Check, expected_minutes
from assistant.planning.stock import least_stock
from assistant.visiting.checks import check_notes, check_steps
from assistant.visiting.figures import figures, first_time_fix, minutes_of_notes, repeat_faults, span, station_hours
from assistant.visiting.kit import BagRow, OrderRow, kit_bag, order_list, rows_csv
from assistant.visiting.recorder import Recorder
from tests.making import changed
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER, work_through

ALWAYS = ("2000-01-01", "2999-12-31")


def see_fault(recorder: Recorder, clock: Clock, condition: str, *, store: str = "S-1", note: str = "") -> None:
    recorder.open_visit(store)
    recorder.see("A-1", "fault", condition=condition, note=note)
    recorder.close_visit()
    clock.pass_(days=1)


def test_a_fault_seen_again_within_so_many_visits(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    see_fault(recorder, clock, "stick drifts")
    see_fault(recorder, clock, "other", store="S-2")
    see_fault(recorder, clock, "lamp dark")
    see_fault(recorder, clock, "Stick Drifts")
    see_fault(recorder, clock, "lamp dark", store="S-2")
    found = repeat_faults(journal)
    assert [(repeat.store, repeat.fault, repeat.times, repeat.visit) for repeat in found] == [
        ("S-1", "Stick Drifts", 2, 4)
    ]
    assert repeat_faults(journal, visits=1) == []


def test_the_same_note_is_the_same_fault(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    see_fault(recorder, clock, "drifts", note="pad-demo")
    see_fault(recorder, clock, "moves on its own", note="pad-demo")
    see_fault(recorder, clock, "drifts", note="pad-other")
    assert [(repeat.note, repeat.times) for repeat in repeat_faults(journal)] == [("pad-demo", 2)]


def test_twice_in_one_visit_is_one_fault(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="x")
    recorder.see("A-1", "fault", condition="x")
    assert repeat_faults(journal) == []


def test_first_time_fix_by_hand(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    """Four jobs end: one fixed for good, one seen again in ten days, one over two visits, one escalated."""
    recorder.open_visit("S-1")
    work_through(recorder, clock, DEMO, "A-1", "mended", condition="one", choice=0)
    work_through(recorder, clock, DEMO, "A-2", "mended", condition="two", choice=0)
    first = work_through(recorder, clock, OTHER, "A-3", "not_mended", condition="three")
    work_through(recorder, clock, OTHER, "A-4", "escalated", condition="four")
    recorder.begin(DEMO, station="A-5")
    recorder.close_visit()
    clock.pass_(days=10)
    recorder.open_visit("S-1")
    recorder.see("A-2", "fault", condition="TWO")
    work_through(recorder, clock, OTHER, "A-3", "mended", condition="three", parent=first)
    figure = first_time_fix(journal, "2026-03-01", "2026-04-05")
    assert (figure.k, figure.n, figure.value) == (1, 4, 0.25)
    assert "1 of 4 are provisional" in figure.definition
    assert first_time_fix(journal, "2026-03-01", "2026-04-05", days=5).k == 2
    assert first_time_fix(journal, "2020-01-01", "2020-01-02").value is None


def test_minutes_and_hours_by_hand(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    """Seen whole at 9:00, down from 9:00 the next day to 21:00, then up to the end of the day after: 24 + 27, 12."""
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    clock.pass_(days=1)
    recorder.see("A-1", "fault", condition="x")
    clock.pass_(hours=12)
    recorder.end(recorder.begin(DEMO, station="A-1"), "mended", minutes=7)
    recorder.end(recorder.begin(DEMO, station="A-1"), "not_mended", minutes=10)
    clock.pass_(minutes=1)
    recorder.see("A-1", "pass")
    [hours] = station_hours(journal, "2026-03-02", "2026-03-04")
    assert hours.up == pytest.approx(24 + 27, abs=0.02)
    assert hours.down == pytest.approx(12, abs=0.02)
    assert [(row.note, row.minutes, row.n, row.written) for row in minutes_of_notes(journal, *ALWAYS)] == [
        ("pad-demo", 8.5, 2, 6)
    ]
    by_name = {figure.name: figure for figure in figures(journal, "2026-03-02", "2026-03-04")}
    assert by_name["operational availability"].value == pytest.approx(51 / 63, abs=1e-3)
    assert by_name["mean minutes of a work"].value == 8.5
    assert span(journal) == ("2026-03-02", "2026-03-03")


def test_an_empty_journal_has_nothing_to_count(journal: Journal) -> None:
    assert all(figure.value is None and figure.n == 0 for figure in figures(journal, *ALWAYS))
    assert repeat_faults(journal) == station_hours(journal, *ALWAYS) == minutes_of_notes(journal, *ALWAYS) == []


def fill(journal: Journal, counts: dict[str, int]) -> None:
    for note, count in counts.items():
        for _ in range(count):
            work = journal.add(Work(note, note, "clean", 1, 5))
            journal.add(Outcome(work.id, "mended"))


def test_which_note_first_by_hand(journal: Journal) -> None:
    """Seen 3, 1, 0 times with one case added to each: 4/7, 2/7, 1/7; minutes 20, 4, 30."""
    notes = [
        DEMO._replace(id=name, minutes=minutes, safety=())
        for name, minutes in (("pad-a", 20), ("pad-b", 4), ("pad-c", 30))
    ]
    fill(journal, {"pad-a": 3, "pad-b": 1})
    plan = check_notes(notes, journal)
    assert [row.probability for row in plan.written] == pytest.approx([4 / 7, 2 / 7, 1 / 7])
    assert [row.id for row in plan.best] == ["pad-b", "pad-a", "pad-c"]
    assert plan.best_minutes == pytest.approx((2 * 4 + 4 * 24 + 1 * 54) / 7, abs=0.01)
    assert plan.written_minutes == pytest.approx((4 * 20 + 2 * 24 + 1 * 54) / 7, abs=0.01)
    assert plan.seen == 4


def test_before_anything_was_seen_all_are_alike(journal: Journal) -> None:
    plan = check_notes([DEMO, OTHER, DEMO._replace(id="pad-c")], journal)
    assert [row.probability for row in plan.written] == pytest.approx([1 / 3] * 3)
    for notes in ([DEMO], [DEMO, DEMO], []):
        with pytest.raises(UsageError, match="two different"):
            check_notes(notes, journal)


@pytest.mark.parametrize("change", [{"id": "safety-x"}, {"action": "withdraw"}, {"action": "escalate"}])
def test_a_note_on_safety_keeps_its_place(journal: Journal, change: dict[str, str]) -> None:
    quick = DEMO._replace(id="pad-quick", minutes=1, safety=())
    slow = changed(DEMO._replace(id="pad-slow", minutes=60, safety=()), **change)
    assert [row.fixed for row in check_notes([slow, quick], journal).best] == [True, False]
    assert [row.fixed for row in check_notes([quick, slow], journal).best] == [False, True]


@given(st.lists(st.tuples(st.integers(1, 60), st.integers(0, 9), st.booleans()), min_size=2, max_size=5))
def test_no_allowed_order_of_notes_is_better(cases: list[tuple[int, int, bool]]) -> None:
    checks = [
        DEMO._replace(id=f"{'safety' if fixed else 'pad'}-{n}", minutes=minutes, safety=())
        for n, (minutes, _, fixed) in enumerate(cases)
    ]

    class Seen:
        def all(self, kind: type, **_: object) -> list[object]:
            works = [(note.id, n) for note, (_, count, _) in zip(checks, cases, strict=True) for n in range(count)]
            if kind is Work:
                return [Work(note, "", "", 1, 1, id=i) for i, (note, _) in enumerate(works, start=1)]
            return [Outcome(i, "mended") for i in range(1, len(works) + 1)]

    plan = check_notes(checks, Seen())  # type: ignore[arg-type]
    rows = [Check(row.id, row.probability, row.minutes, row.fixed) for row in plan.written]
    allowed = [
        order
        for order in permutations(rows)
        if all({*order[: i + 1]} == {*rows[: i + 1]} and order[i] == rows[i] for i, row in enumerate(rows) if row.fixed)
    ]
    assert plan.best_minutes == pytest.approx(min(map(expected_minutes, allowed)), abs=0.01)


def test_the_checks_of_one_note(recorder: Recorder, journal: Journal) -> None:
    with pytest.raises(UsageError, match="no two checks"):
        check_steps(DEMO._replace(steps=DEMO.steps[:1]), journal)
    plan = check_steps(DEMO, journal)
    assert [(row.id, row.fixed) for row in plan.best] == [("1", True), ("3", True)]
    assert plan.seen == 0


def parts(journal: Journal, *uses: tuple[str, str, int, str]) -> None:
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
    assert bag == [
        BagRow("lead", 1, 0.5, least_stock(0.5, 0.95), "Poisson"),
        BagRow("pad", 2, 1.0, least_stock(1.0, 0.95), "Poisson"),
    ]
    assert kit_bag(journal, date(2026, 3, 3), days=30)[0].part == "pad"
    for wrong in ({"days": 0}, {"lead_days": 0.0}, {"level": 1.0}):
        with pytest.raises(UsageError, match="needs days"):
            kit_bag(journal, date(2026, 3, 3), **wrong)  # type: ignore[arg-type]


def test_parts_as_csv_run_no_formula(journal: Journal) -> None:
    parts(journal, ('=HYPERLINK("x"),\n', "wanted", 1, "2026-03-02"))
    text = rows_csv(order_list(journal), OrderRow)
    assert text.split("\r\n")[0] == "part,used,wanted,order,stations"
    assert "\"'=HYPERLINK(" in text
    assert text.count("\r\n") == 2
