"""What is left of a corpus without its drafts."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.notes.corpus import parse_corpus, read_corpus, read_released
from assistant.notes.drafts import drafts, silenced, why_draft
from assistant.notes.signing import note_digest
from tests.making import NOTE_TEXT, write_corpus

AS_DRAFT = "minutes: 6\nstatus: draft"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return write_corpus(tmp_path / "corpus")


def begin(root: Path, id: str) -> None:
    path = root / f"pad/{id}.md"
    path.write_text(path.read_text("utf-8").replace("minutes: 6", AS_DRAFT), "utf-8")


@pytest.mark.parametrize(
    ("status", "text", "why"),
    [
        ("", "", ""),
        ("ready", "1. Go.", ""),
        ("draft", "1. Go.", "its status says so"),
        ("ready", "1. Go (to write).", "lines of it are still to be written"),
        ("", "minutes: 5  # (to write)", "lines of it are still to be written"),
    ],
)
def test_what_makes_a_draft(status: str, text: str, why: str) -> None:
    assert why_draft(status, text) == why


def test_a_corpus_without_drafts_is_itself(root: Path) -> None:
    assert read_released(root) == read_corpus(root)


def test_a_line_to_write_makes_a_draft_of_a_ready_note(root: Path) -> None:
    path = root / "pad/pad-other.md"
    text = path.read_text("utf-8").replace("minutes: 6", "minutes: 6\nstatus: ready")
    path.write_text(text.replace("A lead breaks inside.", "The reason (to write)."), "utf-8")
    assert [note.id for note in drafts(read_corpus(root))] == ["pad-other"]
    assert [note.id for note in read_released(root).notes] == ["pad-demo"]


def test_nothing_leads_to_a_draft_but_the_text_of_a_choice(root: Path) -> None:
    begin(root, "pad-other")
    (root / "danger.txt").write_text("pad-other: it burns\npad-demo: it smokes\n", "utf-8")
    (root / "ambiguous.txt").write_text("pad-demo pad-other: pad trouble\n", "utf-8")
    (root / "alarm.yaml").write_text("pad-other:\n  words: [smoke]\n", "utf-8")
    (root / "pad/pad-demo.phrases.yaml").write_text('not_this: {"other pad": pad-other}\n', "utf-8")
    assert silenced(read_corpus(root)) == ("pad-other",)
    corpus = read_released(root)
    assert silenced(corpus) == ()
    (note,) = corpus.notes
    assert (note.see_also, note.links, note.on_failure) == ((), (), ())
    assert note.phrases.not_this == (("other pad", ""),)
    assert corpus.dangers == (("pad-demo", "it smokes"),)
    assert (corpus.ambiguous, corpus.alarms) == ((), ())
    assert [branch.note for step in note.steps for branch in step.branches if branch.note] == ["pad-other"]


def test_a_folder_of_drafts_alone_is_refused_with_what_to_do(root: Path) -> None:
    begin(root, "pad-demo")
    begin(root, "pad-other")
    assert parse_corpus(root).faults == ()
    with pytest.raises(NotesError, match=r"pad/pad-demo.md:1: is a draft, as every note is.*finish one first"):
        read_released(root)


def test_a_signature_holds_when_a_draft_becomes_ready() -> None:
    assert note_digest(NOTE_TEXT.replace("minutes: 6", AS_DRAFT)) == note_digest(NOTE_TEXT)
