"""Direct answers in the note's own words, and the card on which no safety message is missing."""

from __future__ import annotations

import json
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.answering.card import Block, card
from assistant.answering.compose import (
    SMALL_TALK,
    direct_answer,
    matching_steps,
    named_contacts,
    step_after,
    step_left,
)
from assistant.answering.contract import answer_to_json
from assistant.model import ABOUTS, About, Branch, Contact, Note, Option, Reason, SafetyMessage, Step, Trade
from assistant.notes.reader import read_note
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of, changed, notes

NOTE = read_note(NOTE_TEXT, NOTE_PATH)
BARE = changed(NOTE, parts=(), tools=(), safety=(), why="", cause=(), before_you_start=(), minutes=1)
DESK, LINE = Contact("support desk", "support desk", "0123 456 789"), Contact("poison line", "poison line")
OPTIONS = (Option("pad-other", "Other"), Option("disc-clean", "Clean", "a disc and not a pad"))


@pytest.mark.parametrize(
    ("about", "note", "step", "text"),
    [
        ("parts", NOTE, 0, "Parts: wired pad. Tools: cabinet key."),
        ("parts", BARE, 0, "The note names no parts. The note names no tools."),
        ("parts", changed(NOTE, tools=()), 0, "Parts: wired pad. The note names no tools."),
        ("tools", NOTE, 0, "Tools: cabinet key. Parts: wired pad."),
        ("tools", BARE, 0, "The note names no tools. The note names no parts."),
        ("time", NOTE, 0, "About 6 minutes."),
        ("time", BARE, 0, "About 1 minute."),
        ("cautions", BARE, 0, "The note names no hazard. Local rules come first."),
        (
            "cautions",
            NOTE,
            0,
            (
                "WARNING: A cut lead has bare wires. They can burn a hand. Unplug it first. "
                "NOTICE: Grit is sharp. It scratches the shell. Shake the cloth out."
            ),
        ),
        ("why", NOTE, 0, "A lead breaks inside."),
        ("why", changed(NOTE, why=""), 0, "A loose lead.; A dead pad."),
        ("why", BARE, 0, "The lamp of the pad stays dark. The pad does nothing."),
        (
            "first_step",
            NOTE,
            1,
            "Step 1: Look at the lamp. If the lamp is lit: the work is done. If the lamp blinks: go to step 3.",
        ),
        ("next_step", NOTE, 2, "Step 2: Unplug the pad."),
        ("next_step", NOTE, 4, "That was the last step. The lamp is lit."),
        ("next_step", NOTE, 99, "That was the last step. The lamp is lit."),
        ("after_that", NOTE, 0, "The lamp is lit."),
        ("done_check", NOTE, 0, "The lamp is lit."),
        ("mended", NOTE, 0, "The lamp is lit."),
        ("step", NOTE, 2, "Step 2: Unplug the pad."),
        ("wait", NOTE, 0, "The note names no waiting time; the whole work takes about 6 min."),
        ("back", NOTE, 0, "Replace: Pad lamp stays dark. About 6 min."),
        ("small_talk", NOTE, 0, SMALL_TALK),
        ("next_if_fails", NOTE, 0, 'Look at "Another pad".'),
        ("escalate", NOTE, 0, 'Look at "Another pad".'),
        ("procedure", NOTE, 0, "Replace: Pad lamp stays dark. About 6 min."),
    ],
)
def test_direct_answer(about: About, note: Note, step: int, text: str) -> None:
    assert direct_answer(note, about, step, action="Replace") == text


def test_what_a_turn_names_is_answered() -> None:
    assert direct_answer(NOTE, "item", 0, "do I need a key") == "Tools: cabinet key"
    assert direct_answer(NOTE, "step", 2, "how many steps are there") == "3 steps."
    assert direct_answer(changed(NOTE, steps=NOTE.steps[:1]), "step", 0, "how many steps") == "1 step."
    assert direct_answer(NOTE, "step", 2, "read step 2") == "Step 2: Unplug the pad."


def test_a_step_that_the_note_does_not_have_is_told_so() -> None:
    for asked, step in (("step 99", 3), ("step 0", 2)):
        told = direct_answer(NOTE, "step", step_after(NOTE, "step", 2, asked), asked)
        assert told.startswith(f"The note has steps 1 to 3 only. Step {step}: ")


@pytest.mark.parametrize("about", ["item", "step", "first_step", "next_step"])
def test_a_turn_that_asks_for_leave_gets_no_step_alone(about: About) -> None:
    """The steps that matched a word read as a yes."""
    note = changed(NOTE, before_you_start=("Never open the pad.",))
    told = direct_answer(note, about, 2, "can i unplug the pad")
    last = max(told.index(message.text) for message in note.safety)
    assert told.startswith("Never open the pad. WARNING: ")
    assert "Step 2: Unplug the pad." in told[last:]


MENDS = Branch("If it plays", "If it plays: the work is done.")
ONWARD = Branch("If not", "If not: go to step 3.", 3)
LOOK = Branch("If it blinks", "If it blinks: go to step 3.", 3)
AWAY = Branch("If not", 'If not: go to "Another pad".', None, "pad-other")
ON_THE_WAY = Branch("If not", 'If not: do "Making it dead", then go to step 3.', 3, "safety-dead")


@pytest.mark.parametrize(
    ("choices", "asked", "told", "left"),
    [
        ((MENDS, ONWARD), "did not work", "If not: go to step 3. Step 3: Fit the new wired pad.", 3),
        ((MENDS, AWAY), "did not work", 'If not: go to "Another pad".', 1),
        ((MENDS, ON_THE_WAY), "did not work", 'If not: do "Making it dead", then go to step 3.', 1),
        ((LOOK, AWAY), "still dead", f"By what you see at step 1: {LOOK.text} {AWAY.text}", 1),
        ((MENDS, LOOK), "still dead", f"By what you see at step 1: {MENDS.text} {LOOK.text}", 1),
        ((), "did not work", 'Look at "Another pad".', 1),
        ((MENDS, ONWARD), "tried everything, no better", 'Look at "Another pad".', 1),
    ],
)
def test_where_the_step_in_hand_leads_that_did_not_help(
    choices: tuple[Branch, ...], asked: str, told: str, left: int
) -> None:
    """The end of the note was told, though the step said what to do next."""
    note = changed(NOTE, steps=(NOTE.steps[0]._replace(branches=choices), *NOTE.steps[1:]))
    assert step_after(note, "next_if_fails", 1, asked) == 1
    assert direct_answer(note, "next_if_fails", 1, asked).startswith(told)
    assert step_left(note, "next_if_fails", 1, asked) == left
    assert step_left(note, "step", 1, asked) == 1


def test_after_the_last_step_the_end_is_told() -> None:
    assert NOTE.steps[-1].branches
    assert direct_answer(NOTE, "next_if_fails", 3, "did not work") == 'Look at "Another pad".'


def test_a_step_to_which_a_choice_leads_stands_below_its_messages_and_the_others_below_it() -> None:
    first, second, third = NOTE.steps
    branch = Branch("If not", "If not: go to step 2.", 2)
    note = changed(
        NOTE,
        steps=(first._replace(branches=(MENDS, branch)), second, third),
        safety=(NOTE.safety[0], NOTE.safety[1]._replace(before_step=3)),
    )
    told = direct_answer(note, "next_if_fails", 1, "did not work")
    kinds = [(block.kind, block.text) for block in card(answer_of(note, about="next_if_fails", text=told))]
    assert kinds[:3] == [("safety", note.safety[0].text), ("text", told), ("safety", note.safety[1].text)]


@pytest.mark.parametrize(
    ("about", "asked", "step"),
    [
        ("step", "step 3", 3),
        ("step", "the previous step", 1),
        ("step", "how many steps", 2),
        ("next_step", "and then", 3),
        ("first_step", "what first", 1),
        ("time", "how long for step 3", 2),
        ("procedure", "step 3", 2),
    ],
)
def test_the_step_that_is_named_once_a_turn_is_answered(about: About, asked: str, step: int) -> None:
    """The second step was named before it."""
    assert step_after(NOTE, about, 2, asked) == step


def test_the_next_step_goes_on_past_the_last() -> None:
    assert step_after(NOTE, "next_step", 3, "and then") == 4
    assert step_after(NOTE, "step", 4, "and the one before") == 3


def test_steps_that_hold_what_was_asked_about_are_marked() -> None:
    weights = {"lamp": [[1, 300]], "unplug": [[2, 400]], "pad": [[1, 100], [2, 100], [3, 100]]}

    def marked(*terms: tuple[str, int]) -> list[int]:
        steps = matching_steps(NOTE, terms, weights)
        assert [(step.n, step.text) for step in steps] == [(step.n, step.text) for step in NOTE.steps]
        return [step.n for step in steps if step.matches]

    assert marked(("lamp", 100)) == [1]
    assert marked(("unplug", 100), ("pad", 100)) == [2]
    assert marked(("lamp", 30), ("unplug", 100)) == [2]
    assert marked(("unknown", 100)) == []
    assert marked() == []


def test_choices_are_shown_under_their_step() -> None:
    steps = matching_steps(NOTE, (), {})
    assert [step.branches for step in steps] == [tuple(branch.text for branch in step.branches) for step in NOTE.steps]


CARDS = [about for about in ABOUTS if about != "small_talk"]


@given(notes(), st.sampled_from(["procedure", "back", "cautions", "next_if_fails", "escalate"]), st.booleans())
def test_every_safety_message_is_on_a_whole_card_and_where_a_rep_is_sent_beyond_the_steps(
    note: Note, about: About, others: bool
) -> None:
    answer = answer_of(note, about=about, text=direct_answer(note, about, 0), options=OPTIONS if others else ())
    assert _messages(card(answer)) == sorted((m.signal, m.text) for m in note.safety)


@given(notes(), st.sampled_from(["first_step", "next_step", "step", "item", "wait"]), st.integers(0, 6))
def test_a_step_that_is_told_has_all_its_safety_messages_before_it(note: Note, about: About, before: int) -> None:
    step = step_after(note, about, min(before, len(note.steps)), "the step")
    blocks = card(answer_of(note, about=about, text=direct_answer(note, about, step, "the step")))
    text = next(block for block in blocks if block.kind == "text")
    told = {s.n for s in note.steps if s.text in text.text}
    assert _messages(blocks) == sorted((m.signal, m.text) for m in note.safety if m.before_step in told)
    assert all(blocks.index(block) < blocks.index(text) for block in blocks if block.kind == "safety")


@given(notes(), st.sampled_from(["time", "parts", "tools", "why", "done_check", "after_that", "mended"]))
def test_a_short_answer_comes_first_and_repeats_no_head(note: Note, about: About) -> None:
    told = direct_answer(note, about, 0)
    blocks = card(answer_of(note, about=about, text=told, read_as="long"))
    assert blocks[0].kind in {"text", "safety"}
    assert {block.kind for block in blocks} <= {"text", "safety", "source"}
    assert f"{note.title}: {note.id}, revision {note.revision}" in blocks[-1].text


def test_what_was_understood_is_told_where_other_notes_are_offered() -> None:
    blocks = card(answer_of(NOTE, about="time", text="About 6 minutes.", options=OPTIONS, read_as="pad lamp long"))
    assert [block.kind for block in blocks] == ["text", "source", "read_as", "label", "option", "option"]


def _messages(blocks: Sequence[Block]) -> list[tuple[str, str]]:
    return sorted((b.head.split(" ")[0], b.text) for b in blocks if b.kind == "safety")


@given(notes())
def test_a_safety_message_stands_right_before_its_step(note: Note) -> None:
    blocks = [b for b in card(answer_of(note)) if b.kind in ("safety", "step")]
    waiting: list[tuple[str, str]] = []
    seen: dict[int, list[tuple[str, str]]] = {}
    for block in blocks:
        if block.kind == "safety":
            waiting.append((block.head, block.text))
        else:
            seen[int(block.head)] = waiting
            waiting = []
    assert waiting == []
    for step in note.steps:
        assert seen[step.n] == [(m.signal, m.text) for m in note.safety if m.before_step == step.n]


def test_whole_card() -> None:
    blocks = card(answer_of(NOTE, options=OPTIONS, read_as="pad lamp"))
    assert [(b.kind, b.head, b.text) for b in blocks] == [
        ("read_as", "", "pad lamp"),
        ("action", "REPLACE", "about 6 min"),
        ("title", "", "Pad lamp stays dark"),
        ("needs", "Parts", "wired pad"),
        ("needs", "Tools", "cabinet key"),
        ("label", "", "Before you start"),
        ("item", "", "Have a wired pad in the bag."),
        ("label", "", "Steps"),
        ("step", "1", "Look at the lamp."),
        ("choice", "", "If the lamp is lit: the work is done."),
        ("choice", "", "If the lamp blinks: go to step 3."),
        ("safety", "WARNING", "A cut lead has bare wires. They can burn a hand. Unplug it first."),
        ("safety", "NOTICE", "Grit is sharp. It scratches the shell. Shake the cloth out."),
        ("step", "2", "Unplug the pad."),
        ("step", "3", "Fit the new wired pad."),
        ("choice", "", 'If not: go to "Another pad".'),
        ("label", "", "Result"),
        ("item", "", "The lamp is lit."),
        ("label", "", "If it still fails"),
        ("item", "", 'Look at "Another pad".'),
        (
            "source",
            "",
            (
                "pad-demo, revision 3, reviewed 2026-11-02. Sources: common practice. "
                "Safety: not signed by a safety officer"
            ),
        ),
        ("label", "", "Not it? Other notes"),
        ("option", "1", "Other"),
        ("option", "2", "Clean (a disc and not a pad)"),
    ]
    assert [b.target for b in blocks if b.kind == "option"] == ["pad-other", "disc-clean"]


def test_who_is_named_stands_between_the_note_and_its_source() -> None:
    blocks = card(answer_of(NOTE, contacts=(DESK, LINE), options=OPTIONS))
    place = next(n for n, block in enumerate(blocks) if block.kind == "source")
    assert blocks[place - 2 : place] == (
        Block("contact", "0123 456 789", head="Support desk"),
        Block("contact", "number not set; ask your office.", head="Poison line"),
    )
    assert [block.kind for block in blocks].count("contact") == 2


def test_a_short_answer_has_the_numbers_of_those_whom_it_names_alone() -> None:
    answer = answer_of(NOTE, about="next_if_fails", text="Ask the support desk.", contacts=(DESK, LINE))
    assert [block.head for block in card(answer) if block.kind == "contact"] == ["Support desk"]
    assert not [block for block in card(changed(answer, text="Stop.")) if block.kind == "contact"]


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"if_it_still_fails": "Call the Support Desk. The support desk knows."}, [DESK]),
        ({"result": "The poison line has been told."}, [LINE]),
        ({"if_it_still_fails": "Ask the support desk.", "result": "The poison line knows."}, [DESK, LINE]),
        ({"why": "The support desk wants it.", "condition": "The support desk said so."}, []),
        ({"if_it_still_fails": "Ask at the support desks."}, []),
        ({"if_it_still_fails": "Call the local emergency number."}, []),
    ],
)
def test_a_contact_that_the_note_names_is_told_once(changes: dict[str, str], named: list[Contact]) -> None:
    trade = Trade(contacts=(Contact("emergency", "local emergency number"), DESK, LINE))
    assert list(named_contacts(changed(NOTE, **changes), trade)) == named


def test_steps_and_choices_name_contacts_and_an_emergency_number_that_is_set_is_told() -> None:
    own = Contact("emergency", "emergency number", "000")
    steps = (Step(1, "Call the emergency number."), Step(2, "Look.", (Branch("If", "If it is dark: support desk."),)))
    assert named_contacts(changed(NOTE, steps=steps), Trade(contacts=(DESK, LINE, own))) == (DESK, own)


@given(notes(), st.sampled_from(CARDS))
def test_the_emergency_line_stands_above_all_but_what_was_understood(note: Note, about: About) -> None:
    for shown in (note, None):
        told = answer_of(shown, about=about, emergency="Call 000.", options=OPTIONS, read_as="pad lamp")
        blocks = card(told)
        above = [("read_as", "pad lamp")] if shown is None or about in {"procedure", "back"} else []
        assert [(b.kind, b.text) for b in blocks[: len(above) + 1]] == [*above, ("emergency", "Call 000.")]
        without = card(changed(told, emergency=""))
        assert without == (*blocks[: len(above)], *blocks[len(above) + 1 :])


@pytest.mark.parametrize("note", [None, NOTE])
def test_small_talk_is_a_line_and_no_card(note: Note | None) -> None:
    told = answer_of(note, about="small_talk", decision="answer", text=SMALL_TALK, options=OPTIONS, read_as="thanks")
    assert card(told) == (Block("text", SMALL_TALK),)
    assert card(changed(told, emergency="Call 000.")) == (Block("emergency", "Call 000."), Block("text", SMALL_TALK))


def test_going_back_shows_the_whole_note() -> None:
    assert card(answer_of(NOTE, about="back", text="t")) == card(answer_of(NOTE, text="t"))


@pytest.mark.parametrize("decision", ["choose", "none"])
def test_card_without_a_note(decision: str) -> None:
    blocks = card(answer_of(None, decision=decision, options=OPTIONS, text="Which?", read_as=""))
    assert [(b.kind, b.head) for b in blocks] == [("text", ""), ("option", "1"), ("option", "2")]


def test_contract_has_exactly_these_keys_in_this_order() -> None:
    reason = Reason("lamp", "title", 7)
    answer = answer_of(NOTE, options=OPTIONS, why=(reason,), id="q7")
    record = answer_to_json(answer)
    assert list(record) == [
        "id",
        "question",
        "read_as",
        "decision",
        "about",
        "text",
        "note",
        "safety",
        "steps",
        "options",
        "confidence",
        "emergency",
        "contacts",
        "why",
        "pack",
    ]
    assert list(record["note"]) == [
        "id",
        "title",
        "action",
        "minutes",
        "parts",
        "tools",
        "revision",
        "reviewed",
        "sources",
    ]
    assert record["safety"][0] == {"signal": "WARNING", "text": NOTE.safety[0].text, "before_step": 2}
    assert record["steps"][1] == {"n": 2, "text": "Unplug the pad.", "matches": False}
    assert record["options"] == [{"id": "pad-other", "title": "Other"}, {"id": "disc-clean", "title": "Clean"}]
    assert record["why"] == [{"term": "lamp", "field": "title", "points": 7}]
    assert [list(record[key][0]) for key in ("safety", "steps", "options", "why")] == [
        ["signal", "text", "before_step"],
        ["n", "text", "matches"],
        ["id", "title"],
        ["term", "field", "points"],
    ]
    assert record["id"] == "q7"
    assert (record["emergency"], answer_to_json(answer_of(NOTE, emergency="Call 000."))["emergency"]) == (
        "",
        "Call 000.",
    )
    told = answer_to_json(answer_of(NOTE, contacts=(DESK, LINE)))
    assert told["contacts"] == [
        {"name": "support desk", "number": "0123 456 789"},
        {"name": "poison line", "number": ""},
    ]
    assert record["contacts"] == []
    assert list(answer_to_json(answer_of(None))) == list(record)
    assert answer_to_json(answer_of(None))["note"] is None


@given(notes())
def test_contract_survives_json(note: Note) -> None:
    record = answer_to_json(answer_of(note))
    assert json.loads(json.dumps(record)) == record
    assert [SafetyMessage(m["signal"], m["text"], m["before_step"]) for m in record["safety"]] == [
        changed(message, line=0) for message in note.safety
    ]
