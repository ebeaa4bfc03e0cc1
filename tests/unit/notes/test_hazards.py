"""The hazards of a folder of notes, and what is wrong in their file."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.notes.corpus import read_corpus
from assistant.notes.hazards import message_of, read_hazards

TEXT = """\
# one hazard, one message
bare-wire:
  signal: WARNING
  hazard: A cut lead has bare wires.
  consequence: They can burn
    a hand.
  avoidance: Unplug it first.
  source: common practice
grit:
  signal: NOTICE
  hazard: Grit is sharp.
  consequence: It scratches the shell.
  avoidance: Shake the cloth out.
  source: common practice
"""


def faults_of(root: Path, text: str) -> list[str]:
    (root / "hazards.yaml").write_text(text, "utf-8")
    with pytest.raises(NotesError) as raised:
        read_hazards(root)
    return str(raised.value).split("\n")


def test_hazards_come_in_the_order_of_their_file_with_their_message(two_notes: Path) -> None:
    (two_notes / "hazards.yaml").write_text(TEXT, "utf-8")
    hazards = read_corpus(two_notes).hazards
    assert [(hazard.key, hazard.signal, hazard.source) for hazard in hazards] == [
        ("bare-wire", "WARNING", "common practice"),
        ("grit", "NOTICE", "common practice"),
    ]
    assert message_of(hazards[0]) == "A cut lead has bare wires. They can burn a hand. Unplug it first."


def test_words_of_steps_may_stand_beside_the_message(tmp_path: Path) -> None:
    text = TEXT.replace("practice\ngrit", "practice\n  before: [cut   lead, 'wet ... lead']\ngrit")
    (tmp_path / "hazards.yaml").write_text(text, "utf-8")
    assert [hazard.before for hazard in read_hazards(tmp_path)] == [("cut lead", "wet ... lead"), ()]


def test_there_may_be_no_file(two_notes: Path) -> None:
    assert read_hazards(two_notes) == ()
    assert read_corpus(two_notes).hazards == ()


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    [
        ("  signal: NOTICE\n", "", 9, "'grit' must have the texts "),
        (
            "  signal: NOTICE\n",
            "  signal: BEWARE\n",
            9,
            "signal of 'grit' must be one of DANGER, WARNING, CAUTION, NOTICE",
        ),
        ("  hazard: Grit is sharp.\n", "  hazard: ''\n", 9, "'grit' must have the texts "),
        ("  hazard: Grit is sharp.\n", "  hazard: 7\n", 9, "'grit' must have the texts "),
        ("  hazard: Grit is sharp.\n", "  hazard: Grit is sharp.\n  colour: red\n", 9, "'grit' must have the texts "),
        ("grit:\n", "grit:\n  before: a cloth\n", 9, "'before' of 'grit' must be a list of the words of steps"),
        ("grit:\n", "grit:\n  before: [7]\n", 9, "'before' of 'grit' must be a list of the words of steps"),
        ("grit:\n", "bare-wire:\n", 9, "'bare-wire' stands twice"),
    ],
)
def test_fault_of_an_entry(tmp_path: Path, old: str, new: str, line: int, message: str) -> None:
    assert old in TEXT
    (fault,) = faults_of(tmp_path, TEXT.replace(old, new))
    assert fault.startswith(f"hazards.yaml:{line}: {message}")


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    text = TEXT.replace("WARNING", "BEWARE").replace("  avoidance: Shake the cloth out.\n", "")
    assert [fault.split(": ")[0] for fault in faults_of(tmp_path, text)] == ["hazards.yaml:2", "hazards.yaml:9"]


@pytest.mark.parametrize("text", ["- a\n", "grit: sharp\n", "a: [\n", "a: &x {b: c}\nd: *x\n"])
def test_what_is_no_list_of_hazards(tmp_path: Path, text: str) -> None:
    assert faults_of(tmp_path, text)[0].startswith("hazards.yaml:")
