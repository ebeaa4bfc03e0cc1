"""What is left open in a shop: one row a matter, with who sees to it and by when."""

from __future__ import annotations

from assistant.journal.records import Arrangement, Escalation, Part, Visit
from assistant.journal.store import Journal
from assistant.visiting.open_points import left_open, wanted_parts
from assistant.visiting.recorder import Recorder
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, five_stations, work_through


def test_one_matter_is_one_row(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit = five_stations(recorder, clock)
    open_ = left_open(journal, "S-014")
    assert [(point.kind, point.station, point.owner, point.due) for point in open_] == [
        ("fault", "A-4", "support desk", "2026-03-09"),
        ("withdrawn", "A-5", "rep", ""),
        ("part", "A-4", "rep", ""),
    ]
    assert (open_[0].todo, open_[0].number) == ("desk's number J-77 by Mon 2026-03-09", "J-77")
    assert open_[1].todo == "leave it off until it is released; hand it over to the support desk"
    assert [point.handed for point in open_] == [True, False, False]
    assert left_open(journal, "S-014", before_visit=visit.id) == []
    assert left_open(journal, "S-015") == []


def test_a_fault_that_is_worked_on_and_handed_over_is_one_row(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="dark")
    work = recorder.take_up(DEMO, station="A-1")
    (row,) = left_open(journal, "S-1")
    assert (row.kind, row.todo) == ("fault", f"finish the work: {DEMO.title}")
    clock.pass_(minutes=1)
    recorder.hand_over("no spare", number="J-1", work=work)
    (row,) = left_open(journal, "S-1")
    assert (row.owner, row.todo, row.number) == ("support desk", "desk's number J-1", "J-1")


def test_mending_later_closes_what_was_open(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=7)
    recorder.open_visit("S-014")
    work_through(recorder, clock, DEMO, "A-4", "mended", choice=0)
    recorder.part("video lead", "used", station="A-4")
    recorder.begin(DEMO, station="A-1")
    assert [(point.kind, point.station) for point in left_open(journal, "S-014")] == [
        ("withdrawn", "A-5"),
        ("work", "A-1"),
    ]


def test_a_station_out_of_service_is_left_off_until_it_is_released(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="smoke")
    recorder.end(recorder.take_up(DEMO, station="A-1"), "withdrawn")
    (row,) = left_open(journal, "S-1")
    assert (row.kind, row.owner, row.text, row.handed) == ("withdrawn", "rep", "smoke", False)
    clock.pass_(minutes=1)
    recorder.hand_over("smoke", station="A-1", due="2026-03-04")
    (row,) = left_open(journal, "S-1")
    assert (row.owner, row.due, row.handed) == ("support desk", "2026-03-04", True)
    assert row.todo == "leave it off until it is released; desk's number not told by Wed 2026-03-04"
    clock.pass_(minutes=1)
    recorder.release("A-1", by="desk", number="R-1")
    (row,) = left_open(journal, "S-1")
    assert row.kind == "fault"
    clock.pass_(minutes=1)
    recorder.see("A-1", "pass")
    assert left_open(journal, "S-1") == []


def test_a_hand_over_without_a_fault_stays_until_the_station_plays(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.hand_over("the shop asks for another demo", station="A-1")
    assert [(row.kind, row.text) for row in left_open(journal, "S-1")] == [
        ("escalation", "the shop asks for another demo")
    ]
    clock.pass_(minutes=1)
    recorder.see("A-1", "pass")
    assert left_open(journal, "S-1") == []


def test_what_was_arranged_last_tells_who_and_by_when(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="dark")
    for day, owner in (("2026-03-05", "electrician"), ("2026-03-06", "")):
        clock.pass_(minutes=1)
        recorder.arrange("A-1", "fault", owner=owner, due=day)
    (row,) = left_open(journal, "S-1")
    assert (row.owner, row.due) == ("rep", "2026-03-06")
    recorder.undo()
    (row,) = left_open(journal, "S-1")
    assert (row.owner, row.due) == ("electrician", "2026-03-05")


def test_what_was_arranged_for_an_earlier_fault_does_not_count(
    journal: Journal, recorder: Recorder, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="dark")
    clock.pass_(minutes=1)
    recorder.arrange("A-1", "fault", owner="electrician")
    clock.pass_(minutes=1)
    recorder.see("A-1", "pass")
    clock.pass_(minutes=1)
    recorder.see("A-1", "fault", condition="dark again")
    (row,) = left_open(journal, "S-1")
    assert row.owner == "rep"
    assert journal.all(Arrangement)[0].at < row.since


def test_days_of_old_records_are_shown_as_they_were_told(journal: Journal) -> None:
    visit = journal.add(Visit("S-1"))
    journal.add(Escalation("no spare", "A-1", due="after the sale", visit=visit.id))
    (row,) = left_open(journal, "S-1")
    assert row.due == "after the sale"
    assert row.todo == "desk's number not told by after the sale"


def test_parts_wanted_and_not_used_since() -> None:
    def part(use: str, quantity: int, at: str) -> Part:
        return Part("pad", use, quantity, "A-1", at=at)  # type: ignore[arg-type]

    assert wanted_parts([part("used", 1, "1"), part("wanted", 3, "2"), part("used", 2, "3")]) == [
        ("A-1", "pad", 1, "2")
    ]
    assert wanted_parts([part("wanted", 1, "2"), part("used", 5, "3"), part("wanted", 1, "4")]) == [
        ("A-1", "pad", 1, "4")
    ]
    assert wanted_parts([]) == []
