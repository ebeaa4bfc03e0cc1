"""What the words for a picture have to say; 125 characters and no name of a file are common practice."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.registry import all_rules
from tests.unit.checking.seeds import LAMP, add_example, book_of, write_frame

TOLD, USED = (next(rule for rule in all_rules() if rule.code == code) for code in ("C116", "C117"))
GOOD = "The lamp beside the plug, at the back of the pad"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (GOOD, ""),
        ("a" * 60 + " b " + "c" * 62, ""),
        ("a" * 60 + " b " + "c" * 63, "have 126 characters, 125 at most: leave to the step what it says"),
        ("pad-lamp.svg", "are its name: say what it shows"),
        ("Pad lamp", "are its name: say what it shows"),
        ("A lamp", "are fewer than 3: say what it shows, and where on it to look"),
        ("Image", "begin with what it is: begin with what it shows"),
        ("The photo of a lamp on a pad", "begin with what it is: begin with what it shows"),
        ("Drawings of the lamp on a pad", "begin with what it is: begin with what it shows"),
        ("Pictured from above: the lamp", ""),
    ],
)
def test_words_that_say_nothing_are_found(tmp_path: Path, words: str, message: str) -> None:
    root = write_frame(tmp_path / "notes")
    path = add_example(root, TOLD, TOLD.good.replace(GOOD, words))
    found = [one.finding.message for one in check(book_of(root), [TOLD])]
    assert found == ([f"the words for pad-lamp.svg {message}"] if message else [])
    assert words in (root / path).read_text("utf-8")


def test_a_picture_that_no_note_shows_is_found_and_one_of_a_faulty_note_is_not(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    path = add_example(root, USED, USED.good)
    (root / "pad/pad-spare.svg").write_text(LAMP, "utf-8")
    (root / "pad-top.svg").write_text(LAMP, "utf-8")
    assert [one.finding.path for one in check(book_of(root), [USED])] == ["pad/pad-spare.svg"]
    note = root / path
    note.write_text(note.read_text("utf-8").replace("## Result", "## Results"), "utf-8")
    assert [one.finding.path for one in check(book_of(root), [USED])] == ["pad/pad-spare.svg"]
    assert "pad/pad-lamp.svg" in book_of(root).figures
