"""A folder of notes -> `Corpus`, and what is wrong in it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.model import Example
from assistant.notes.corpus import read_corpus
from assistant.notes.files import corpus_digest, corpus_files
from assistant.notes.stamp import corpus_stamp
from tests.making import NOTE_TEXT, line_of


def faults_of(root: Path) -> list[str]:
    with pytest.raises(NotesError) as raised:
        read_corpus(root)
    return str(raised.value).split("\n")


def test_everything_in_the_folder_is_read(two_notes: Path) -> None:
    corpus = read_corpus(two_notes)
    assert [note.id for note in corpus.notes] == ["pad-demo", "pad-other"]
    assert corpus.notes[0].examples == (Example("lamp is dark"), Example("pad is dead"))
    assert corpus.notes[1].examples == ()
    assert corpus.uncovered == ("when do i get paid",)
    assert corpus.followups == (("time", "how long"), ("new", "another thing"))
    assert corpus.vocabulary.forms == {
        "cord": (("lead", 80),),
        "gamepad": (("pad", 100),),
        "joypad": (("pad", 50),),
    }
    assert corpus.digest == corpus_digest(two_notes)


def test_what_is_not_the_corpus_is_left_alone(two_notes: Path) -> None:
    digest = corpus_digest(two_notes)
    (two_notes / "STYLE.md").write_text("# How to write\n")
    (two_notes / "pad/draft.txt").write_text("x")
    (two_notes / ".hidden").mkdir()
    (two_notes / ".hidden/pad-x.md").write_text("x")
    assert corpus_digest(two_notes) == digest
    assert [path.name for path in corpus_files(two_notes)] == [
        "followups.txt",
        "trade.yaml",
        "uncovered.txt",
        "vocabulary.yaml",
        "pad-demo.md",
        "pad-demo.questions.txt",
        "pad-other.md",
    ]


def test_the_files_at_the_top_may_be_missing(two_notes: Path) -> None:
    for name in ("uncovered.txt", "followups.txt", "vocabulary.yaml"):
        (two_notes / name).unlink()
    corpus = read_corpus(two_notes)
    assert (corpus.uncovered, corpus.followups, corpus.vocabulary.forms) == ((), (), {})


def test_missing_and_empty_folder(tmp_path: Path) -> None:
    assert faults_of(tmp_path / "none") == [f"{tmp_path / 'none'}:1: no such folder of notes"]
    assert faults_of(tmp_path) == [f"{tmp_path}:1: no note in this folder: assistant corpus new writes one"]


def test_links_to_no_note_are_named_with_their_line(two_notes: Path) -> None:
    text = NOTE_TEXT.replace("see_also: [pad-other]", "see_also: [pad-others]").replace(
        "Look at [Another pad](../pad/pad-other.md)", "Look at [it](../disc/disc-gone.md)"
    )
    (two_notes / "pad/pad-demo.md").write_text(text)
    assert faults_of(two_notes) == [
        f"pad/pad-demo.md:{line_of(text, 'pad-others')}: leads to the note 'pad-others', which does not exist",
        f"pad/pad-demo.md:{line_of(text, 'disc-gone')}: leads to the note 'disc-gone', which does not exist",
    ]


def test_link_to_a_broken_note_is_no_second_fault(two_notes: Path) -> None:
    (two_notes / "pad/pad-other.md").write_text("broken")
    assert faults_of(two_notes) == ["pad/pad-other.md:1: front matter is missing: the first line must be '---'"]


def test_a_note_with_broken_questions_is_no_unknown_note(two_notes: Path) -> None:
    (two_notes / "ambiguous.txt").write_text("pad-demo pad-other: a pad\n", "utf-8")
    (two_notes / "pad/pad-demo.questions.txt").write_text("[9] which pad\n", "utf-8")
    assert faults_of(two_notes) == ["pad/pad-demo.questions.txt:1: names step 9, which the note does not have"]


def test_questions_without_their_note(two_notes: Path) -> None:
    (two_notes / "pad/pad-gone.questions.txt").write_text("is it gone\n")
    assert faults_of(two_notes) == ["pad/pad-gone.questions.txt:1: example questions without their note"]


def test_steps_that_a_question_names(two_notes: Path) -> None:
    questions = two_notes / "pad/pad-demo.questions.txt"
    questions.write_text("# asked\n[2, 1] how do i unplug it\n[3] which pad\nlamp [2] is dark\n")
    assert read_corpus(two_notes).notes[0].examples == (
        Example("how do i unplug it", (2, 1)),
        Example("which pad", (3,)),
        Example("lamp [2] is dark"),
    )
    questions.write_text("# asked\n[4] which pad\n\n[0, 1] which lead\n[2]\n")
    assert faults_of(two_notes) == [
        "pad/pad-demo.questions.txt:2: names step 4, which the note does not have",
        "pad/pad-demo.questions.txt:4: names step 0, which the note does not have",
        "pad/pad-demo.questions.txt:5: steps without a question",
    ]


def test_one_id_in_two_places(two_notes: Path) -> None:
    (two_notes / "old/pad").mkdir(parents=True)
    shutil.copy(two_notes / "pad/pad-demo.md", two_notes / "old/pad/pad-demo.md")
    assert faults_of(two_notes) == ["pad/pad-demo.md:1: the id 'pad-demo' is taken by old/pad/pad-demo.md"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("\ntime how long\n", "followups.txt:2: must read 'about: "),
        ("time: how long\ncolour: how red\n", "followups.txt:2: "),
        ("time:  \n", "followups.txt:1: must read 'about: "),
    ],
)
def test_fault_in_followups(two_notes: Path, text: str, message: str) -> None:
    (two_notes / "followups.txt").write_text(text)
    assert [fault.startswith(message) for fault in faults_of(two_notes)] == [True]


def test_questions_of_danger_and_of_several_notes(two_notes: Path) -> None:
    (two_notes / "danger.txt").write_text("# note: question\npad-demo: it smokes\n")
    (two_notes / "ambiguous.txt").write_text("pad-other pad-demo: it is dark: why\n")
    corpus = read_corpus(two_notes)
    assert corpus.dangers == (("pad-demo", "it smokes"),)
    assert corpus.ambiguous == ((("pad-other", "pad-demo"), "it is dark: why"),)


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("danger.txt", "pad-gone: it smokes\n", "danger.txt:1: names the note 'pad-gone'"),
        ("danger.txt", "\nit smokes\n", "danger.txt:2: must read 'note: text'"),
        ("ambiguous.txt", "pad-demo: dark\n", "ambiguous.txt:1: must read 'note note: question'"),
        ("ambiguous.txt", "pad-demo pad-gone: dark\n", "ambiguous.txt:1: names the note 'pad-gone'"),
    ],
)
def test_fault_in_questions_of_danger_and_of_several_notes(two_notes: Path, name: str, text: str, message: str) -> None:
    (two_notes / name).write_text(text)
    assert [fault.startswith(message) for fault in faults_of(two_notes)] == [True]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: [\n", "vocabulary.yaml:2: is not valid YAML: "),
        ("- a\n", "vocabulary.yaml:1: must be 'word:' lines with a mapping of form to weight below"),
        ("pad: {a: 1}\nlead: 3\n", "vocabulary.yaml:2: 'lead' must have a mapping of form to weight"),
        ("pad: {1: 1}\n", "vocabulary.yaml:1: form '1' of 'pad' must be quoted text"),
        ("pad: {a: 0}\n", "vocabulary.yaml:1: weight of 'a' must be above 0 and at most 1"),
        ("pad: {a: 1.1}\n", "vocabulary.yaml:1: weight of 'a' must be above 0 and at most 1"),
        ("pad: {a: .nan}\n", "vocabulary.yaml:1: weight of 'a' must be above 0 and at most 1"),
        ("{" * 500_000, "vocabulary.yaml:1: is nested too deeply"),
        ("pad: {a: true}\n", "vocabulary.yaml:1: weight of 'a' must be above 0 and at most 1"),
        ("pad: {a: .inf}\n", "vocabulary.yaml:1: weight of 'a' must be above 0 and at most 1"),
        ("pad: &x {a: 1}\nlead: *x\n", "vocabulary.yaml:1: must not use YAML aliases"),
    ],
)
def test_fault_in_the_vocabulary(two_notes: Path, text: str, message: str) -> None:
    (two_notes / "vocabulary.yaml").write_text(text)
    assert [fault.startswith(message) for fault in faults_of(two_notes)] == [True]


def test_faults_of_all_files_come_at_once(two_notes: Path) -> None:
    (two_notes / "pad/pad-demo.md").write_text(NOTE_TEXT.replace("minutes: 6", "minutes: six"))
    (two_notes / "pad/pad-other.md").write_bytes(b"a\0")
    (two_notes / "uncovered.txt").write_bytes(b"ok\n\x1b\n")
    (two_notes / "followups.txt").write_text("x\n")
    (two_notes / "vocabulary.yaml").write_text("- a\n")
    assert [":".join(fault.split(":")[:2]) for fault in faults_of(two_notes)] == [
        "followups.txt:1",
        "pad/pad-demo.md:6",
        "pad/pad-other.md:1",
        "uncovered.txt:2",
        "vocabulary.yaml:1",
    ]


def test_links_of_the_file_system_that_lead_nowhere_are_refused(two_notes: Path) -> None:
    loop = two_notes / "pad/pad-loop.md"
    loop.symlink_to(loop)
    (two_notes / "pad/pad-other.questions.txt").symlink_to(two_notes / "gone")
    assert faults_of(two_notes) == [
        "pad/pad-loop.md:1: cannot be read: Too many levels of symbolic links",
        "pad/pad-other.questions.txt:1: cannot be read: No such file or directory",
    ]


def test_digest_refuses_a_pipe_and_a_loop(two_notes: Path) -> None:
    os.mkfifo(two_notes / "pad/pad-pipe.md")
    with pytest.raises(NotesError, match=r"pad/pad-pipe\.md:1: not a file that can be read"):
        corpus_digest(two_notes)
    (two_notes / "pad/pad-pipe.md").unlink()
    (two_notes / "pad/pad-loop.md").symlink_to("pad-loop.md")
    with pytest.raises(NotesError, match=r"pad/pad-loop\.md:1: cannot be read"):
        corpus_digest(two_notes)
    assert corpus_stamp(two_notes)


def test_digest_follows_contents_and_names_and_stamp_follows_times(two_notes: Path) -> None:
    digest, stamp = corpus_digest(two_notes), corpus_stamp(two_notes)
    note = two_notes / "pad/pad-demo.md"
    os.utime(note, ns=(1, 1))
    assert corpus_digest(two_notes) == digest
    assert corpus_stamp(two_notes) != stamp
    note.write_text(NOTE_TEXT.replace("minutes: 6", "minutes: 7"))
    assert corpus_digest(two_notes) != digest
    note.write_text(NOTE_TEXT)
    assert corpus_digest(two_notes) == digest
    note.rename(two_notes / "pad/pad-demi.md")
    assert corpus_digest(two_notes) != digest


@pytest.mark.parametrize("name", ["vocabulary.yaml", "hazards.yaml", "alarm.yaml", "forbidden.yaml"])
@pytest.mark.parametrize("text", ["", "# nothing yet\n", "\n# nothing\n\n#   a: b\n"])
def test_a_file_of_comments_alone_is_as_good_as_none(two_notes: Path, name: str, text: str) -> None:
    (two_notes / name).unlink(missing_ok=True)
    without = read_corpus(two_notes)._replace(digest="")
    (two_notes / name).write_text(text, "utf-8")
    assert read_corpus(two_notes)._replace(digest="") == without
