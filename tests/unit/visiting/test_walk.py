"""Working through a note: order, choices, safety messages before their step, back and forth, resuming."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.journal.records import Act
from assistant.model import Branch
from assistant.notes.reader import read_note
from assistant.visiting.walk import (
    NONE_OF_THESE,
    Walk,
    acknowledge,
    after,
    begin,
    choices,
    go_back,
    pending,
    replay,
    skip,
    tick,
    wait,
)
from tests.making import NOTE_PATH, NOTE_TEXT, notes
from tests.shipped import CORPUS, shipped_corpus

NOTE = read_note(NOTE_TEXT, NOTE_PATH)


def moved(walk: Walk, *acts: str) -> Walk:
    """Apply acts written as ``tick``, ``tick 1``, ``read``, ``skip`` or ``back``."""
    for act in acts:
        name, _, choice = act.partition(" ")
        if name == "tick":
            walk = after(walk, tick(walk, int(choice) if choice else None))
        elif name == "read":
            walk = after(walk, acknowledge(walk))
        elif name == "skip":
            walk = after(walk, skip(walk, "no time"))
        else:
            walk = after(walk, go_back(walk))
    return walk


def test_choices_lead_to_their_step_or_end_the_work() -> None:
    walk = begin(NOTE)
    assert [branch.text for branch in choices(NOTE.steps[0])][-1] == NONE_OF_THESE
    assert moved(walk, "tick 0").finished
    assert moved(walk, "tick 1").step == 3
    assert moved(walk, "tick 2").step == 2
    for wrong in (None, 3, -1):
        with pytest.raises(UsageError, match="choose 1 to 3"):
            tick(walk, wrong)


def test_a_rest_among_the_choices_makes_none_of_these_needless() -> None:
    assert [branch.condition for branch in choices(NOTE.steps[2])] == ["If not"]


def test_a_step_waits_until_every_message_before_it_was_acknowledged() -> None:
    walk = moved(begin(NOTE), "tick 2")
    assert [message.signal for message in pending(walk)] == ["WARNING", "NOTICE"]
    for refused in (tick, wait_one, skip_it):
        with pytest.raises(UsageError, match="acknowledge the safety message before step 2"):
            refused(walk)
    walk = moved(walk, "read")
    assert [message.signal for message in pending(walk)] == ["NOTICE"]
    with pytest.raises(UsageError, match="acknowledge"):
        tick(walk)
    walk = moved(walk, "read")
    assert pending(walk) == ()
    with pytest.raises(UsageError, match="no safety message is waiting"):
        acknowledge(walk)
    assert moved(walk, "tick").step == 3


def wait_one(walk: Walk) -> Act:
    return wait(walk, 1)


def skip_it(walk: Walk) -> Act:
    return skip(walk, "no time")


def test_the_act_holds_the_message_whole() -> None:
    act = acknowledge(moved(begin(NOTE), "tick 2"))
    assert act.text == "WARNING: A cut lead has bare wires. They can burn a hand. Unplug it first."


def test_skipping_needs_a_reason() -> None:
    with pytest.raises(UsageError, match="say why"):
        skip(begin(NOTE), "  ")
    walk = moved(begin(NOTE), "skip")
    assert walk.step == 2
    assert walk.marks == ((1, "skipped"),)


def test_back_goes_the_way_that_was_come() -> None:
    walk = moved(begin(NOTE), "tick 1")
    assert walk.step == 3
    walk = moved(walk, "back")
    assert (walk.step, walk.marks, walk.trail) == (1, (), ())
    with pytest.raises(UsageError, match="first step"):
        go_back(walk)
    ended = moved(walk, "tick 0", "back")
    assert ended.step == 1
    assert not ended.finished


def test_a_choice_that_goes_to_a_note_leaves_this_one_for_good() -> None:
    walk = moved(begin(NOTE), "tick 1", "tick 0")
    assert (walk.leads_to, walk.leaves, walk.finished) == ("pad-other", True, True)
    with pytest.raises(UsageError, match="no step is left"):
        tick(walk)
    back = moved(walk, "back")
    assert (back.step, back.leads_to, back.leaves) == (3, "", False)


def test_a_choice_that_does_a_note_comes_back_at_its_step() -> None:
    branch = Branch("If not", 'If not: do "Another pad", then go to step 2.', step=2, note="pad-other")
    note = NOTE._replace(steps=(*NOTE.steps[:2], NOTE.steps[2]._replace(branches=(branch,))))
    act = tick(moved(begin(note), "tick 1"), 0)
    assert (act.to_note, act.to_step) == ("pad-other", 2)
    walk = after(moved(begin(note), "tick 1"), act)
    assert (walk.step, walk.leads_to, walk.leaves) == (2, "pad-other", False)
    assert moved(walk, "read").leads_to == ""
    assert moved(walk, "back").leads_to == ""


def test_an_act_of_an_old_journal_comes_back_behind_its_step() -> None:
    walk = after(begin(NOTE), Act(0, "done", 1, NOTE.steps[0].text, to_step=2, to_note="pad-other"))
    assert (walk.step, walk.leads_to, walk.leaves) == (2, "pad-other", False)


def test_a_wait_is_kept_until_the_step_is_left() -> None:
    walk = after(begin(NOTE), wait(begin(NOTE), 30))
    assert walk.waiting is not None
    assert walk.waiting.seconds == 30
    assert moved(walk, "tick 2").waiting is None


@given(st.data())
def test_no_message_is_ever_passed_unread_and_replaying_gives_the_same(data: st.DataObject) -> None:
    note = data.draw(notes())
    walk, acts, read = begin(note), [], set[tuple[int, str]]()
    for _ in range(data.draw(st.integers(0, 25))):
        act = drawn(data, walk)
        if act is None:
            break
        if act.act == "acknowledged":
            read.add((act.step, act.text))
        if act.act in {"done", "skipped"}:
            assert all(
                (message.before_step, f"{message.signal}: {message.text}") in read
                for message in note.safety
                if message.before_step == act.step
            )
        acts.append(act)
        walk = after(walk, act)
    assert replay(note, acts) == walk
    assert len(walk.trail) >= len({step for step, _ in walk.marks})


def drawn(data: st.DataObject, walk: Walk) -> Act | None:
    possible = ["back"] if walk.trail else []
    if pending(walk):
        possible.append("read")
    elif walk.current:
        possible += ["tick", "skip"]
    if not possible:
        return None
    chosen = data.draw(st.sampled_from(possible))
    if chosen == "tick" and walk.current:
        offered = choices(walk.current)
        return tick(walk, data.draw(st.integers(0, len(offered) - 1)) if offered else None)
    return {"back": go_back, "read": acknowledge, "skip": skip_it}[chosen](walk)


@pytest.mark.parametrize("name", sorted(path.stem for path in CORPUS.glob("*/*.md")))
def test_every_shipped_note_can_be_walked_through(name: str) -> None:
    (note,) = (note for note in shipped_corpus().notes if note.id == name)
    walk, turns = begin(note), 0
    while not walk.finished:
        turns += 1
        assert turns < 100
        if pending(walk):
            walk = after(walk, acknowledge(walk))
            continue
        assert walk.current is not None
        offered = choices(walk.current)
        ahead = [n for n, branch in enumerate(offered) if branch.step is None or branch.step > walk.step]
        walk = after(walk, tick(walk, ahead[-1] if offered else None))
