"""What a turn picks, what it is about, and what is carried to the next."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.analyzer import ReadQuery
from assistant.answering.converse import Conversation, Turn, leaves, picked_option, read_turn
from assistant.answering.retrieve import Harm, Retrieval
from assistant.languages import language_of
from assistant.model import Note, Option
from assistant.notes.reader import read_note
from assistant.pack.reader import Pack
from assistant.ranking.score import Scores
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of, changed

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
    assert before.after(answer_of(note, options=options), 2) == Conversation(
        "pad-demo", 2, ("pad-b", "pad-a"), earlier=("pad-z",)
    )
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


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("i did not try it", "step"),
        ("tried that, still not working", "next_if_fails"),
        ("did not work, i tried it", "next_if_fails"),
    ],
)
def test_what_was_not_tried_did_not_fail(mini_pack: Pack, text: str, about: str) -> None:
    assert read_turn(text, mini_pack).about == about


@pytest.mark.parametrize(
    ("text", "untried"),
    [("habe ich nicht probiert", True), ("noch nicht versucht", True), ("probiert, geht nicht", False)],
)
def test_what_was_not_tried_is_told_so_in_german_too(text: str, untried: bool) -> None:
    assert bool(re.search(language_of("de").untried, text, re.IGNORECASE)) is untried


@pytest.mark.parametrize("text", ["now another thing", "different problem", "another problem"])
def test_new_topics_stand_below(mini_pack: Pack, text: str) -> None:
    assert read_turn(text, mini_pack).margin < 0


@pytest.mark.parametrize("text", ["", "zzzz " * 20, "?!", "how long " * 21])
def test_a_turn_that_cannot_be_read_begins_a_new_topic(mini_pack: Pack, text: str) -> None:
    """Nothing known in it, or as long as a question of its own."""
    assert read_turn(text, mini_pack) == Turn("procedure", -1000)
    assert read_turn("how long " * 20, mini_pack).about == "time"


BARS = {"lead_share": 500, "leave_at": -100, "own_at": -300}


def ranked(*total: int) -> Retrieval:
    order = sorted(range(len(total)), key=lambda note: (-total[note], note))
    scores = Scores(dict(enumerate(total)), order, {}, {})
    return Retrieval(ReadQuery((), (), ()), (), {}, (), {}, (), scores, Harm(None, None, 0, 0))


@pytest.mark.parametrize(("margin", "left"), [(-301, True), (-300, False), (-299, False), (900, False)])
def test_a_turn_that_fits_the_note_in_hand_leaves_it_below_a_bar_alone(margin: int, left: bool) -> None:
    turn = Turn("time", margin)
    assert leaves(turn, ranked(0, 900, 100), 1, BARS) is left
    assert leaves(turn, ranked(), 1, BARS) is left
    assert leaves(turn, ranked(), None, BARS) is left


@pytest.mark.parametrize(("margin", "left"), [(499, True), (500, False), (501, False)])
def test_a_turn_leaves_where_another_note_stands_far_over_the_one_in_hand(margin: int, left: bool) -> None:
    """The lead is 800 and counts half: it must exceed the margin by more than the bar of -100."""
    turn = Turn("time", margin)
    assert leaves(turn, ranked(100, 900, 0), 0, BARS) is left
    assert leaves(turn, ranked(-200, 600), 0, BARS) is left
    assert leaves(turn, ranked(900, 950), 0, BARS) is False


def test_a_lead_counts_up_to_a_point() -> None:
    """A thousand counts half: 500, and 100 for the bar."""
    for lead in (1000, 1001, 9000):
        assert leaves(Turn("time", 599), ranked(0, lead), 0, BARS)
        assert not leaves(Turn("time", 600), ranked(0, lead), 0, BARS)
    assert not leaves(Turn("time", 599), ranked(0, 997), 0, BARS)


def test_a_note_in_hand_that_was_not_found_has_no_points() -> None:
    assert leaves(Turn("time", 549), ranked(900, 100), 7, BARS)
    assert not leaves(Turn("time", 550), ranked(900, 100), 7, BARS)


@pytest.mark.parametrize(("margin", "left"), [(549, True), (550, False)])
def test_without_a_note_in_hand_the_points_of_the_first_count(margin: int, left: bool) -> None:
    assert leaves(Turn("small_talk", margin), ranked(900, 890), None, BARS) is left


def test_points_below_nothing_count_for_nothing_where_no_note_is_in_hand() -> None:
    for best in (0, -1, -900):
        assert not leaves(Turn("small_talk", 100), ranked(best, -1000), None, BARS)
        assert leaves(Turn("small_talk", 99), ranked(best, -1000), None, BARS)


@given(st.integers(-2000, 2000), st.integers(-2000, 2000), st.lists(st.integers(-2000, 2000), min_size=1, max_size=4))
def test_the_more_a_turn_goes_on_the_less_it_leaves(one: int, other: int, total: list[int]) -> None:
    low, high = sorted((one, other))
    for in_hand in (None, 0, 9):
        assert leaves(Turn("time", low), ranked(*total), in_hand, BARS) >= leaves(
            Turn("time", high), ranked(*total), in_hand, BARS
        )


def test_notes_in_hand_before_are_kept_and_gone_back_to_twice() -> None:
    talk = Conversation()
    for note_id in ("pad-a", "pad-b", "pad-b", "pad-c"):
        talk = talk.after(answer_of(note_called(note_id)), 2)
    assert (talk.note, talk.earlier) == ("pad-c", ("pad-a", "pad-b"))
    talk = talk.back_to(answer_of(note_called("pad-b"), about="back"))
    assert talk == Conversation("pad-b", earlier=("pad-a",))
    talk = talk.back_to(answer_of(note_called("pad-a"), about="back"))
    assert talk == Conversation("pad-a")


def test_going_back_over_one_forgets_it() -> None:
    talk = Conversation("pad-d", 3, ("pad-z",), earlier=("pad-a", "pad-b", "pad-c"))
    assert talk.back_to(answer_of(note_called("pad-b"), about="back")) == Conversation("pad-b", earlier=("pad-a",))


def test_only_so_many_earlier_notes_are_kept() -> None:
    talk = Conversation()
    for number in range(20):
        talk = talk.after(answer_of(note_called(f"pad-{number}")), 0)
    assert talk.earlier == tuple(f"pad-{number}" for number in range(11, 19))


def test_what_shows_no_note_keeps_the_earlier_ones() -> None:
    talk = Conversation("pad-b", 2, earlier=("pad-a",))
    for decision in ("choose", "none"):
        answer = answer_of(None, decision=decision, options=(Option("pad-c", "C"),))
        assert talk.after(answer, 0) == Conversation("pad-b", 2, ("pad-c",), asked_which=True, earlier=("pad-a",))


def test_small_talk_leaves_all_as_it_was() -> None:
    talk = Conversation("pad-b", 2, ("pad-c",), asked_which=True, earlier=("pad-a",))
    for note in (None, note_called("pad-b")):
        assert talk.after(answer_of(note, about="small_talk"), 0) == talk
    assert Conversation().after(answer_of(None, about="small_talk", decision="answer"), 0) == Conversation()


def note_called(note_id: str) -> Note:
    return changed(read_note(NOTE_TEXT, NOTE_PATH), id=note_id)
