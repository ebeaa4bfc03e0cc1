"""What two stamps of a folder tell: which notes were saved, and when more is to be read than these."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import pytest

from assistant.notes.stamp import changed_notes, corpus_stamp

DEMO, OTHER = "pad/pad-demo.md", "pad/pad-other.md"


def saved(*names: str) -> Callable[[Path], object]:
    def save(root: Path) -> None:
        for name in names:
            path = root / name
            path.write_text(path.read_text("utf-8") + "\n", "utf-8")

    return save


def renamed_onto(root: Path) -> None:
    """As an editor saves that writes another file first."""
    new = root / "pad/.pad-demo.md.part"
    new.write_text((root / DEMO).read_text("utf-8"), "utf-8")
    new.rename(root / DEMO)


@pytest.mark.parametrize(
    ("save", "changed"),
    [
        (lambda _: None, set()),
        (saved(DEMO), {DEMO}),
        (saved("pad/pad-demo.questions.txt"), {DEMO}),
        (saved(DEMO, "pad/pad-demo.questions.txt", OTHER), {DEMO, OTHER}),
        (renamed_onto, {DEMO}),
        (lambda root: (root / "pad/pad-demo.md~").write_text("kept by an editor"), set()),
    ],
    ids=["nothing", "note", "questions", "two notes", "renamed", "no file of the notes"],
)
def test_of_saved_notes_the_paths_are_told(two_notes: Path, save: Callable[[Path], object], changed: set[str]) -> None:
    before = corpus_stamp(two_notes)
    save(two_notes)
    assert changed_notes(before, corpus_stamp(two_notes)) == frozenset(changed)


@pytest.mark.parametrize(
    "save",
    [
        saved("uncovered.txt"),
        saved(DEMO, "uncovered.txt"),
        lambda root: (root / "pad/pad-demo.questions.txt").unlink(),
        lambda root: (root / "pad/pad-other.questions.txt").write_text("it is dark"),
        lambda root: (root / DEMO).rename(root / "pad/pad-new.md"),
        lambda root: (root / "pad/pad-demo.svg").write_text("<svg/>"),
        lambda root: (root / "pad/pad-demo.md 1 2.md").write_text("an odd name"),
        lambda root: (root / "pad/pad-demo.md\nother 1.md").write_text("an odder one"),
        lambda root: ((root / OTHER).unlink(), (root / OTHER).symlink_to("nowhere.md")),
    ],
    ids=["shared", "note and shared", "gone", "came", "renamed", "picture", "blanks", "line break", "link to nothing"],
)
def test_of_what_is_more_than_saved_notes_nothing_is_told(two_notes: Path, save: Callable[[Path], object]) -> None:
    before = corpus_stamp(two_notes)
    save(two_notes)
    assert changed_notes(before, corpus_stamp(two_notes)) is None


def test_another_file_of_an_odd_name_that_changes_is_no_note(two_notes: Path) -> None:
    odd = two_notes / "pad/pad-demo.md 1.md"
    odd.write_text("an odd name")
    before = corpus_stamp(two_notes)
    odd.write_text("an odd name again")
    assert changed_notes(before, corpus_stamp(two_notes)) is None


def test_a_file_that_goes_while_a_folder_is_looked_through_is_none_of_it(
    two_notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scandir = os.scandir

    def listed_and_gone(folder: str) -> nullcontext[list[os.DirEntry[str]]]:
        entries = list(scandir(folder))
        if Path(folder).name == "pad":
            (two_notes / OTHER).unlink()
        return nullcontext(entries)

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(os, "scandir", listed_and_gone)
        stamp = corpus_stamp(two_notes)
    assert not (two_notes / OTHER).exists()
    assert stamp == corpus_stamp(two_notes)


def test_a_folder_that_goes_while_it_is_looked_at_is_none(two_notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (two_notes / "disc").mkdir()
    (two_notes / "disc/disc-demo.md").write_text("gone at once")
    scan = os.scandir

    def scanned(folder: str) -> object:
        if folder == str(two_notes / "disc"):
            (two_notes / "disc/disc-demo.md").unlink()
            (two_notes / "disc").rmdir()
        return scan(folder)

    monkeypatch.setattr(os, "scandir", scanned)
    assert "disc" not in corpus_stamp(two_notes)


def test_a_corpus_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        corpus_stamp(tmp_path / "nowhere")
