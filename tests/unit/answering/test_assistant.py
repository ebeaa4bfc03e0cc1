"""The facade on six short notes."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.answering.assistant import MAX_QUESTION, Assistant
from assistant.answering.card import Block, card
from assistant.answering.compose import SMALL_TALK
from assistant.answering.converse import Conversation
from assistant.answering.retrieve import Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.errors import UsageError
from assistant.model import Answer
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.making import plain_settings

CAP = "controller stick cap broken?"
WHICH = "no power on the tv"
"""Fits two notes as well."""


@pytest.fixture
def assistant(mini_pack: Pack) -> Assistant:
    return Assistant(mini_pack)


def noted(answer: Answer) -> str:
    assert answer.note is not None
    return answer.note.id


def option_ids(answer: Answer) -> tuple[str, ...]:
    return tuple(block.target for block in card(answer) if block.kind == "option")


@pytest.mark.parametrize(
    ("question", "note"),
    [
        (CAP, "pad-stick-cap"),
        ("screen says no signal", "screen-no-signal"),
        ("fingerprints on the game disc", "disc-clean"),
        ("joystik cap torn", "pad-stick-cap"),
        ("nothing lights up at the kiosk", "power-strip-dead"),
    ],
)
def test_question_leads_to_its_note(assistant: Assistant, question: str, note: str) -> None:
    answer, conversation = assistant.ask(question, id="q1")
    assert (answer.decision, answer.about, noted(answer), answer.id) == ("answer", "procedure", note, "q1")
    assert answer.question == question
    assert answer.note is not None
    assert answer.safety == answer.note.safety
    assert [step.n for step in answer.steps] == [step.n for step in answer.note.steps]
    assert conversation.note == note
    assert conversation.options == option_ids(answer)


def test_reasons_add_up_and_repairs_are_told(assistant: Assistant, mini_pack: Pack) -> None:
    answer, _ = assistant.ask("stikc cap torn")
    assert answer.read_as == "stick cap torn"
    assert sum(reason.points for reason in answer.why) > 0
    assert answer.pack == mini_pack.digest


_WORDS = (
    *("stick", "cap", "pad", "lead", "disc", "display", "tv", "power", "strip", "battery", "swollen", "smoke", "torn"),
    *("no", "the", "is", "not", "joystik", "dysplay", "thumb", "grip", "controller", "21", "zzzz", "thumbpad", "%"),
)


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("stcik cap broken", "stick cap broken"),
        ("Help. The stcik is gone. It hurts.", "Help. The stick is gone. It hurts."),
    ],
)
def test_a_slip_is_read_as_the_word_that_it_was_taken_for(mini_pack: Pack, slip: str, meant: str) -> None:
    retrieve = Retriever(mini_pack)
    typed, right = retrieve(slip), retrieve(meant)
    assert dict(typed.query.repaired) == {"stcik": "stick"}
    assert typed.scores.model == right.scores.model
    assert typed.harm == right.harm
    assert typed.scores.order[0] == right.scores.order[0]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.sampled_from(_WORDS), max_size=12).map(" ".join) | st.text(max_size=40))
def test_reasons_add_up_to_the_score_of_every_note(mini_pack: Pack, question: str) -> None:
    """Of any words in any order, one of them as often as you like; and no reason is of no points."""
    retriever = Retriever(mini_pack)
    found = retriever(question)
    for number, note in enumerate(mini_pack.note_ids):
        scored = retriever.explain(found, number)
        assert (scored.id, scored.score) == (note, found.scores.total.get(number, 0))
        assert sum(reason.points for reason in scored.reasons) == scored.score
        assert all(reason.points for reason in scored.reasons)


def test_uncovered_question(assistant: Assistant) -> None:
    answer, _ = assistant.ask("when do i get paid")
    assert (answer.decision, answer.note, answer.steps, answer.safety) == ("none", None, (), ())
    assert answer.text.startswith("No note covers this.")


def test_danger_goes_first(assistant: Assistant) -> None:
    answer, _ = assistant.ask("smoke from the controller lead")
    assert noted(answer) == "safety-swollen-cell"
    assert answer.safety_first
    assert answer.about == "procedure"


def test_harm_carries_the_line_on_whom_to_call(assistant: Assistant, mini_pack: Pack) -> None:
    """On its notes, on every turn of them, and where it comes near another note; else nowhere."""
    danger, conversation = assistant.ask("smoke from the controller lead")
    turn, _ = assistant.ask("how long", conversation)
    near, _ = assistant.ask("the pad is warm")
    assert near.note is None or near.note.id not in ("safety-swollen-cell", "power-strip-dead")
    assert {danger.emergency, turn.emergency, near.emergency} == {mini_pack.emergency}
    assert mini_pack.emergency
    calm, conversation = assistant.ask(CAP)
    assert (calm.emergency, assistant.ask("how long", conversation)[0].emergency) == ("", "")


def test_danger_leaves_the_note_in_hand(assistant: Assistant) -> None:
    _, conversation = assistant.ask(CAP)
    answer, conversation = assistant.ask("the pad is bulging and hot now", conversation)
    assert noted(answer) == "safety-swollen-cell"
    assert conversation.note == "safety-swollen-cell"


def test_same_question_same_answer(assistant: Assistant, mini_pack: Pack) -> None:
    first = assistant.ask(CAP)
    assistant.ask("screen says no signal")
    assert assistant.ask(CAP) == first
    assert Assistant(mini_pack).ask(CAP) == first


def test_follow_ups_stay_with_the_note(assistant: Assistant) -> None:
    first, conversation = assistant.ask(CAP)
    for question, about, text in (
        ("how long", "time", "About 6 minutes."),
        ("what parts do I need", "parts", "Parts: wired pad. Tools: cabinet key."),
        ("which tools does it take", "tools", "Tools: cabinet key. Parts: wired pad."),
        ("is it safe", "cautions", "CAUTION: A bare stick has a sharp edge. "),
        ("still not working", "next_if_fails", 'Look for a fault in the lead: "Pad lead cut or crushed".'),
        ("who do I call", "escalate", "Look for a fault"),
    ):
        answer, conversation = assistant.ask(question, conversation)
        assert (noted(answer), answer.about) == ("pad-stick-cap", about)
        assert answer.text.startswith(text)
        assert answer.options == ()
        assert conversation.options == ()
    assert first.options


def test_steps_are_told_one_by_one(assistant: Assistant) -> None:
    _, conversation = assistant.ask("the disc is smeared and the game skips")
    answer, conversation = assistant.ask("what do I do first", conversation)
    assert answer.text.startswith("Step 1: ")
    for n in range(2, 7):
        answer, conversation = assistant.ask("and then", conversation)
        assert answer.text.startswith(f"Step {n}: ")
        assert conversation.step == n
    for _ in range(2):
        answer, conversation = assistant.ask("and then", conversation)
        assert (
            answer.text == "That was the last step. The disc is free of smears. The demo plays one loop without a skip."
        )


def test_new_topic_leaves_the_note(assistant: Assistant) -> None:
    _, conversation = assistant.ask(CAP)
    answer, conversation = assistant.ask("screen says no signal", conversation)
    assert noted(answer) == "screen-no-signal"
    assert (conversation.note, conversation.step) == ("screen-no-signal", 0)


def test_uncovered_turn_keeps_the_note_in_hand(assistant: Assistant) -> None:
    _, conversation = assistant.ask(CAP)
    answer, conversation = assistant.ask("different problem, card machine declined", conversation)
    assert answer.decision == "none"
    assert conversation.note == "pad-stick-cap"
    answer, _ = assistant.ask("how long", conversation)
    assert noted(answer) == "pad-stick-cap"


def test_options_are_picked_by_the_numbers_of_the_last_card(assistant: Assistant) -> None:
    """The numbers of each card lead where that card says, however often one is picked."""
    answer, conversation = assistant.ask(WHICH)
    assert answer.decision == "choose"
    for number in ("2", "1", "2", "3", "1", "2"):
        shown = option_ids(answer)
        assert conversation.options == shown
        if int(number) > len(shown):
            continue
        answer, conversation = assistant.ask(number, conversation)
        assert noted(answer) == shown[int(number) - 1]
        assert noted(answer) not in option_ids(answer)
        assert answer.about == "procedure"


def test_nothing_is_lost_by_picking(assistant: Assistant) -> None:
    answer, conversation = assistant.ask(WHICH)
    pool = set(option_ids(answer))
    for words in ("the second", "the other one", "last", "1"):
        answer, conversation = assistant.ask(words, conversation)
        assert {noted(answer), *option_ids(answer)} == pool


def test_the_other_one_goes_back_and_forth(assistant: Assistant) -> None:
    first, conversation = assistant.ask(CAP)
    second, conversation = assistant.ask("the other one", conversation)
    assert noted(second) == first.options[0].id
    third, _ = assistant.ask("the other one", conversation)
    assert noted(third) == noted(first)


def test_nearest_of_an_uncovered_question_can_be_picked(assistant: Assistant) -> None:
    answer, conversation = assistant.ask("working hours of the display")
    if answer.decision == "none" and answer.options:
        picked, _ = assistant.ask("1", conversation)
        assert noted(picked) == answer.options[0].id
    assert conversation.options == option_ids(answer)


def test_id_of_an_option_picks_it(assistant: Assistant) -> None:
    answer, conversation = assistant.ask(WHICH)
    wanted = answer.options[-1].id
    assert noted(assistant.ask(wanted, conversation)[0]) == wanted


def test_conversation_is_not_changed_by_asking(assistant: Assistant) -> None:
    _, conversation = assistant.ask(CAP)
    before = Conversation(conversation.note, conversation.step, conversation.options)
    assistant.ask("2", conversation)
    assistant.ask("how long", conversation)
    assert conversation == before


def test_show(assistant: Assistant) -> None:
    answer, conversation = assistant.show(
        "disc-clean", question="jam on the disc", others=("pad-stick-cap", "disc-clean")
    )
    assert (answer.decision, noted(answer), answer.question) == ("answer", "disc-clean", "jam on the disc")
    assert option_ids(answer) == ("pad-stick-cap",)
    assert conversation == Conversation("disc-clean", 0, ("pad-stick-cap",))
    with pytest.raises(UsageError, match="no note 'disc-gone' in this pack"):
        assistant.show("disc-gone")
    with pytest.raises(UsageError) as raised:
        assistant.show("\x1b[31m" + "x" * 500)
    assert str(raised.value).isprintable()
    assert len(str(raised.value)) < 100


@pytest.mark.parametrize(
    "question", ["", "   ", "?!", "\U0001f525\U0001f3ae", "\x00\x1b\x07", "\u200b\ufeff", "zzzz qqqq"]
)
def test_nothing_to_search_for(assistant: Assistant, question: str) -> None:
    answer, conversation = assistant.ask(question)
    assert (answer.decision, answer.note, answer.options, answer.why) == ("none", None, (), ())
    assert answer.read_as == ("zzzz qqqq" if question.isascii() and question[:1] == "z" else "")
    assert answer.text == "No note covers this."
    assert conversation.note is None


@pytest.mark.parametrize("question", ["the of and", "what is it", "is it", "how do i"])
def test_words_that_name_nothing_are_not_answered_outright(shipped_pack: Pack, question: str) -> None:
    answer, _ = Assistant(shipped_pack).ask(question)
    assert answer.decision != "answer"
    assert answer.read_as == ""


def test_control_characters_change_nothing(assistant: Assistant) -> None:
    plain, _ = assistant.ask(CAP)
    answer, _ = assistant.ask("\x1b\x07control\x00ler stick\u200b cap\tbroken?\u202e")
    assert answer == plain


@pytest.mark.parametrize("word", ["stick cap broken ", "qwertzuiop ", "x", "\u00e9\u00e8", "- ", "dr-21 ", "' OR 1=1 "])
def test_a_very_long_question_is_read_in_part(assistant: Assistant, word: str) -> None:
    answer, _ = assistant.ask(word * (10_000 // len(word)))
    assert len(answer.question) <= MAX_QUESTION
    assert answer.decision in ("answer", "choose", "none")


TURNS = (
    ("back", "back"),
    ("back", "go back to the one before"),
    ("back", "previous note"),
    ("small_talk", "thanks"),
    ("small_talk", "ok thank you"),
    ("small_talk", "hello"),
    ("step", "step 3"),
    ("step", "read that step again"),
    ("step", "the previous step"),
    ("step", "how many steps"),
    ("wait", "how long must it dry"),
    ("wait", "wait how many minutes"),
    ("item", "can I use a wet cloth"),
    ("item", "is spirit fine"),
)


@pytest.fixture(scope="module")
def talker(mini_corpus_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Assistant]:
    """The six short notes with phrases for all kinds of turns."""
    corpus = read_corpus(mini_corpus_path)
    path = tmp_path_factory.mktemp("talker") / "talker.pack"
    compile_corpus(corpus._replace(followups=(*corpus.followups, *TURNS)), plain_settings(), path)
    with Pack(path) as pack:
        yield Assistant(pack)


def test_going_back_twice_leads_through_the_notes_before(talker: Assistant) -> None:
    conversation = None
    for question in (CAP, "screen says no signal", "fingerprints on the game disc"):
        first, conversation = talker.ask(question, conversation)
    assert (noted(first), conversation.earlier if conversation else ()) == (
        "disc-clean",
        ("pad-stick-cap", "screen-no-signal"),
    )
    for note, earlier in (("screen-no-signal", ("pad-stick-cap",)), ("pad-stick-cap", ())):
        answer, conversation = talker.ask("back", conversation)
        assert (noted(answer), answer.about, answer.steps != ()) == (note, "back", True)
        assert conversation == Conversation(note, earlier=earlier)


def test_going_back_to_a_note_that_is_named_goes_over_the_one_between(talker: Assistant) -> None:
    conversation = None
    for question in (CAP, "screen says no signal", "fingerprints on the game disc"):
        _, conversation = talker.ask(question, conversation)
    answer, conversation = talker.ask("go back to the stick cap", conversation)
    assert (noted(answer), answer.about, conversation) == ("pad-stick-cap", "back", Conversation("pad-stick-cap"))


def test_where_there_is_nothing_to_go_back_to_the_note_in_hand_stays(talker: Assistant) -> None:
    _, conversation = talker.ask(CAP)
    answer, after = talker.ask("back", conversation)
    assert (noted(answer), after.note, after.earlier) == ("pad-stick-cap", "pad-stick-cap", ())


def test_steps_are_told_by_number_and_place(talker: Assistant) -> None:
    _, conversation = talker.ask("the disc is smeared and the game skips")
    for turn, told in (
        ("step 3", "Step 3: "),
        ("read that step again", "Step 3: "),
        ("the previous step", "Step 2: "),
        ("how many steps", "6 steps."),
        ("and then", "Step 3: "),
    ):
        answer, conversation = talker.ask(turn, conversation)
        assert noted(answer) == "disc-clean"
        assert answer.text.startswith(told)


def test_small_talk_is_a_line_and_changes_nothing(talker: Assistant) -> None:
    answer, conversation = talker.ask("thanks")
    assert (answer.decision, answer.about, answer.note, conversation) == ("answer", "small_talk", None, Conversation())
    assert card(answer) == (Block("text", SMALL_TALK),)
    _, conversation = talker.ask(CAP)
    answer, after = talker.ask("ok thank you", conversation)
    assert (answer.about, after) == ("small_talk", conversation)
    assert card(answer) == (Block("text", SMALL_TALK),)
    other, _ = talker.ask("the other one", after)
    assert noted(other) == conversation.options[0]


def test_small_talk_with_harm_in_it_is_none(talker: Assistant) -> None:
    answer, _ = talker.ask("hello thanks, smoke")
    assert (noted(answer), answer.about, answer.safety_first) == ("safety-swollen-cell", "procedure", True)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.text(max_size=30) | st.sampled_from([CAP, "2", "how long", "the other one", WHICH]), max_size=4))
def test_any_talk(assistant: Assistant, turns: list[str]) -> None:
    conversation = None
    for question in turns:
        answer, conversation = assistant.ask(question, conversation)
        if answer.about == "small_talk":
            assert answer.decision == "answer"
            continue
        assert conversation.options == option_ids(answer)
        assert not any(unicodedata.category(c)[0] == "C" for c in answer.question + answer.read_as)
        assert (answer.note is None) == (answer.decision != "answer")
        assert 0 <= answer.confidence <= 1
        if answer.note:
            assert answer.safety == answer.note.safety
