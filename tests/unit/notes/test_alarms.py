"""Words that put a safety note first, and what is wrong in their file."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.model import Alarm
from assistant.notes.alarms import read_alarms
from assistant.notes.corpus import read_corpus

IDS = ("pad-demo", "pad-other")
TEXT = """\
# first things first
emergency: "Call first."
pad-other:
  words: ["smoke", "on fire"]
  not: ["no smoke"]
pad-demo:
  words: [sparks]
"""
FORM = "must be 'emergency:' with a line of text, and 'note:' lines with the lists words and not below"
TEXTS = "'pad-demo' must have the lists of texts words and not"


def faults_of(root: Path, text: str) -> list[str]:
    (root / "alarm.yaml").write_text(text, "utf-8")
    with pytest.raises(NotesError) as raised:
        read_alarms(root, IDS)
    return str(raised.value).split("\n")


def test_alarms_come_in_the_order_of_their_file(two_notes: Path) -> None:
    (two_notes / "alarm.yaml").write_text(TEXT, "utf-8")
    corpus = read_corpus(two_notes)
    assert corpus.alarms == (Alarm("pad-other", ("smoke", "on fire"), ("no smoke",)), Alarm("pad-demo", ("sparks",)))
    assert corpus.emergency == "Call first."


def test_there_may_be_no_file_and_no_emergency_line(two_notes: Path) -> None:
    assert read_alarms(two_notes, IDS) == ((), "")
    (two_notes / "alarm.yaml").write_text("pad-demo: {words: [sparks]}\n", "utf-8")
    assert read_alarms(two_notes, IDS) == ((Alarm("pad-demo", ("sparks",)),), "")


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("pad-demo: {words: [a]}\npad-gone: {words: [a]}\n", 2, "names the note 'pad-gone', which does not exist"),
        ("0x10: {words: [a]}\n", 1, "names the note '16', which does not exist"),
        ("<<: {pad-gone: {words: [a]}}\n", 1, "must not use the YAML merge key <<"),
        ("\nemergency: [a]\n", 2, "'emergency' must be a line of text"),
        ("emergency: 112\n", 1, "'emergency' must be a line of text"),
        ("emergency: a\npad-demo: [a]\n", 2, TEXTS),
        ("pad-demo: {word: [a]}\n", 1, TEXTS),
        ("pad-demo: {words: a}\n", 1, TEXTS),
        ("pad-demo: {words: [no]}\n", 1, TEXTS),
        ("pad-demo: {words: [a], not: ['']}\n", 1, TEXTS),
        ("pad-demo: {words: [a]}\npad-demo: {words: [b]}\n", 2, "'pad-demo' stands twice"),
        ('pad-demo: {words: [a]}\nemergency: "\\e[2Jcall"\n', 2, "holds a control character (U+001B)"),
        ("- a\n", 1, FORM),
        ("pad-demo: {words: &a [b], not: *a}\n", 1, "must not use YAML aliases"),
        ("{" * 100, 1, "is nested too deeply"),
    ],
)
def test_a_fault_is_told_with_its_line(two_notes: Path, text: str, line: int, message: str) -> None:
    assert faults_of(two_notes, text) == [f"alarm.yaml:{line}: {message}"]


def test_faults_come_at_once_and_with_those_of_the_folder(two_notes: Path) -> None:
    (two_notes / "alarm.yaml").write_text("emergency: 1\npad-demo: 2\n", "utf-8")
    (two_notes / "uncovered.txt").write_text("a\x07\n", "utf-8")
    with pytest.raises(NotesError) as raised:
        read_corpus(two_notes)
    assert [(fault.path, fault.line) for fault in raised.value.faults] == [
        ("alarm.yaml", 1),
        ("alarm.yaml", 2),
        ("uncovered.txt", 1),
    ]


def test_an_alarm_of_a_broken_note_is_no_second_fault(two_notes: Path) -> None:
    (two_notes / "alarm.yaml").write_text(TEXT, "utf-8")
    (two_notes / "pad/pad-demo.md").write_text("broken", "utf-8")
    with pytest.raises(NotesError) as raised:
        read_corpus(two_notes)
    assert [fault.path for fault in raised.value.faults] == ["pad/pad-demo.md"]
