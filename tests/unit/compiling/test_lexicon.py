"""Which words of the documents are trusted, and which are slips."""

from __future__ import annotations

from assistant.compiling.lexicon import TRUSTED_EXAMPLES, CompileLexicon, build_lexicon
from assistant.model import Alarm, Corpus, Example, Vocabulary
from assistant.notes.reader import read_note
from assistant.ranking.documents import documents_of
from tests.making import NOTE_PATH, NOTE_TEXT

NOTE = read_note(NOTE_TEXT, NOTE_PATH)


def lexicon_of(*asked: str, **rest: object) -> CompileLexicon:
    note = NOTE._replace(examples=tuple(Example(question) for question in asked))
    return build_lexicon(documents_of(Corpus((note,))._replace(**rest)))  # type: ignore[arg-type]


def test_words_of_notes_vocabulary_and_alarms_are_trusted() -> None:
    lexicon = lexicon_of(
        vocabulary=Vocabulary({"gamepad": (("joyfulpad", 100),)}), alarms=(Alarm("pad-demo", ("zorching",)),)
    )
    for word in ("lamp", "gamepad", "joyfulpad", "zorching"):
        assert lexicon.known(word)
        assert lexicon.counts[word] > 0
    assert lexicon.meanings("gamepad") == (("joyfulpad", 100),)
    assert lexicon.meanings("lamp") == ()


def test_a_word_of_questions_is_trusted_where_it_is_asked_often() -> None:
    rare = ["the chandelier is dark"] * (TRUSTED_EXAMPLES - 1)
    assert "chandelier" not in lexicon_of(*rare).counts
    often = lexicon_of(*rare, "chandelier")
    assert often.counts["chandelier"] == TRUSTED_EXAMPLES
    assert often.near("chandelir") == ["chandelier"]


def test_common_english_words_are_no_slips_of_others_and_no_repairs() -> None:
    lexicon = lexicon_of()
    assert lexicon.known("tamp") is ("tamp" in lexicon.plain)
    assert lexicon.known("weather")
    assert "weather" not in lexicon.counts
    assert lexicon.near("weathre") == []


def test_words_that_lift_an_alarm_are_no_slips_of_others_and_no_repairs() -> None:
    """``felting`` taken for a slip of ``melting`` would ring the alarm that it lifts."""
    silent = lexicon_of(alarms=(Alarm("pad-demo", ("melting",)),))
    assert not silent.known("felting")
    assert silent.near("felting") == ["melting"]
    lifted = lexicon_of(alarms=(Alarm("pad-demo", ("melting",), ("felting needle",)),))
    assert lifted.known("felting")
    assert "felting" not in lifted.counts
    assert lifted.near("feltin") == []
