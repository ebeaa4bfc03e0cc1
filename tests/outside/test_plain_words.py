"""People are plain: the notes' own names, two words, a single wrong letter, cries of harm; common practice."""

from __future__ import annotations

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.converse import Conversation
from assistant.answering.retrieve import Retriever
from assistant.pack.reader import Pack


@pytest.fixture
def assistant(shipped_pack: Pack) -> Assistant:
    return Assistant(shipped_pack)


def first(retriever: Retriever, question: str) -> str:
    order = retriever(question).scores.order
    return retriever.pack.note_ids[order[0]] if order else ""


def test_a_note_is_found_by_the_bare_words_of_its_id(shipped_pack: Pack) -> None:
    retriever = Retriever(shipped_pack)
    missed = {
        note: found for note in shipped_pack.note_ids if (found := first(retriever, note.replace("-", " "))) != note
    }
    assert missed == {}


def test_a_note_is_found_by_its_title(shipped_pack: Pack) -> None:
    retriever = Retriever(shipped_pack)
    missed = {note: found for note, title in shipped_pack.titles.items() if (found := first(retriever, title)) != note}
    assert len(missed) <= len(shipped_pack.titles) // 100, missed


@pytest.mark.parametrize(
    ("question", "notes"),
    [
        ("console overheating", {"console-overheat"}),
        ("somebody is injured", {"safety-injury"}),
        ("the station is on fire", {"safety-burning-smell", "safety-fire"}),
        ("a spill on the station", {"safety-spill"}),
        ("B button stuck", {"pad-button-sticky"}),
        ("The disc is stuck inside the drive", {"disc-stuck"}),
        ("Disc drive is grinding when it spins", {"disc-noise"}),
        ("he is not breathing", {"safety-injury", "safety-collapse"}),
        ("got a shock off the tv", {"safety-shock"}),
        ("swollen battery", {"safety-swollen-cell"}),
        ("blood on the controller", {"safety-body-fluid"}),
        ("no signal", {"screen-no-signal"}),
        ("no sound", {"sound-none"}),
        ("cpu overheating", {"console-overheat"}),
        ("thumbpad cap missing", {"pad-stick-cap"}),
    ],
)
def test_plain_words_are_answered_outright(assistant: Assistant, question: str, notes: set[str]) -> None:
    answer, _ = assistant.ask(question)
    assert answer.decision == "answer"
    assert answer.note is not None
    assert answer.note.id in notes


@pytest.mark.parametrize(
    "question",
    ["fire drill today", "my character is on fire in the game", "how do i beat level 3", "when do i get paid"],
)
def test_what_only_sounds_like_harm_or_is_nothing_of_ours_opens_no_note(assistant: Assistant, question: str) -> None:
    answer, _ = assistant.ask(question)
    assert answer.note is None


@pytest.mark.parametrize(
    "question", ["the station is on fire", "he is not breathing", "got a shock off the tv", "swollen battery"]
)
def test_a_cry_of_harm_shows_whom_to_call(assistant: Assistant, question: str) -> None:
    answer, _ = assistant.ask(question)
    assert answer.safety_first
    assert "emergency number" in answer.emergency


@pytest.mark.parametrize("word", ["unplayable", "nonsense", "cpu", "tv"])
def test_a_word_is_not_repaired_into_its_opposite_nor_a_short_one_at_all(assistant: Assistant, word: str) -> None:
    answer, _ = assistant.ask(word)
    assert answer.read_as == word


def talk(assistant: Assistant, *turns: str) -> list[tuple[str, str, str]]:
    """Return note, kind and text of every answer of a talk."""
    told: list[tuple[str, str, str]] = []
    conversation: Conversation | None = None
    for turn in turns:
        answer, conversation = assistant.ask(turn, conversation)
        told.append((answer.note.id if answer.note else "", answer.about, answer.text))
    return told


CAP = "controller stick cap broken?"


@pytest.mark.parametrize(
    ("turn", "about"),
    [
        ("step 3", "step"),
        ("how many steps", "step"),
        ("is it safe?", "cautions"),
        ("what do I need?", "tools"),
        ("how long?", "time"),
        ("can i use a wet wipe", "item"),
        ("do i need gloves", "item"),
        ("glue?", "item"),
        ("which key", "item"),
        ("that worked", "mended"),
        ("tried that, still dead", "next_if_fails"),
        ("thanks", "small_talk"),
        ("what number do i call", "escalate"),
        ("who do i call", "escalate"),
        ("how long till its dry", "wait"),
        ("its unplugged", "next_step"),
    ],
)
def test_a_short_turn_stays_with_the_note_in_hand(assistant: Assistant, turn: str, about: str) -> None:
    (note, _, _), (stays, kind, _) = talk(assistant, CAP, turn)
    assert note == stays == "pad-stick-cap"
    assert kind == about


def test_step_numbers_are_heeded(assistant: Assistant) -> None:
    told = [text for _, _, text in talk(assistant, CAP, "step 3", "previous step", "repeat that step", "next")]
    assert [text.split(":")[0] for text in told[1:]] == ["Step 3", "Step 2", "Step 2", "Step 3"]


def test_back_returns_to_the_note_before(assistant: Assistant) -> None:
    notes = [note for note, _, _ in talk(assistant, CAP, "tv says no signal", "go back")]
    assert notes == ["pad-stick-cap", "screen-no-signal", "pad-stick-cap"]


def test_vents_are_clean_is_told_in_reply(assistant: Assistant) -> None:
    (_, _, _), (note, about, _) = talk(assistant, "console overheating", "vents are clean")
    assert (note, about) == ("console-overheat", "next_step")


def test_a_thing_that_the_note_does_not_name_is_said_and_the_cautions_stand(assistant: Assistant) -> None:
    conversation = assistant.ask(CAP)[1]
    answer, _ = assistant.ask("can i use bleach", conversation)
    assert answer.text.startswith("Never ")
    assert answer.text.endswith("The note does not name bleach. Use what it names; ask the support desk first.")
    assert answer.note is not None
    assert answer.safety == answer.note.safety


@pytest.mark.parametrize("greeting", ["hello", "thanks", "help"])
def test_small_talk_is_answered_in_a_line_and_is_no_unanswered_question(assistant: Assistant, greeting: str) -> None:
    answer, conversation = assistant.ask(greeting)
    assert (answer.decision, answer.about, answer.note) == ("answer", "small_talk", None)
    assert conversation == Conversation()


def test_options_of_an_older_card_are_not_under_a_newer_one(assistant: Assistant) -> None:
    answer, conversation = assistant.ask(CAP)
    assert answer.options
    answer, conversation = assistant.ask("how long?", conversation)
    assert answer.options == ()
    assert conversation.options == ()
