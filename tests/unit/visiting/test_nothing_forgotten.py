"""No way leads back into service without a release, and nothing that was told is left out: each case was once lost."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, Part, Sighting, Work
from assistant.journal.store import Journal
from assistant.model import Trade
from assistant.visiting.entries import (
    Released,
    end_work,
    fault,
    pass_rest,
    release_and_pass,
)
from assistant.visiting.erasing import erase
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.kit import order_list
from assistant.visiting.open_points import left_open
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_message import handoff_text
from assistant.visiting.round_view import round_view
from assistant.visiting.rounds import stations_of
from assistant.visiting.station_entry import StationEntry, record_station
from assistant.visiting.walk import go_back, tick
from tests.making import TRADE
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER

OFF = DEMO._replace(action="withdraw")


@pytest.fixture
def other_window(journal: Journal, clock: Clock) -> Recorder:
    """Another program over the same journal."""
    return Recorder(journal, TRADE, clock=clock)


def states(recorder: Recorder, store: str = "S-1") -> dict[str, str]:
    return {stand.station: stand.state for stand in stations_of(recorder.journal, store)}


def message(recorder: Recorder) -> str:
    return handoff_text(visit_report(recorder.journal))


def withdraw(recorder: Recorder, clock: Clock, station: str = "A-1") -> None:
    clock.pass_(minutes=1)
    recorder.see(station, "fault", condition="smokes")
    recorder.end(recorder.begin(OFF, station=station), "withdrawn")


def test_a_work_begun_before_the_visit_takes_the_station_out_of_service_on_it(recorder: Recorder, clock: Clock) -> None:
    recorder.take_up(OFF, station="A-1")
    clock.pass_(minutes=1)
    recorder.open_visit("S-1")
    clock.pass_(minutes=1)
    record_station(recorder, StationEntry("A-1", "fault", "smokes", note=OFF, outcome="withdrawn"))
    assert states(recorder) == {"A-1": "withdrawn"}
    assert message(recorder).startswith("OUT OF SERVICE: A-1, shop S-1: smokes")
    assert "Pad lamp stays dark: taken out of service" in message(recorder)
    with pytest.raises(NeedsReleaseError):
        recorder.see("A-1", "pass")


def test_a_work_without_a_visit_takes_a_known_station_out_of_service(recorder: Recorder, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    recorder.close_visit()
    clock.pass_(days=1)
    work = recorder.take_up(OFF, station="A-1")
    clock.pass_(minutes=1)
    recorder.end(work, "withdrawn")
    assert states(recorder) == {"A-1": "withdrawn"}
    assert [point.kind for point in left_open(recorder.journal, "S-1")] == ["withdrawn"]


def test_the_same_label_in_another_shop_puts_no_station_back(recorder: Recorder, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    recorder.close_visit()
    clock.pass_(days=1)
    recorder.end(recorder.take_up(OFF, station="A-1"), "withdrawn")
    clock.pass_(days=1)
    recorder.open_visit("S-2")
    recorder.see("A-1", "pass")
    recorder.close_visit()
    assert states(recorder) == {"A-1": "withdrawn"}
    assert states(recorder, "S-2") == {"A-1": "plays"}


def test_what_was_taken_out_of_service_before_any_shop_was_known_plays_only_once_released(
    recorder: Recorder, clock: Clock
) -> None:
    recorder.end(recorder.take_up(OFF, station="A-1"), "withdrawn")
    clock.pass_(days=1)
    recorder.open_visit("S-1")
    with pytest.raises(NeedsReleaseError):
        recorder.see("A-1", "pass")
    recorder.see("A-2", "pass")
    assert states(recorder) == {"A-2": "plays"}
    release_and_pass(recorder, "A-1", "the desk", "7")
    assert states(recorder) == {"A-2": "plays", "A-1": "plays"}
    recorder.see("A-1", "pass")


@pytest.mark.parametrize("again", [False, True], ids=["on the visit", "on the next visit"])
def test_what_is_recorded_later_counts_though_the_clock_was_put_back(
    recorder: Recorder, clock: Clock, *, again: bool
) -> None:
    recorder.open_visit("S-1")
    withdraw(recorder, clock)
    clock.pass_(minutes=5)
    release_and_pass(recorder, "A-1", "the desk", "7")
    assert states(recorder) == {"A-1": "plays"}
    if again:
        recorder.close_visit()
    clock.pass_(days=-3)
    if again:
        recorder.open_visit("S-1")
    withdraw(recorder, clock)
    assert states(recorder) == {"A-1": "withdrawn"}
    assert message(recorder).startswith("OUT OF SERVICE: A-1")


def test_a_release_for_a_work_elsewhere_releases_nothing_here(recorder: Recorder, clock: Clock) -> None:
    recorder.open_visit("S-2")
    withdraw(recorder, clock)
    recorder.close_visit()
    recorder.open_visit("S-1")
    withdraw(recorder, clock)
    work = recorder.take_up(OFF, station="A-1")
    recorder.close_visit()
    clock.pass_(days=1)
    recorder.open_visit("S-2")
    clock.pass_(minutes=1)
    with pytest.raises(NeedsReleaseError):
        recorder.end(work, "mended")
    end_work(recorder, work, "mended", released=Released("the desk", "7"))
    assert states(recorder) == {"A-1": "plays"}
    assert states(recorder, "S-2") == {"A-1": "withdrawn"}


def test_an_end_that_was_told_in_another_shop_is_not_erased_before_its_work(recorder: Recorder, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="smokes")
    work = recorder.begin(OFF, station="A-1")
    recorder.close_visit()
    clock.pass_(days=1)
    recorder.open_visit("S-2")
    recorder.end(work, "withdrawn")
    recorder.close_visit()
    erase(recorder.journal, "2999-01-01")
    assert states(recorder) == {"A-1": "withdrawn"}
    assert recorder.open_works() == []


def test_what_was_taken_out_of_service_without_a_visit_is_erased_only_once_it_is_released(
    recorder: Recorder, clock: Clock
) -> None:
    recorder.end(recorder.take_up(OFF, station="A-1"), "withdrawn")
    clock.pass_(days=1)
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="smokes")
    recorder.close_visit()
    erase(recorder.journal, "2999-01-01")
    assert states(recorder) == {"A-1": "withdrawn"}
    recorder.open_visit("S-1")
    release_and_pass(recorder, "A-1", "the desk", "7")
    recorder.close_visit()
    erase(recorder.journal, "2999-01-01")
    assert recorder.journal.every(Work) == []


def test_what_is_taken_back_is_what_was_shown(recorder: Recorder, other_window: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    shown = recorder.last_entry()
    other_window.see("A-2", "pass")
    with pytest.raises(UsageError, match="nothing is taken back: A-2: pass"):
        recorder.undo(shown)
    assert recorder.undo(other_window.last_entry()).says == "A-2: pass"


@pytest.mark.parametrize(
    "call",
    [
        lambda recorder, work: recorder.end(work, "withdrawn"),
        lambda recorder, work: recorder.act(recorder.walk_of(work, OFF), tick(recorder.walk_of(work, OFF), 1)),
        lambda recorder, work: recorder.part("pad", "used", work=work),
        lambda recorder, work: recorder.begin(OTHER, station="A-1", parent=work.id),
    ],
    ids=["end", "act", "part", "next work"],
)
def test_nothing_is_recorded_on_a_work_that_another_window_took_back(
    recorder: Recorder, other_window: Recorder, clock: Clock, call: Callable[[Recorder, Work], object]
) -> None:
    recorder.open_visit("S-1")
    work = fault(recorder, "A-1", "smokes", note=OFF, work=True)
    assert work is not None
    clock.pass_(minutes=1)
    other_window.undo()
    with pytest.raises(UsageError, match="was taken back: begin it again"):
        call(recorder, work)
    assert [recorder.journal.every(kind) for kind in (Outcome, Act, Part)] == [[], [], []]


def test_nothing_is_done_in_a_work_that_another_window_ended(recorder: Recorder, other_window: Recorder) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    walk = recorder.walk_of(work, DEMO)
    other_window.end(work, "mended")
    with pytest.raises(UsageError, match="has ended already"):
        recorder.act(walk, tick(walk, 1))


def test_going_back_in_two_windows_leaves_a_work_that_can_be_taken_up(
    recorder: Recorder, other_window: Recorder
) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    walk = recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 1))
    other_window.act(walk, go_back(walk))
    assert recorder.act(walk, go_back(walk)).step == recorder.walk_of(work, DEMO).step == 1


def test_the_rest_does_not_pass_where_another_window_saw_a_fault(
    recorder: Recorder, other_window: Recorder, clock: Clock
) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    recorder.see("A-2", "pass")
    recorder.close_visit()
    clock.pass_(days=1)
    recorder.open_visit("S-1")
    view = round_view(recorder)
    assert view is not None
    other_window.see("A-1", "fault", condition="dark")
    with pytest.raises(UsageError, match="A-1: recorded since this was shown"):
        pass_rest(recorder, view)
    assert [seen.result for seen in recorder.journal.every(Sighting)] == ["pass", "pass", "fault"]


def test_an_end_is_not_taken_back_once_the_work_that_it_led_to_has_begun(recorder: Recorder, clock: Clock) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    clock.pass_(minutes=1)
    recorder.end(work, "not_mended")
    assert recorder.undo().says.endswith("not mended")
    recorder.end(work, "not_mended")
    clock.pass_(minutes=1)
    recorder.begin(OTHER, station="A-1", parent=work.id)
    with pytest.raises(UsageError, match="has gone on since"):
        recorder.undo()


def test_an_end_on_the_way_is_not_taken_back_once_the_work_above_has_gone_on(recorder: Recorder, clock: Clock) -> None:
    above = recorder.take_up(DEMO, station="A-1")
    clock.pass_(minutes=1)
    walk = recorder.act(recorder.walk_of(above, DEMO), tick(recorder.walk_of(above, DEMO), 1))
    end_work(recorder, recorder.begin(OTHER, station="A-1", parent=above.id), "done")
    assert recorder.undo().says == "A-1: Another pad: done"
    end_work(recorder, recorder.open_works()[0], "done")
    clock.pass_(minutes=1)
    recorder.act(walk, go_back(walk))
    with pytest.raises(UsageError, match="has gone on since"):
        recorder.undo()


def test_every_hand_over_without_a_station_stays_open(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.hand_over("the sign is torn")
    recorder.hand_over("the door is broken")
    recorder.take_up(DEMO)
    told = [(point.kind, point.text) for point in left_open(recorder.journal, "S-1")]
    assert told[1:] == [("escalation", "the sign is torn"), ("escalation", "the door is broken")]


def test_a_message_tells_first_what_went_out_of_service_without_a_label(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.end(recorder.take_up(OFF), "withdrawn")
    assert message(recorder).startswith("OUT OF SERVICE: no station told, shop S-1: Pad lamp stays dark.\n")


def test_an_incident_is_told_on_a_visit_that_reports_it(recorder: Recorder) -> None:
    with pytest.raises(UsageError, match="no visit is open"):
        recorder.incident("injury", "a cut finger")
    recorder.open_visit("S-1")
    recorder.incident("injury", "a cut finger")
    assert "a cut finger; nobody was told yet" in message(recorder)


@pytest.fixture
def _far_west(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A clock on the wall that is eight hours behind UTC."""
    if not hasattr(time, "tzset"):
        pytest.skip("the time zone cannot be set here")
    monkeypatch.setitem(os.environ, "TZ", "WEST8")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("_far_west")
def test_a_part_counts_on_the_day_of_the_place(recorder: Recorder, clock: Clock) -> None:
    clock.time = datetime(2026, 3, 3, 2, 0, tzinfo=UTC)
    recorder.part("pad", "used")
    days = ("2026-03-02", "2026-03-03")
    assert [len(order_list(recorder.journal, Trade(), day, day)) for day in days] == [1, 0]
