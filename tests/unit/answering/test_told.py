"""What a turn names beyond its kind: a step, a wait, a thing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.answering.told import (
    asks_permission,
    item_answer,
    permission_answer,
    step_beyond,
    step_meant,
    steps_counted,
    wait_answer,
)
from assistant.languages import language_of
from assistant.model import Note, Step
from assistant.notes.reader import read_note
from tests.making import NOTE_PATH, NOTE_TEXT, changed, notes

NOTE = read_note(NOTE_TEXT, NOTE_PATH)


def stepped(*texts: str, **changes: object) -> Note:
    return changed(NOTE, steps=tuple(Step(n, text) for n, text in enumerate(texts, start=1)), **changes)


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("step 3", 3),
        ("read me step 3 again", 3),
        ("step3", 2),
        ("step three", 3),
        ("the third step", 3),
        ("first", 1),
        ("the fifth", 5),
        ("number six please", 6),
        ("the first one", 1),
        ("step 6 of 6", 6),
        ("step 0", 2),
        ("step 9", 6),
        ("the eighth step", 6),
        ("step 1000", 2),
        ("the last step", 6),
        ("final step", 6),
        ("the previous step", 1),
        ("go back one step", 1),
        ("the step before", 1),
        ("say that again", 2),
        ("repeat", 2),
        ("repeat the last step", 2),
        ("that last one again", 2),
        ("the last one", 6),
        ("the previous one", 1),
        ("step one again", 1),
        ("one", 1),
        ("which step", 2),
        ("", 2),
    ],
)
def test_step_meant_of_six_with_the_second_named_last(text: str, step: int) -> None:
    assert step_meant(text, 2, 6) == step


@pytest.mark.parametrize("text", ["go back one", "the one before that one", "that one again", "the last one again"])
def test_one_that_is_pointed_at_is_no_number(text: str) -> None:
    """It points back at a step, or at the one in hand."""
    assert step_meant(text, 5, 6) == (4 if "back" in text or "before" in text else 5)


def test_where_no_step_was_named_the_first_is_meant() -> None:
    for text in ("repeat", "the previous step", "which step"):
        assert step_meant(text, 0, 6) == 1
    assert step_meant("the last step", 0, 6) == 6


def test_after_the_end_the_last_step_is_before() -> None:
    """Asking for the next step goes past the last one."""
    assert step_meant("the previous step", 7, 6) == 6
    assert step_meant("repeat", 8, 6) == 6


@given(st.text(max_size=30), st.integers(0, 40), st.integers(1, 30))
def test_the_step_meant_is_one_of_the_note(text: str, step: int, count: int) -> None:
    assert 1 <= step_meant(text, step, count) <= count


@given(st.integers(1, 30), st.integers(0, 30))
def test_a_number_of_the_note_is_taken_at_its_word(named: int, step: int) -> None:
    assert step_meant(f"and step {named}?", step, 30) == named


@pytest.mark.parametrize(
    ("text", "beyond"),
    [("step 99", True), ("step 0", True), ("step 7", True), ("step 6", False), ("the eighth step", True), ("", False)],
)
def test_a_step_that_six_do_not_have(text: str, beyond: bool) -> None:
    assert step_beyond(text, 6) is beyond


ASKING = ["can i open it", "May I use water?", "should we carry it out", "is it ok to charge it", "so can I pull it"]
TELLING = ["i can open it", "what can i use", "can you repeat that", "carry it outside", "is it broken", ""]


@pytest.mark.parametrize(("text", "asks"), [*((text, True) for text in ASKING), *((text, False) for text in TELLING)])
def test_a_turn_asks_whether_something_may_be_done(text: str, asks: bool) -> None:
    assert asks_permission(text) is asks


@pytest.mark.parametrize(("text", "asks"), [("darf ich das öffnen", True), ("ich darf das öffnen", False)])
def test_a_german_turn_asks_whether_something_may_be_done(text: str, asks: bool) -> None:
    assert asks_permission(text, language_of("de")) is asks


def test_what_a_note_forbids_stands_before_what_it_says_of_the_thing() -> None:
    note = stepped(
        "Open the cabinet. Never pull a lead.",
        before_you_start=("Never open an adapter. Have a pad.", "It never shuts by itself."),
    )
    told = permission_answer(note, "Step 1: Open the cabinet.")
    messages = " ".join(f"{message.signal}: {message.text}" for message in note.safety)
    assert note.safety
    assert told == f"Never open an adapter. Never pull a lead. {messages} Step 1: Open the cabinet."


@pytest.mark.parametrize("text", ["how many steps", "How many are there?", "what is the number of steps"])
def test_steps_are_counted(text: str) -> None:
    assert steps_counted(text)


@pytest.mark.parametrize("text", ["step 3", "number 3", "how much", "many steps", ""])
def test_other_turns_count_no_steps(text: str) -> None:
    assert not steps_counted(text)


def test_a_wait_is_told_with_its_step() -> None:
    note = stepped("Pull the plug.", "Wait two minutes.", "Let the lens dry.", "Push the plug in.")
    assert wait_answer(note) == "Step 2: Wait two minutes. Step 3: Let the lens dry."


@pytest.mark.parametrize(
    "text",
    [
        "Leave it for 30 seconds.",
        "Let it cool.",
        "Hold on until the lamp is lit.",
        "Count five minutes.",
        "Give it a 1 hour rest.",
    ],
)
def test_what_counts_as_a_wait(text: str) -> None:
    assert wait_answer(stepped("Pull the plug.", text)) == f"Step 2: {text}"


def test_waits_outside_the_steps_are_told_where_they_have_a_figure() -> None:
    note = stepped(
        "Pull the plug.",
        before_you_start=("The pad must be dry.", "The pad must be off for 10 minutes."),
        result="The lamp is lit within 5 minutes.",
    )
    assert wait_answer(note) == "The pad must be off for 10 minutes. The lamp is lit within 5 minutes."


def test_a_few_waits_are_told() -> None:
    note = stepped(*(f"Wait {n} minutes." for n in range(2, 8)))
    assert wait_answer(note) == "Step 1: Wait 2 minutes. Step 2: Wait 3 minutes. Step 3: Wait 4 minutes."


def test_where_the_note_names_no_wait_it_says_so() -> None:
    note = stepped("Pull the plug.", before_you_start=("Have 2 pads.",), result="The lamp is lit.", minutes=6)
    assert wait_answer(note) == "The note names no waiting time; the whole work takes about 6 min."


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("do I need a cabinet key", "Tools: cabinet key"),
        ("can I use a wired pad", "Parts: wired pad Step 3: Fit the new wired pad. Have a wired pad in the bag."),
        ("what about the cloth", "NOTICE: Grit is sharp. It scratches the shell. Shake the cloth out."),
        ("lamps?", "Step 1: Look at the lamp."),
        ("what breaks inside", "A lead breaks inside."),
    ],
)
def test_lines_that_hold_the_thing_are_told(text: str, told: str) -> None:
    assert item_answer(NOTE, text) == told


def test_the_lines_with_most_of_what_is_named_are_told_and_a_few_at_most() -> None:
    note = stepped(*(f"Wipe plate {n} with spirit." for n in range(1, 6)), "Wipe it with spirit from the blue bottle.")
    assert item_answer(note, "the blue spirit bottle") == "Step 6: Wipe it with spirit from the blue bottle."
    assert item_answer(note, "spirit") == " ".join(f"Step {n}: Wipe plate {n} with spirit." for n in (1, 2, 3))


@pytest.mark.parametrize(
    ("text", "named"),
    [("can I use bleach", "bleach"), ("is glass cleaner ok", "glass cleaner"), ("is that safe", "it"), ("", "it")],
)
def test_a_thing_that_the_note_does_not_name_is_told_so(text: str, named: str) -> None:
    assert item_answer(NOTE, text) == (
        f"The note does not name {named}. Use what it names; ask the support desk first."
    )


def test_a_thing_is_found_by_the_stems_that_are_handed_in() -> None:
    assert item_answer(NOTE, "lamps", str).startswith("The note does not name lamps.")
    assert item_answer(NOTE, "lamps", lambda word: word.rstrip("s")) == "Step 1: Look at the lamp."


@given(notes(), st.text(max_size=30))
def test_nothing_is_told_of_a_thing_that_the_note_does_not_say(note: Note, text: str) -> None:
    """Sentence by sentence the answer is a line of the note, or says that it has none."""
    told = item_answer(note, text)
    lines = [*note.parts, *note.tools, *(m.text for m in note.safety), *(s.text for s in note.steps)]
    lines += [*note.before_you_start, note.if_it_still_fails, note.why]
    assert told.startswith("The note does not name ") or any(line and line in told for line in lines)
