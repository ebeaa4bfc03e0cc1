"""How stations stand, what is left open, what a visit comes to."""

from __future__ import annotations

from assistant.journal.records import Part
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import left_open, stations_of, sum_of, totals, wanted_parts
from assistant.visiting.walk import tick
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, five_stations, work_through


def test_how_each_station_stands(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    stand = {state.station: state for state in stations_of(journal, "S-014")}
    assert {label: state.state for label, state in stand.items()} == {
        "A-1": "plays",
        "A-2": "plays",
        "A-3": "plays",
        "A-4": "fault",
        "A-5": "withdrawn",
    }
    assert stand["A-4"].condition == "code SC-01, no picture"
    assert stand["A-5"].model == "vr"
    assert stations_of(journal, "S-099") == []


def test_a_withdrawn_station_stays_so_until_it_plays(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.see("A-5", "fault", condition="still dark")
    assert {s.station: s.state for s in stations_of(journal, "S-014")}["A-5"] == "withdrawn"
    clock.pass_(minutes=1)
    recorder.see("A-5", "pass")
    assert {s.station: s.state for s in stations_of(journal, "S-014")}["A-5"] == "plays"


def test_what_is_left_open(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit = five_stations(recorder, clock)
    open_ = left_open(journal, "S-014")
    assert [(point.kind, point.station, point.owner) for point in open_] == [
        ("fault", "A-4", "support desk"),
        ("withdrawn", "A-5", "support desk"),
        ("escalation", "A-4", "support desk"),
        ("part", "A-4", "rep"),
    ]
    assert open_[2].todo == "job J-77, contact desk, early shift, promised for 2026-03-09"
    assert left_open(journal, "S-014", before_visit=visit.id) == []
    assert left_open(journal, "S-015") == []


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


def test_totals_of_a_visit(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    visit = five_stations(recorder, clock)
    found = totals(journal, visit.id)
    assert (found.stations, found.passes, found.faults) == (5, 1, 4)
    assert found.outcomes == (("mended", 1), ("not_mended", 1), ("replaced", 1), ("withdrawn", 1))
    assert found.used == (("wired pad", 2),)
    assert found.wanted == (("video lead", 1),)
    assert (found.escalations, found.photos, found.questions, found.unanswered) == (1, 1, 0, 0)
    assert found.minutes == 2 + 3 + 6 + 2


def test_a_work_counts_at_the_visit_where_it_ended(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    first = recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="lamp dark")
    work = recorder.begin(DEMO, station="A-1")
    clock.pass_(minutes=1)
    recorder.close_visit()
    clock.pass_(days=1)
    other = recorder.open_visit("S-2")
    clock.pass_(minutes=1)
    recorder.close_visit()
    second = recorder.open_visit("S-1")
    clock.pass_(minutes=1)
    recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 0))
    recorder.end(work, "mended")
    assert [totals(journal, visit.id).outcomes for visit in (first, other, second)] == [(), (), (("mended", 1),)]
    assert [point.kind for point in left_open(journal, "S-1", before_visit=second.id)] == ["fault", "work"]
    assert left_open(journal, "S-1") == []
    assert [state.state for state in stations_of(journal, "S-1", until_visit=second.id)] == ["fault"]
    assert [state.state for state in stations_of(journal, "S-1")] == ["plays"]


def test_the_sum_of_visits(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    one = totals(journal, five_stations(recorder, clock).id)
    clock.pass_(days=1)
    other = totals(journal, five_stations(recorder, clock).id)
    both = sum_of([one, other])
    assert both.outcomes == (("mended", 2), ("not_mended", 2), ("replaced", 2), ("withdrawn", 2))
    assert (both.stations, both.minutes, both.escalations) == (10, 26, 2)
    assert both.used == (("wired pad", 4),)
    assert sum_of([one]) == one


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
