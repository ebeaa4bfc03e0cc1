"""A corpus of another language, asked: found by plain words with slips, talked with, shown without English words."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import lxml.html
import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.card import card
from assistant.answering.contract import answer_to_json
from assistant.answering.converse import Conversation
from assistant.cli.card_page import card_page
from assistant.cli.output import answer_text
from assistant.model import Answer
from assistant.pack.reader import Pack
from tests.german import english_left, english_pieces

LABELLED = Path(__file__).parents[2] / "data" / "corpus_de_labelled.tsv"
ROWS = [line.split("\t") for line in LABELLED.read_text("utf-8").splitlines() if not line.startswith("#")]
LEAST_RIGHT = 35
"""Of 38; 38 were right when this was written."""
TALK = [
    ("taste klebt", "procedure", "Reinigen: Taste am Controller klemmt. Etwa 16 Min."),
    ("wie lange?", "time", "Etwa 16 Minuten."),
    ("was brauche ich?", "parts", "Teile: Wattestäbchen, Wasser. Werkzeug: Mikrofasertuch."),
    ("nächster Schritt", "next_step", "Schritt 1: Drücke jede Taste zehnmal"),
    ("naechster schritt", "next_step", "Schritt 2: Schalte den Controller aus oder ziehe seinen Stecker."),
    ("vierter Schritt", "step", "Schritt 4: Trockne die Taste"),
    ("voriger Schritt", "step", "Schritt 3: Fahre"),
    ("wie viele Schritte?", "step", "5 Schritte."),
    ("wie lange trocknen", "wait", "Schritt 4: Trockne die Taste mit dem Mikrofasertuch und warte 10 Minuten."),
    ("Schritt 99", "step", "Die Notiz hat nur die Schritte 1 bis 5. Schritt 5: "),
    ("voriger Schritt", "step", "Schritt 4: Trockne"),
    ("darf ich Spray benutzen", "item", "HINWEIS: Wasser, das in den Controller läuft, beschädigt seine Elektronik."),
    ("ist das sicher?", "cautions", "HINWEIS: Wasser, das in den Controller läuft, beschädigt seine Elektronik."),
    ("Kopfhörer stumm", "procedure", "Tauschen: Kopfhörer ohne Ton. Etwa 6 Min."),
    ("zurück", "back", "Reinigen: Taste am Controller klemmt."),
    ("hat geklappt", "mended", "Die Taste kommt zehnmal von allein hoch"),
    ("hallo", "small_talk", "Bereit."),
]


@pytest.fixture
def german(german_pack: Pack) -> Assistant:
    return Assistant(german_pack)


def asked(assistant: Assistant, *turns: str) -> Iterator[Answer]:
    talk: Conversation | None = None
    for turn in turns:
        answer, talk = assistant.ask(turn, talk)
        yield answer


def pieces(value: object) -> Iterator[str]:
    """Yield the texts of JSON-ready values, without the few that are keys of the contract."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key not in ("decision", "about", "action", "why", "id"):
                yield from pieces(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from pieces(inner)


def test_there_are_thirty_labelled_questions_or_more() -> None:
    assert len(ROWS) >= 30
    assert {note for _, note in ROWS} == {path.stem for path in LABELLED.with_name("corpus_de").glob("*/*.md")}


def test_plain_questions_with_slips_find_their_note(german: Assistant) -> None:
    wrong = [(q, note) for q, note in ROWS if (a := german.ask(q)[0]).note is None or a.note.id != note]
    assert len(ROWS) - len(wrong) >= LEAST_RIGHT, wrong


def test_a_talk_goes_on_in_its_language(german: Assistant) -> None:
    answers = list(asked(german, *(turn for turn, _, _ in TALK)))
    allowed = next(answer for answer in answers if answer.question.startswith("darf ich"))
    assert "Von „spray“ steht nichts in der Notiz." in allowed.text
    for answer, (turn, about, text) in zip(answers, TALK, strict=True):
        assert (turn, answer.about, answer.text[: len(text)]) == (turn, about, text)


@pytest.mark.parametrize(
    "spelled", ["Kopfhörer ohne Ton", "kopfhoerer ohne ton", "kopfho\u0308rer ohne ton", "KOPFHÖRER ohne ton"]
)
def test_every_spelling_of_an_umlaut_is_the_same_question(german: Assistant, spelled: str) -> None:
    answer, _ = german.ask(spelled)
    assert answer.note is not None
    assert answer.note.id == "sound-kopfhoerer-stumm"
    plain, _ = german.ask("kopfhörer ohne ton")
    assert (answer.confidence, answer.why) == (plain.confidence, plain.why)


def test_what_was_read_is_spelt_as_it_was_typed_or_as_the_notes_spell_it(german: Assistant) -> None:
    assert german.ask("kopfhörr rauschen")[0].read_as == "kopfhörer rauschen"
    assert german.ask("knöpfe kleben")[0].read_as == "knöpfe kleben"


def test_a_compound_is_cut_at_its_joint(german_pack: Pack) -> None:
    assert german_pack.parts("stationslampe") == ("station", "lampe")
    assert german_pack.parts("bildschirmstecker") == ("bildschirm", "stecker")


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("wie wird das wetter morgen", "Dazu gibt es keine Notiz."),
        ("controller kaputt", " Notizen könnten passen. Was ist es: "),
    ],
)
def test_what_is_no_answer_is_said_in_its_language(german: Assistant, question: str, text: str) -> None:
    assert text in german.ask(question)[0].text


def test_harm_brings_the_line_on_whom_to_call(german: Assistant) -> None:
    answer, _ = german.ask("hilfe es raucht")
    assert answer.safety_first
    assert answer.note is not None
    assert answer.note.id == "safety-akku"
    assert answer.emergency.startswith("Lebensgefahr?")


def test_a_choice_is_picked_by_its_place(german: Assistant) -> None:
    choice, picked = asked(german, "controller kaputt", "das zweite")
    assert picked.note is not None
    assert picked.note.id == choice.options[1].id


def test_english_is_looked_for_and_found() -> None:
    assert {"Parts:", "about", "No note covers this.", "step."} <= set(english_pieces())
    assert english_left(["Parts: Kabel", "etwa 3 Min."]) == [("Parts:", "Parts: Kabel")]


def test_no_card_holds_an_english_word(german: Assistant) -> None:
    questions = [question for question, _ in ROWS] + ["pinguine", "controller kaputt", "wo ist die toilette"]
    answers = [german.ask(question)[0] for question in questions]
    answers += list(asked(german, *(turn for turn, _, _ in TALK), "geht immer noch nicht", "womit fange ich an"))
    for answer in answers:
        shown = [part for block in card(answer) for part in (block.head, block.text)]
        assert english_left([*shown, *answer_text(answer).splitlines()]) == []
        assert english_left(pieces(json.loads(json.dumps(answer_to_json(answer))))) == []


def test_the_page_of_a_card_holds_no_english_word(german: Assistant, german_pack: Pack) -> None:
    for question in ("taste klemmt", "hilfe es raucht", "controller kaputt"):
        page = card_page(german.ask(question)[0], german_pack)
        assert '<html lang="de">' in page
        texts = lxml.html.document_fromstring(page).find("body").itertext()
        assert english_left(text for text in texts if text.strip()) == []
    assert 'class="message warning"' in card_page(german.ask("akku raucht")[0], german_pack)


def test_an_english_pack_answers_in_english_after_a_german_one(german: Assistant, mini_pack: Pack) -> None:
    english = Assistant(mini_pack)
    before, _ = english.ask("stick cap torn")
    german.ask("taste klemmt")
    after, _ = english.ask("stick cap torn")
    assert after == before
    german.ask("taste klemmt")
    assert card(before)[1].text == f"about {before.note.minutes} min" if before.note else ""
