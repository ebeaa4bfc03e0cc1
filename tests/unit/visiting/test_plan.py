"""Which shops to go to and in which order; travel minutes from a file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from assistant.errors import NotesError, UsageError
from assistant.journal.store import Journal
from assistant.visiting.plan import plan, plan_lines, read_travel
from assistant.visiting.recorder import Recorder
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, five_stations

TODAY = date(2026, 3, 9)


def visit(recorder: Recorder, clock: Clock, store: str, next_visit: str = "", due: str = "") -> None:
    """Record a visit after which nothing is open, or a fault that was handed over with a day."""
    clock.pass_(hours=1)
    recorder.open_visit(store)
    recorder.see("A-1", "pass")
    if due:
        recorder.see("A-2", "fault", condition="dark")
        clock.pass_(minutes=1)
        recorder.hand_over("no spare", station="A-2", due=due)
    clock.pass_(minutes=1)
    recorder.close_visit(next_visit=next_visit)


def test_shops_with_something_open_or_a_visit_due_in_the_order_of_their_days(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    visit(recorder, clock, "S-1")
    visit(recorder, clock, "S-2", next_visit="2026-03-09")
    visit(recorder, clock, "S-3", next_visit="2026-03-10")
    visit(recorder, clock, "S-4", next_visit="2026-03-20", due="2026-03-08")
    visit(recorder, clock, "S-5", next_visit="2026-03-07", due="2026-03-12")
    clock.pass_(hours=1)
    recorder.open_visit("S-0")
    recorder.see("A-1", "fault", condition="lamp dark")
    rows = plan(journal, TODAY)
    assert [(row.store, row.due, row.overdue) for row in rows] == [
        ("S-5", "2026-03-07", True),
        ("S-4", "2026-03-08", True),
        ("S-2", "2026-03-09", False),
        ("S-0", "", False),
    ]
    assert [row.next_visit for row in rows] == ["2026-03-07", "2026-03-20", "2026-03-09", ""]
    assert [len(row.points) for row in rows] == [1, 1, 0, 1]
    assert {row.travel for row in rows} == {None}


def test_a_next_visit_that_was_made_is_due_no_more(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit(recorder, clock, "S-1", next_visit="2026-03-05")
    assert [row.store for row in plan(journal, TODAY)] == ["S-1"]
    visit(recorder, clock, "S-1")
    assert plan(journal, TODAY) == []
    clock.pass_(hours=1)
    recorder.open_visit("S-1")
    assert plan(journal, TODAY) == []


def test_a_closing_that_was_taken_back_tells_no_next_visit(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit(recorder, clock, "S-1", next_visit="2026-03-05")
    recorder.undo()
    assert plan(journal, TODAY) == []


def test_named_shops_are_there_whatever_is_open(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit(recorder, clock, "S-1")
    visit(recorder, clock, "S-2", due="2026-03-08")
    rows = plan(journal, TODAY, ["s1", "S-9", "S-2", "S-1"])
    assert [(row.store, row.known) for row in rows] == [("S-2", True), ("S-1", True), ("S-9", False)]
    assert list(plan_lines(rows)) == [
        "1. S-2: due Sun 2026-03-08, overdue",
        "   A-2: dark; handed over to the support desk, by Sun 2026-03-08",
        "2. S-1: nothing is open",
        "3. S-9: not visited yet",
    ]


def test_what_is_open_is_told_in_words(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.take_up(DEMO, station="A-1")
    recorder.part("pad", "wanted", quantity=2)
    lines = list(plan_lines(plan(journal, TODAY)))
    assert lines == [
        "1. S-014: due Mon 2026-03-09",
        "   A-4: code SC-01, no picture; handed over to the support desk, by Mon 2026-03-09",
        "   A-5: out of service, lead cut; not handed over yet",
        f"   A-1: work not finished, {DEMO.title}",
        "   no station: 2 x pad wanted",
        "   A-4: 1 video lead wanted",
    ]
    clock.pass_(minutes=1)
    recorder.arrange("A-5", "withdrawn", owner="electrician", due="2026-03-06")
    first, *_, fifth = list(plan_lines(plan(journal, TODAY)))[:3]
    assert first == "1. S-014: due Fri 2026-03-06, overdue"
    assert fifth == "   A-5: out of service, lead cut; not handed over yet; electrician sees to it, by Fri 2026-03-06"


def test_a_plan_of_nothing_says_so(journal: Journal) -> None:
    assert list(plan_lines(plan(journal, TODAY))) == ["Nothing is open in any shop, and no next visit is due."]


def test_the_shortest_way_that_keeps_the_days(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    for store in ("S-1", "S-2"):
        visit(recorder, clock, store)
    visit(recorder, clock, "S-3", due="2026-03-12")
    places = ("HOME", "S-1", "S-2", "S-3")
    minutes = {(a, b): float(10 * abs(places.index(a) - places.index(b))) for a in places for b in places}
    rows = plan(journal, TODAY, places[1:], minutes=minutes, start="home")
    assert [(row.store, row.travel) for row in rows] == [("S-3", 30.0), ("S-2", 10.0), ("S-1", 10.0)]
    assert next(plan_lines(rows)) == "1. S-3: due Thu 2026-03-12; 30 min on the way"
    assert [row.travel for row in plan(journal, TODAY, places[1:], minutes=minutes)] == [0.0, 10.0, 10.0]
    del minutes["S-2", "S-1"], minutes["S-3", "S-1"]
    with pytest.raises(UsageError, match=r"no minutes are known from S-[23] to S-1: add the line"):
        plan(journal, TODAY, places[1:], minutes=minutes, start="HOME")


def test_a_start_needs_travel_minutes(journal: Journal) -> None:
    with pytest.raises(UsageError, match=r"from HOME: write them into travel\.csv"):
        plan(journal, TODAY, start="home")


def test_more_shops_than_a_way_is_found_for_are_refused(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    for n in range(11):
        visit(recorder, clock, f"S-{n}", due="2026-03-08")
    assert len(plan(journal, TODAY)) == 11
    with pytest.raises(UsageError, match="name 10 or fewer"):
        plan(journal, TODAY, minutes={("S-1", "S-2"): 1.0})


def written(tmp_path: Path, *lines: str, header: str = "from,to,minutes") -> Path:
    path = tmp_path / "travel.csv"
    path.write_text("\n".join((header, *lines)) + "\n", "utf-8")
    return path


def test_travel_minutes_hold_both_ways_unless_told_otherwise(tmp_path: Path) -> None:
    path = written(tmp_path, "s-1, S-2 ,12.5", "", "S-2,S-3,0", "S-3,S-2,600", header="\ufeffFrom, To,Minutes")
    assert read_travel(path) == {
        ("S-1", "S-2"): 12.5,
        ("S-2", "S-1"): 12.5,
        ("S-2", "S-3"): 0.0,
        ("S-3", "S-2"): 600.0,
    }
    assert read_travel(written(tmp_path)) == {}


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("S-1,S-2", "must have three cells, from,to,minutes"),
        ("S-1,S-2,5,6", "must have three cells"),
        ("S-1,,5", "the place to go to is empty"),
        ("S-1,s-1,5", "goes from S-1 to S-1, which is the same place"),
        ("S-8,S-9,1", "the way from S-8 to S-9 stands twice"),
        *(
            (f"S-1,S-2,{wrong}", "minutes must be a number of 0 to 600")
            for wrong in ("", "-1", "601", "nan", "inf", "x")
        ),
    ],
)
def test_a_line_of_travel_that_cannot_be_read_is_named_with_its_number(tmp_path: Path, line: str, told: str) -> None:
    path = written(tmp_path, "S-8,S-9,5", line, "S-9,S-8,?")
    with pytest.raises(NotesError) as raised:
        read_travel(path)
    first, second = str(raised.value).split("\n")
    assert first.startswith(f"{path}:3: {told}")
    assert second == f"{path}:4: minutes must be a number of 0 to 600"


def test_a_file_that_is_no_travel_is_refused(tmp_path: Path) -> None:
    for path in (written(tmp_path, header="S-1,S-2,5"), written(tmp_path, header="")):
        with pytest.raises(NotesError, match=r"travel\.csv:1: the first line must be from,to,minutes"):
            read_travel(path)
    with pytest.raises(NotesError, match=r"none\.csv:1: cannot be read: No such file"):
        read_travel(tmp_path / "none.csv")
    path.write_bytes(b"from,to,minutes\n\xff,S-1,2\n")
    with pytest.raises(NotesError, match=r"travel\.csv:1: cannot be read: not valid UTF-8"):
        read_travel(path)
