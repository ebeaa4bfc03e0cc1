"""What an entry costs: by the visit and its shop, and not by all that the journal holds; counted, never timed."""

from __future__ import annotations

import random
from collections.abc import Callable
from contextlib import suppress
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.journal.asked import open_visit
from assistant.journal.records import OUTCOMES, Closing, Question, Sighting, Visit
from assistant.journal.store import Journal
from assistant.visiting.entries import fault, pass_station
from assistant.visiting.figures import repeat_faults
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import round_view
from assistant.visiting.rounds import StandingBefore, states
from assistant.visiting.rounds import events as all_events
from assistant.visiting.shops import Event, read_shop
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, five_stations

_STEPS = 10
MUCH = 400
"""Visits, and questions for each of them, to another shop."""


def steps(journal: Journal, act: Callable[[], object]) -> int:
    """Return how many tens of steps of the database an act takes."""
    taken = 0

    def count() -> int:
        nonlocal taken
        taken += 1
        return 0

    journal._db.set_progress_handler(count, _STEPS)
    act()
    journal._db.set_progress_handler(None, 0)
    return taken


ACTS: dict[str, Callable[[Recorder], object]] = {
    "pass": lambda recorder: pass_station(recorder, "A-1"),
    "fault": lambda recorder: fault(recorder, "A-2", "hums", note=DEMO, work=True),
    "undo": lambda recorder: recorder.undo(),
    "last entry": lambda recorder: recorder.last_entry(),
    "open visit": lambda recorder: open_visit(recorder.journal),
    "out of service": lambda recorder: recorder.out_of_service("A-5"),
    "repeats": lambda recorder: repeat_faults(recorder.journal, store="S-014"),
    "question": lambda recorder: recorder.journal.add(Question("q", "none", "procedure", visit=1)),
    "status": round_view,
}


@pytest.mark.parametrize("act", ACTS)
def test_what_other_shops_hold_makes_no_entry_dearer(
    journal: Journal, recorder: Recorder, clock: Clock, act: str
) -> None:
    five_stations(recorder, clock)
    five_stations(recorder, clock, close=False)
    recorder.see("A-1", "fault", condition="hums")
    few = steps(journal, lambda: ACTS[act](recorder))
    recorder.close_visit()
    with journal.writing():
        for _ in range(MUCH):
            visit = journal.add(Visit("S-999"))
            journal.add_all([Sighting(visit.id, "B-1", "fault", condition="dark")] * 3)
            journal.add_all([Question("q", "none", "procedure", visit=visit.id)] * 3)
            journal.add(Closing(visit.id))
    recorder.open_visit("S-014")
    recorder.see("A-1", "fault", condition="hums")
    many = steps(journal, lambda: ACTS[act](recorder))
    assert many <= 2 * few + MUCH // _STEPS


def anything(recorder: Recorder, clock: Clock, drawn: random.Random) -> None:
    """Record something that may be refused, on a visit or without one, in one of three shops with the same labels."""
    station = drawn.choice(("A-1", "A-2"))
    clock.pass_(minutes=drawn.choice((0, 1, 20, 2000)))
    works = recorder.open_works()
    work = drawn.choice(works) if works else None
    acts: tuple[Callable[[], object], ...] = (
        lambda: recorder.open_visit(drawn.choice(("S-1", "S-2", "S-3"))),
        recorder.close_visit,
        lambda: recorder.see(station, "pass"),
        lambda: recorder.see(station, "fault", condition="hums", plays=drawn.choice(("", "danger"))),
        lambda: recorder.begin(DEMO, station=station, condition="dark"),
        lambda: recorder.end(work, drawn.choice(OUTCOMES)) if work else None,
        lambda: recorder.release(station, by="Ina", number="7", work=drawn.choice((work, None))),
        recorder.undo,
    )
    with suppress(UsageError):
        drawn.choice(acts)()


@pytest.mark.parametrize("seed", range(6))
def test_a_station_read_alone_is_as_in_its_shop_and_a_shop_as_among_all(
    journal: Journal, recorder: Recorder, clock: Clock, seed: int
) -> None:
    drawn = random.Random(seed)
    with journal.writing():
        for _ in range(300):
            anything(recorder, clock, drawn)
    among = all_events(journal)
    assert {event.name for event in among} >= {"pass", "fault", "released", "withdrawn", "led_on"}
    for store in ("S-1", "S-2", "S-3"):
        happened = read_shop(journal, store).happened
        assert happened == [event for event in among if event.store == store]
        for station in ("A-1", "A-2"):
            assert read_shop(journal, store, station).happened == [e for e in happened if e.station == station]


events = st.lists(
    st.builds(
        Event,
        st.just("S-1"),
        st.sampled_from(("A-1", "A-2")),
        st.just("2026-01-01T00:00:00.000Z"),
        st.integers(1, 5),
        st.sampled_from(("pass", "fault", "withdrawn", "released", "mended")),
        plays=st.sampled_from(("", "danger")),
    ),
    max_size=12,
)


@given(events, st.lists(st.none() | st.integers(1, 6), max_size=6), st.booleans())
def test_how_stations_stood_is_the_same_in_whatever_order_it_is_asked(
    happened: list[Event], asked: list[int | None], in_order: bool
) -> None:
    if in_order:
        happened.sort(key=lambda event: event.visit)
        assert all(one.visit <= other.visit for one, other in pairwise(happened))
    stood = StandingBefore(happened)
    for visit in asked:
        told = [event for event in happened if visit is None or event.visit < visit]
        assert list(stood(visit).items()) == list(states(told).items())
