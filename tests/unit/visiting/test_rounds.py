"""How stations stand, what a visit comes to."""

from __future__ import annotations

import pytest

from assistant.journal.records import Outcome, Sighting, Visit, Work
from assistant.journal.store import Journal
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.open_points import left_open
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import stations_of, sum_of, totals
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


def test_a_station_out_of_service_stays_so_until_it_is_released(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    def stands() -> str:
        return {state.station: state.word for state in stations_of(journal, "S-014")}["A-5"]

    five_stations(recorder, clock)
    clock.pass_(days=1)
    recorder.open_visit("S-014")
    recorder.see("A-5", "fault", condition="still dark")
    assert stands() == "out of service"
    clock.pass_(minutes=1)
    work_through(recorder, clock, DEMO, "A-5", "not_mended", choice=0)
    assert stands() == "out of service"
    with pytest.raises(NeedsReleaseError):
        recorder.see("A-5", "pass")
    assert stands() == "out of service"
    clock.pass_(minutes=1)
    recorder.release("A-5", by="desk, late shift", number="R-1")
    assert stands() == "has a fault"
    clock.pass_(minutes=1)
    recorder.see("A-5", "pass")
    assert stands() == "plays"


def test_a_pass_of_old_records_releases_nothing(journal: Journal) -> None:
    """Written before a release was asked for."""
    visit = journal.add(Visit("S-1"))
    work = journal.add(Work("pad-demo", "t", "withdraw", 1, 5, "A-1", visit=visit.id))
    journal.add(Outcome(work.id, "withdrawn", at="2026-01-01T10:00:00.000Z"))
    journal.add(Sighting(visit.id, "A-1", "pass", at="2026-01-02T10:00:00.000Z"))
    assert [state.state for state in stations_of(journal, "S-1")] == ["withdrawn"]


def test_whether_a_station_with_a_fault_can_be_played(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    for station, plays in (("A-1", "yes"), ("A-2", "no"), ("A-3", "")):
        recorder.see(station, "fault", condition="dark", plays=plays)  # type: ignore[arg-type]
    assert [s.word for s in stations_of(journal, "S-1")] == ["has a fault, still plays", "does not play", "has a fault"]
    clock.pass_(minutes=1)
    recorder.see("A-2", "fault", condition="darker")
    assert {s.station: (s.word, s.condition) for s in stations_of(journal, "S-1")}["A-2"] == ("does not play", "darker")


def test_a_sighting_that_was_taken_back_never_was(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    clock.pass_(minutes=1)
    recorder.see("A-1", "fault", condition="dark")
    recorder.undo()
    assert [state.state for state in stations_of(journal, "S-1")] == ["plays"]


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
    assert [point.kind for point in left_open(journal, "S-1", before_visit=second.id)] == ["fault"]
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
