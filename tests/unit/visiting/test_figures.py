"""Figures counted by hand."""

from __future__ import annotations

import time

import pytest

from assistant.journal.store import Journal
from assistant.visiting.figures import (
    figures,
    first_time_fix,
    minutes_of_notes,
    repeat_faults,
    span,
    station_hours,
)
from assistant.visiting.recorder import Recorder
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
    [repeats] = [figure for figure in figures(journal, *ALWAYS) if figure.name == "repeat faults"]
    assert (repeats.k, repeats.n) == (0, 1)


def test_a_fault_told_without_its_note_in_between_is_still_the_same(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    see_fault(recorder, clock, "drifts", note="pad-demo")
    see_fault(recorder, clock, "Drifts")
    see_fault(recorder, clock, "moves on its own", note="pad-demo")
    assert [(repeat.note, repeat.times) for repeat in repeat_faults(journal)] == [("pad-demo", 3)]


def test_repeats_of_a_period_are_those_seen_in_it(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    """One fault on four days from 2 March, another on the fifth; of the last two days one of two is a repeat."""
    for condition in ("x", "x", "x", "x", "y"):
        see_fault(recorder, clock, condition)
    [repeats] = [figure for figure in figures(journal, "2026-03-05", "2026-03-06") if figure.name == "repeat faults"]
    assert (repeats.k, repeats.n, repeats.value) == (1, 2, 0.5)
    assert "within 3 visits" in repeats.definition


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
    recorder.close_visit()
    clock.pass_(days=24)
    recorder.open_visit("S-1")
    figure = first_time_fix(journal, "2026-03-01", "2026-04-05")
    assert (figure.k, figure.n, figure.value) == (1, 4, 0.25)
    assert "1 of 4 are provisional" in figure.definition
    assert first_time_fix(journal, "2026-03-01", "2026-04-05", days=5).k == 2
    assert (figure.low, figure.high) == pytest.approx((0.0063, 0.8059), abs=1e-4)
    assert first_time_fix(journal, "2020-01-01", "2020-01-02").value is None


def test_days_that_are_over_are_not_provisional_in_a_past_period(
    recorder: Recorder, journal: Journal, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    work_through(recorder, clock, DEMO, "A-1", "mended")
    recorder.close_visit()
    assert "1 of 1 are provisional" in first_time_fix(journal, "2026-03-01", "2026-12-31").definition
    clock.pass_(days=31)
    recorder.open_visit("S-1")
    assert "0 of 1 are provisional" in first_time_fix(journal, "2026-03-01", "2026-03-05").definition


@pytest.mark.parametrize(
    ("store", "condition", "note", "fixed"),
    [
        ("S-1", "LAMP DARK", "", 0),
        ("S-1", "other words", "pad-demo", 0),
        ("S-1", "lamp dark", "pad-other", 1),
        ("S-1", "other words", "", 1),
        ("S-2", "lamp dark", "", 1),
    ],
)
def test_what_is_a_repeat_of_a_job(
    recorder: Recorder, journal: Journal, clock: Clock, store: str, condition: str, note: str, fixed: int
) -> None:
    recorder.open_visit("S-1")
    work_through(recorder, clock, DEMO, "A-1", "mended", condition="lamp dark")
    recorder.close_visit()
    clock.pass_(days=1)
    see_fault(recorder, clock, condition, store=store, note=note)
    figure = first_time_fix(journal, *ALWAYS)
    assert (figure.k, figure.n) == (fixed, 1)


def test_a_work_outside_of_visits_or_stations_is_no_job(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    work_through(recorder, clock, DEMO, "A-1", "mended")
    recorder.open_visit("S-1")
    work_through(recorder, clock, DEMO, "", "mended")
    assert first_time_fix(journal, *ALWAYS).n == 0


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
    assert hours.up == pytest.approx(24 + 27, abs=0.03)
    assert hours.down == pytest.approx(12, abs=0.03)
    assert [(row.note, row.minutes, row.n, row.written) for row in minutes_of_notes(journal, *ALWAYS)] == [
        ("pad-demo", 8.5, 2, 6)
    ]
    by_name = {figure.name: figure for figure in figures(journal, "2026-03-02", "2026-03-04")}
    assert by_name["operational availability"].value == pytest.approx(51 / 63, abs=1e-3)
    assert by_name["mean minutes of a work"].value == 8.5
    assert span(journal) == ("2026-03-02", "2026-03-03")


def test_figures_in_words_for_a_rep(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    """Two works end, one mended; one of two faults was seen before; down from the first fault to the end."""
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="x")
    recorder.end(recorder.begin(DEMO, station="A-1", condition="x"), "not_mended", minutes=1)
    recorder.end(recorder.begin(DEMO, station="A-2", condition="y"), "mended", minutes=2)
    recorder.close_visit()
    clock.pass_(days=1)
    see_fault(recorder, clock, "x")
    told = [figure.plain for figure in figures(journal, *ALWAYS)]
    assert told == [
        "1 of 2 stays mended within 30 days",
        "1 of 2 faults was seen before at the same station",
        "2 minutes a work",
        "stations can be played 50% of the time",
    ]


def test_nothing_to_count_is_said_in_words(journal: Journal) -> None:
    assert [figure.plain for figure in figures(journal, *ALWAYS)] == [
        "no work on a station has ended",
        "no fault was seen",
        "no work has ended",
        "no station was seen",
    ]


def test_a_day_is_that_of_the_place(
    recorder: Recorder, journal: Journal, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half past ten in the evening UTC is the next day in the zone UTC+3, and a day there begins three hours before."""
    monkeypatch.setenv("TZ", "XXX-3")
    time.tzset()
    try:
        clock.pass_(hours=13.5)
        see_fault(recorder, clock, "x")
        assert span(journal) == ("2026-03-03", "2026-03-03")
        assert station_hours(journal, "2026-03-02", "2026-03-02") == []
        [hours] = station_hours(journal, "2026-03-03", "2026-03-03")
        assert hours.down == pytest.approx(22.5, abs=0.01)
    finally:
        monkeypatch.undo()
        time.tzset()


def test_an_empty_journal_has_nothing_to_count(journal: Journal) -> None:
    assert all(figure.value is None and figure.n == 0 for figure in figures(journal, *ALWAYS))
    assert [*repeat_faults(journal), *station_hours(journal, *ALWAYS), *minutes_of_notes(journal, *ALWAYS)] == []
