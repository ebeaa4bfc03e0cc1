"""Which words of the notes are right, and what the others stand for."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.spelled import known_words, likeliest, words_of
from tests.unit.checking.seeds import NEIGHBOUR, book_of, write_frame

SPELLING = [rule for rule in all_rules() if rule.code == "C516"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [("tabel", "table"), ("brokken", "broken"), ("teh", "the"), ("lead", None), ("lead's", None), ("xqzvk", "")],
)
def test_what_a_word_stands_for(word: str, meant: str | None) -> None:
    assert likeliest(word) == meant


def test_running_text_as_words() -> None:
    text = 'Play "Demo" 5 mm off the AC outlet: DR-21 then, it isn\'t a word, nor is x86. See pad.md.'
    assert " ".join(words_of(text)) == "play demo off the outlet it isn't a word nor is see"


def told(root: Path) -> list[str]:
    return [one.finding.message for one in check(book_of(root), SPELLING)]


def test_a_word_of_three_notes_of_the_trade_or_of_the_list_is_right(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    strange = NEIGHBOUR.replace("soft foam", "soft zorbel foam")
    for number, name in enumerate(("pad-one", "pad-two", "pad-three"), start=1):
        (root / f"pad/{name}.md").write_text(strange.replace("id: pad-other", f"id: {name}"), "utf-8")
        assert (told(root) == []) == (number == 3)
    (root / "pad/pad-three.md").unlink()
    (root / "spelling.txt").write_text("Zorbel # a foam\n", "utf-8")
    assert told(root) == []
    assert {"zorbel", "torch", "gamepad", "pad"} <= known_words(book_of(root))


def test_a_word_is_told_once_a_note_and_another_language_once_a_sentence(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    why = "\n## Why\n\nA tabel is a tabel. Bitte ziehen Sie zuerst den Stecker.\n"
    (root / "pad/pad-other.md").write_text(NEIGHBOUR + why, "utf-8")
    assert [message.split(":")[0] for message in told(root)] == [
        "'tabel' is no word",
        "reads like another language than English",
    ]
