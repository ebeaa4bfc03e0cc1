"""What a turn picks, what it is about, and what is carried to the next."""

from __future__ import annotations

import pytest

from assistant.answering.converse import TURN_SIGNS, Conversation, picked_option, read_turn, turn_signs
from assistant.answering.retrieve import Retriever
from assistant.model import Option
from assistant.notes.reader import read_note
from assistant.pack.reader import Pack
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of

IDS = ("pad-a", "pad-b", "pad-c", "pad-d")
SHOWN = Conversation("pad-z", 0, IDS)
ASKED = Conversation("pad-a", 0, IDS, asked_which=True)


@pytest.mark.parametrize(
    ("text", "picked"),
    [
        ("1", "pad-a"),
        ("2", "pad-b"),
        ("4.", "pad-d"),
        ("number 3", "pad-c"),
        ("no 2", "pad-b"),
        ("option 2 please", "pad-b"),
        ("the first", "pad-a"),
        ("the second", "pad-b"),
        ("the second one", "pad-b"),
        ("third one please", "pad-c"),
        ("2nd", "pad-b"),
        ("two", "pad-b"),
        ("I mean the fourth", "pad-d"),
        ("one", "pad-a"),
        ("the last", "pad-d"),
        ("the last one", "pad-d"),
        ("pad-c", "pad-c"),
        (" pad-c ", "pad-c"),
        ("0", None),
        ("5", None),
        ("12", None),
        ("fifth", None),
        ("pad-x", None),
        ("", None),
        ("yes", None),
        ("the pad", None),
        ("first thing to do", None),
        ("two pads are broken and one disc", None),
        ("the second stick is loose", None),
        ("last step", None),
        ("another pad is broken", None),
    ],
)
def test_pick(text: str, picked: str | None) -> None:
    for conversation in (SHOWN, ASKED):
        assert picked_option(text, conversation) == picked


@pytest.mark.parametrize(
    "text", ["the other one", "another", "the other", "no, the other one please", "a different one"]
)
def test_the_other_one_is_the_next_best(text: str) -> None:
    assert picked_option(text, SHOWN) == "pad-a"
    assert picked_option(text, ASKED) == "pad-b"
    assert picked_option(text, Conversation(None, 0, IDS, asked_which=True)) == "pad-b"
    assert picked_option(text, Conversation("pad-z", 0, ("pad-a",), asked_which=True)) == "pad-a"


def test_without_options_nothing_is_picked() -> None:
    for text in ("1", "the other one", "last", "pad-a"):
        assert picked_option(text, Conversation("pad-a")) is None


@pytest.mark.parametrize("conversation", [SHOWN, ASKED])
def test_a_number_beyond_the_options_picks_nothing(conversation: Conversation) -> None:
    two = Conversation(conversation.note, 0, IDS[:2], asked_which=conversation.asked_which)
    assert picked_option("3", two) is None
    assert picked_option("third", two) is None


def test_conversation_carries_what_the_card_shows() -> None:
    note = read_note(NOTE_TEXT, NOTE_PATH)
    options = (Option("pad-b", "B"), Option("pad-a", "A"))
    before = Conversation("pad-z", 3, ("pad-q",))
    assert before.after(answer_of(note, options=options), 2) == Conversation("pad-demo", 2, ("pad-b", "pad-a"))
    for decision in ("choose", "none"):
        answer = answer_of(None, decision=decision, options=options)
        assert before.after(answer, 0) == Conversation("pad-z", 3, ("pad-b", "pad-a"), asked_which=True)
    first = Conversation().after(answer_of(None, decision="choose", options=options), 0)
    assert first == Conversation("pad-b", 0, ("pad-b", "pad-a"), asked_which=True)
    assert Conversation().after(answer_of(None, options=options), 0).note is None


def test_others_hold_the_note_shown_unless_it_was_not_on_the_card() -> None:
    assert SHOWN.others("pad-b") == ("pad-z", "pad-a", "pad-c", "pad-d")
    assert ASKED.others("pad-b") == ("pad-a", "pad-c", "pad-d")
    assert Conversation().others("pad-a") == ()


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("how long will it take", "time"),
        ("what parts do I need", "parts"),
        ("which tools does it take", "tools"),
        ("is it dangerous", "cautions"),
        ("why is that", "why"),
        ("what do I do first", "first_step"),
        ("and then", "next_step"),
        ("what after that", "after_that"),
        ("still not working", "next_if_fails"),
        ("who do I call", "escalate"),
        ("how can I tell it worked", "done_check"),
        ("show me the steps again", "procedure"),
    ],
)
def test_class_of_a_turn(mini_pack: Pack, text: str, about: str) -> None:
    turn = read_turn(text, mini_pack)
    assert turn.about == about
    assert turn.margin > 0


@pytest.mark.parametrize("text", ["now another thing", "different problem", "the pad is bulging and hot"])
def test_new_topics_stand_below(mini_pack: Pack, text: str) -> None:
    assert read_turn(text, mini_pack).margin < 0


def test_turn_of_no_known_cue(mini_pack: Pack) -> None:
    assert read_turn("zzzz " * 20, mini_pack).margin <= 0


def test_words_that_no_known_turn_has_make_a_turn_strange(mini_pack: Pack) -> None:
    plain = read_turn("how long", mini_pack)
    foreign = read_turn("how long zzzz qqqq", mini_pack)
    assert plain.strange < foreign.strange <= 1000
    assert foreign.margin < plain.margin


def test_words_of_neither_the_note_in_hand_nor_usual_turns_are_foreign(mini_pack: Pack) -> None:
    retrieve = Retriever(mini_pack)
    number = mini_pack.note_ids.index("pad-stick-cap")

    def foreign(text: str) -> int:
        turn = read_turn(text, mini_pack)
        return turn_signs(turn, retrieve(text), number, mini_pack.decision)[TURN_SIGNS.index("foreign")]

    assert foreign("how many minutes") == 0
    assert foreign("how many minutes for the stick cap") == 0
    assert 0 < foreign("how many minutes for the disc") < foreign("how many minutes for lunch with granny") < 1000
