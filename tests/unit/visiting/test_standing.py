"""Where one work stands: its steps, its countdown, what it led to, what waits above it."""

from __future__ import annotations

from datetime import timedelta

from assistant.errors import PackError
from assistant.journal.records import Work
from assistant.journal.store import Journal
from assistant.model import Branch, Note, Step
from assistant.visiting.recorder import Recorder
from assistant.visiting.standing import Standing, begun_from, chain_of, leads_alone, note_or_none, standing, where
from assistant.visiting.walk import acknowledge, begin, go_back, skip, tick, wait
from tests.making import TRADE
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER

HARM = OTHER._replace(id="harm-note", title="Somebody is hurt")
ON_THE_WAY = DEMO._replace(
    id="pad-odd",
    title="Pad acts up",
    safety=(),
    steps=(
        Step(
            1,
            "Look at the pad.",
            (
                Branch("If it is dark", "If it is dark: do the other, then go to step 2.", step=2, note=OTHER.id),
                Branch("If not", "If not: go to the other.", note=OTHER.id),
            ),
        ),
        Step(2, "Wait for two minutes."),
    ),
)
NOTES = {note.id: note for note in (DEMO, OTHER, HARM, ON_THE_WAY)}


def at(recorder: Recorder, *chain: Work) -> Standing:
    return standing(recorder, chain, NOTES[chain[-1].note], NOTES.get)


def words(found: Standing) -> list[str]:
    return [step.word for step in found.steps]


def test_each_step_has_its_word_and_what_was_told_of_it(recorder: Recorder) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    assert words(at(recorder, work)) == ["next", "later", "later"]
    walk = recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 2))
    found = at(recorder, work)
    assert words(found) == ["done", "locked", "later"]
    assert found.steps[0].remark == "None of these: go on."
    for _ in range(2):
        walk = recorder.act(walk, acknowledge(walk))
    walk = recorder.act(walk, skip(walk, "no time"))
    found = at(recorder, work)
    assert (words(found), found.steps[1].remark) == (["done", "skipped", "next"], "no time")
    assert (found.work, found.walk, found.ended) == (work, walk, None)


def test_a_step_that_a_choice_went_past_is_left_out(recorder: Recorder) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 1))
    assert words(at(recorder, work)) == ["done", "left out", "next"]


def test_a_state_that_goes_on_is_the_one_that_is_read_again(recorder: Recorder) -> None:
    work = recorder.take_up(ON_THE_WAY, station="A-1")
    before = at(recorder, work)
    act = tick(before.walk, 1)
    walk = recorder.act(before.walk, act)
    after = before.after(recorder.journal.all(type(act), work=work.id)[-1], walk)
    assert after == at(recorder, work)


def test_of_a_revised_note_the_old_acts_do_not_count(recorder: Recorder) -> None:
    work = recorder.take_up(DEMO, station="A-1")
    recorder.act(recorder.walk_of(work, DEMO), tick(recorder.walk_of(work, DEMO), 1))
    found = standing(recorder, (work,), DEMO._replace(revision=4), NOTES.get)
    assert (found.walk.step, found.acts, words(found)) == (1, (), ["next", "later", "later"])


def test_the_countdown_runs_down_to_nought_and_never_above_what_was_told(recorder: Recorder, clock: Clock) -> None:
    work = recorder.take_up(ON_THE_WAY, station="A-1")
    walk = recorder.act(recorder.walk_of(work, ON_THE_WAY), skip(recorder.walk_of(work, ON_THE_WAY), "seen"))
    found = at(recorder, work)
    assert (found.wait_seconds, found.seconds_left(clock())) == (120, None)
    recorder.act(walk, wait(walk, 120))
    found, begun = at(recorder, work), clock()
    for gone, left in ((0, 120), (0.5, 120), (59.5, 61), (119.999, 1), (120, 0), (9999, 0), (-60, 120)):
        assert found.seconds_left(begun + timedelta(seconds=gone)) == left


def test_a_note_on_the_way_is_waited_for_and_its_end_is_seen(recorder: Recorder, clock: Clock) -> None:
    above = recorder.take_up(ON_THE_WAY, station="A-1")
    walk = recorder.act(recorder.walk_of(above, ON_THE_WAY), tick(recorder.walk_of(above, ON_THE_WAY), 0))
    clock.pass_(minutes=1)
    below = recorder.begin(OTHER, station="A-1", parent=above.id)
    assert chain_of(recorder.journal, below) == (above, below)
    found = at(recorder, above, below)
    assert (found.above, found.on_the_way, found.held) == ((0, "Pad acts up, step 2"), True, False)
    assert begun_from(recorder.journal, walk) == (below,)
    assert at(recorder, above).child is None
    ended = recorder.end(below, "done")
    assert at(recorder, above).child == ended
    recorder.act(walk, go_back(walk))
    assert at(recorder, above).child is None


def test_the_work_that_took_over_ends_for_the_one_it_took_over_from(recorder: Recorder, clock: Clock) -> None:
    above = recorder.take_up(ON_THE_WAY, station="A-1")
    walk = recorder.act(recorder.walk_of(above, ON_THE_WAY), tick(recorder.walk_of(above, ON_THE_WAY), 1))
    clock.pass_(minutes=1)
    below = recorder.begin(OTHER, station="A-1", parent=above.id)
    last = recorder.begin(DEMO, station="A-1", parent=below.id)
    recorder.end(below, "led_on")
    assert begun_from(recorder.journal, walk) == (below, last)
    assert at(recorder, above).child is None
    ended = recorder.end(last, "mended")
    assert at(recorder, above).child == ended
    found = at(recorder, above, below, last)
    assert (found.above, found.on_the_way) == ((0, "Pad acts up, to the outcome"), False)


def test_what_harm_came_up_on_does_not_go_on(journal: Journal, clock: Clock) -> None:
    recorder = Recorder(journal, TRADE, frozenset({HARM.id}), clock=clock)
    above = recorder.take_up(ON_THE_WAY, station="A-1")
    below = recorder.begin(HARM, station="A-1", parent=above.id)
    found = at(recorder, above, below)
    assert (found.on_the_way, found.held) == (False, True)
    assert leads_alone(recorder, HARM.id, HARM.action)
    assert not leads_alone(recorder, HARM.id, "inform")
    assert not leads_alone(recorder, OTHER.id, OTHER.action)


def test_a_chain_goes_on_where_the_note_above_is_gone_or_cannot_be_read(recorder: Recorder) -> None:
    above = recorder.take_up(ON_THE_WAY, station="A-1")
    below = recorder.begin(OTHER, station="A-1", parent=above.id)

    def damaged(note_id: str) -> Note | None:
        raise PackError(f"{note_id}: the pack is damaged")

    assert note_or_none(damaged, OTHER.id) is None
    for lookup in (damaged, lambda _: None):
        found = standing(recorder, (above, below), OTHER, lookup)
        assert (found.above, found.on_the_way) == ((0, "Pad acts up"), False)


def test_a_chain_whose_beginning_was_erased_begins_later(recorder: Recorder) -> None:
    work = recorder.begin(OTHER, station="A-1")
    assert chain_of(recorder.journal, work._replace(parent=99)) == (work._replace(parent=99),)


def test_where_a_walk_stands() -> None:
    assert where(begin(DEMO)) == "step 1"
    assert where(begin(DEMO)._replace(step=len(DEMO.steps) + 1)) == "to the outcome"
