"""Which note an alarm puts first."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.analysis.features import sentences
from assistant.analysis.tokens import tokenize
from assistant.answering.alarm import heard, rung
from assistant.answering.assistant import Assistant
from assistant.answering.retrieve import Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.model import Alarm
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.making import plain_settings

CELL, CABLE, SCREEN = "safety-swollen-cell", "pad-cable-damage", "screen-no-signal"
ALARMS = (
    Alarm(CELL, ("smoke", "on fire", "melting"), ("no smoke", "smoke free", "game on fire stick", "felting needle")),
    Alarm(CABLE, ("bare wire", "smoke", "shock"), ("shock absorber",)),
    Alarm(SCREEN, ("glass broke", "on fire"), ()),
)


@pytest.fixture(scope="module")
def pack(mini_corpus_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pack]:
    """The six short notes with alarms of their own."""
    path = tmp_path_factory.mktemp("alarm") / "alarm.pack"
    corpus = read_corpus(mini_corpus_path)._replace(alarms=ALARMS, dangers=(), emergency="Call 000.")
    compile_corpus(corpus, plain_settings(), path)
    with Pack(path) as opened:
        yield opened


def first(pack: Pack, text: str, **repaired: str) -> str | None:
    note = rung([tokenize(sentence) for sentence in sentences(text)], pack, repaired)
    return None if note is None else pack.note_ids[note]


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("Smoke!", CELL),
        ("there is SMOKE out of the pad", CELL),
        ("the pad is on fire", CELL),
        ("fire on the pad", None),
        ("on the fire", None),
        ("smokes", None),
        ("a bare wire", CABLE),
        ("the wire is bare", None),
        ("bare-wire", CABLE),
        ("glass broke", SCREEN),
        ("stick cap torn", None),
        ("", None),
    ],
)
def test_words_and_phrases_ring_where_they_stand_in_order(pack: Pack, text: str, note: str | None) -> None:
    assert first(pack, text) == note


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("no smoke here", CABLE),
        ("smoke free room", CABLE),
        ("my game on fire stick is loose", SCREEN),
        ("a shock absorber", None),
        ("a shock from the shock absorber", CABLE),
        ("no smoke but smoke", CELL),
        ("no smoke, smoke", CELL),
    ],
)
def test_a_phrase_lifts_only_the_words_that_it_holds_and_only_of_its_own_note(
    pack: Pack, text: str, note: str | None
) -> None:
    assert first(pack, text) == note


def test_a_phrase_lifts_only_in_its_own_sentence(pack: Pack) -> None:
    assert first(pack, "it has a shock absorber. i got a shock") == CABLE
    assert first(pack, "i got a shock. it has a shock absorber") == CABLE
    assert first(pack, "it has a shock. absorber is new") == CABLE
    assert first(pack, "it has a shock absorber. it is new") is None


def test_a_phrase_lifts_no_word_that_reaches_beyond_it() -> None:
    alarms = [("on fire now", 0, 0), ("on fire", 0, 0), ("on fire", 0, 1)]
    assert heard([["pad", "on", "fire", "now"]], alarms) == (0, "on fire now")
    assert heard([["pad", "on", "fire"]], alarms) is None


def test_the_order_of_the_file_decides_not_that_of_the_words(pack: Pack) -> None:
    assert first(pack, "glass broke, a bare wire, on fire") == CELL
    assert first(pack, "glass broke and a bare wire") == CABLE
    assert first(pack, "glass broke. then a shock. smoke now") == CELL


def test_a_repaired_spelling_rings(pack: Pack) -> None:
    assert first(pack, "smokke everywhere") is None
    assert first(pack, "smokke everywhere", smokke="smoke") == CELL
    assert first(pack, "a baer wire", baer="bare") == CABLE
    assert first(pack, "a smokke free room", smokke="smoke") == CABLE


def test_of_both_spellings_the_alarm_that_goes_first_rings(pack: Pack) -> None:
    assert first(pack, "a bare wire and smokke", smokke="smoke") == CELL
    assert first(pack, "glass broke, then a shokc", shokc="shock") == CABLE
    assert first(pack, "smoke and a baer wire", baer="bare") == CELL


def test_what_was_typed_rings_though_it_was_repaired(pack: Pack) -> None:
    assert first(pack, "smoke here", smoke="smoker") == CELL


def test_the_retriever_hears_slips_and_sentences_of_one_word(pack: Pack) -> None:
    retrieve = Retriever(pack)

    def alarm(text: str) -> str | None:
        note = retrieve(text).harm.alarm
        return None if note is None else pack.note_ids[note]

    assert alarm("smokee out of the pad") == CELL
    assert alarm("Smoke! The disc is dirty. What do I do now?") == CELL
    assert alarm("The disc is dirty. What do I do now? Smoke!") == CELL
    assert alarm("smoke but the lamp is lit and then it went out") == CELL
    assert alarm("disc is dirty") is None


def test_a_word_that_lifts_is_not_taken_for_a_slip_that_rings(pack: Pack) -> None:
    """``felting`` is one slip from ``melting``."""
    retrieval = Retriever(pack)("a felting needle")
    assert retrieval.query.repaired == ()
    assert retrieval.harm.alarm is None


def test_an_alarm_goes_first_whatever_else_fits(pack: Pack) -> None:
    answer, _ = Assistant(pack).ask("the stick cap is torn and there is smoke")
    assert answer.note is not None
    assert (answer.note.id, answer.safety_first, answer.emergency) == (CELL, True, "Call 000.")
    calm, _ = Assistant(pack).ask("the stick cap is torn")
    assert calm.note is not None
    assert (calm.note.id, calm.safety_first, calm.emergency) == ("pad-stick-cap", False, "")
