"""Whatever way a danger at a station is recorded, it is put back only with who released it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Sighting
from assistant.visiting.entries import end_work, fault, pass_rest, release_and_pass, rest_of
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.open_points import left_open
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_message import handoff_text
from assistant.visiting.round_view import before_closing, round_view
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO

SMOKE = DEMO._replace(id="safety-smoke", title="Smoke", action="withdraw")


def only_the_fault(recorder: Recorder) -> None:
    fault(recorder, "A-1", "smoke", note=SMOKE)


def work_that_ended(outcome: str) -> Callable[[Recorder], None]:
    def record(recorder: Recorder) -> None:
        work = recorder.begin(SMOKE, station="A-1", condition="smoke")
        end_work(recorder, work, outcome)  # type: ignore[arg-type]

    return record


def shock(recorder: Recorder) -> None:
    recorder.incident("shock", "felt a tingle", station="A-1", told="duty manager")


def injury(recorder: Recorder) -> None:
    recorder.incident("injury", "cut a thumb", station="A-1", told="duty manager")


WAYS = [
    only_the_fault,
    work_that_ended("withdrawn"),
    work_that_ended("not_mended"),
    work_that_ended("escalated"),
    shock,
    injury,
]


@pytest.fixture(params=WAYS)
def endangered(request: pytest.FixtureRequest, recorder: Recorder) -> Recorder:
    recorder.open_visit("S-1")
    recorder.see("A-1", "pass")
    request.param(recorder)
    return recorder


def test_it_cannot_pass_or_pass_with_the_rest(endangered: Recorder) -> None:
    with pytest.raises(NeedsReleaseError):
        endangered.see("A-1", "pass")
    endangered.close_visit()
    endangered.open_visit("S-1")
    view = round_view(endangered)
    assert view is not None
    assert rest_of(view) == ()
    with pytest.raises(UsageError):
        pass_rest(endangered, view)
    with pytest.raises(NeedsReleaseError):
        endangered.see("A-1", "pass")


def test_closing_and_message_name_it(endangered: Recorder) -> None:
    view = round_view(endangered)
    assert view is not None
    assert any("A-1 is out of service" in line for line in before_closing(view))
    closing = endangered.close_visit()
    assert handoff_text(visit_report(endangered.journal, closing.visit)).startswith("OUT OF SERVICE: A-1")


def test_a_later_fault_does_not_take_the_place_of_the_reason(endangered: Recorder) -> None:
    before = left_open(endangered.journal, "S-1")[0]
    endangered.see("A-1", "fault", condition="dust")
    assert left_open(endangered.journal, "S-1")[0].text == before.text != "dust"


def test_it_passes_once_it_is_released(endangered: Recorder) -> None:
    release_and_pass(endangered, "A-1", "Ada", "77")
    view = round_view(endangered)
    assert view is not None
    assert view.word(view.stations[0]) == "passes"


def test_a_slip_is_taken_back_at_once_but_not_later(recorder: Recorder, clock: Clock) -> None:
    recorder.open_visit("S-1")
    only_the_fault(recorder)
    clock.pass_(minutes=9)
    assert recorder.undo().says == "A-1: smoke"
    only_the_fault(recorder)
    clock.pass_(minutes=11)
    with pytest.raises(UsageError, match="who released it"):
        recorder.undo()
    assert len(recorder.journal.all(Sighting)) == 1


def test_it_is_not_taken_back_once_the_visit_is_closed(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    only_the_fault(recorder)
    recorder.close_visit("nothing else")
    taken_back = [recorder.undo().says]
    assert taken_back == ["visit closed"]
    recorder.close_visit()
    recorder.remark("after the visit")
    recorder.undo()
    assert [seen.plays for seen in recorder.journal.all(Sighting)] == ["danger"]


def test_a_near_miss_and_a_spill_leave_the_station_as_it_was(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.incident("near_miss", "a child pulled a lead", station="A-1")
    recorder.incident("spill", "cola", station="A-1")
    recorder.see("A-1", "pass")


def test_an_ordinary_fault_does_not_pass_with_the_rest_but_passes_by_itself(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.see("A-1", "fault", condition="drifts")
    recorder.see("A-2", "pass")
    recorder.close_visit()
    recorder.open_visit("S-1")
    view = round_view(recorder)
    assert view is not None
    assert rest_of(view) == ("A-2",)
    recorder.see("A-1", "pass")


def test_a_work_begun_by_mistake_is_taken_back_where_no_step_stands(recorder: Recorder) -> None:
    from assistant.visiting.walk import acknowledge, go_back, pending, tick

    recorder.open_visit("S-1")
    work = fault(recorder, "A-1", "drifts", note=DEMO, work=True)
    assert work is not None
    walk = recorder.walk_of(work, DEMO)
    while pending(walk):
        walk = recorder.act(walk, acknowledge(walk))
    walk = recorder.act(walk, tick(walk, 0 if walk.current and walk.current.branches else None))
    with pytest.raises(UsageError, match="gone on"):
        recorder.undo()
    recorder.act(walk, go_back(walk))
    assert recorder.undo().says == "A-1: drifts"
