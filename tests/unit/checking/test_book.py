"""Notes read again: the book is that of the whole folder read anew, with the same faults."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from assistant.checking.book import BOM, read_again, read_book
from assistant.notes.stamp import changed_notes, corpus_stamp

DAY = date(2026, 11, 25)
CAP, DISC = "pad/pad-stick-cap", "disc/disc-clean"


@pytest.fixture
def root(mini_corpus_path: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))


def edited(name: str, old: str, new: str) -> Callable[[Path], object]:
    def edit(root: Path) -> None:
        path = root / name
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), "utf-8")

    return edit


def written(name: str, text: str) -> Callable[[Path], object]:
    return lambda root: (root / name).write_text(text, "utf-8")


def several(*saves: Callable[[Path], object]) -> Callable[[Path], object]:
    return lambda root: [save(root) for save in saves]


SOUND = {
    "title": edited(f"{CAP}.md", "title: ", "title: Kickplate or "),
    "question": edited(f"{CAP}.questions.txt", "\n", "\nkickplate is bent\n"),
    "no questions": written(f"{CAP}.questions.txt", ""),
    "two notes": several(edited(f"{CAP}.md", "title: ", "title: A "), edited(f"{DISC}.md", "title: ", "title: B ")),
    "a mark at the beginning": edited(f"{CAP}.md", "---", f"{BOM}---"),
    "line ends": edited(f"{CAP}.md", "\n", "\r\n"),
    "nothing": lambda _: None,
}
FAULTY = {
    "no note": written(f"{CAP}.md", "no note"),
    "cut off": edited(f"{CAP}.md", "\n---\n", "\n"),
    "no text": lambda root: (root / f"{CAP}.md").write_bytes(b"\xff\xfe"),
    "a NUL byte in the questions": written(f"{CAP}.questions.txt", "lamp\0dark\n"),
    "steps that are not there": written(f"{CAP}.questions.txt", "[99] lamp is dark\n"),
    "the id of another": edited(f"{CAP}.md", "id: pad-stick-cap", "id: disc-clean"),
    "an id of none": edited(f"{CAP}.md", "id: pad-stick-cap", "id: pad-other"),
    "a station of none": edited(f"{CAP}.md", "station: [", "station: [boiler, "),
    "two at fault": several(written(f"{CAP}.md", "no note"), written(f"{DISC}.md", "---\nid: x\n")),
    "one at fault and one not": several(written(f"{CAP}.md", "no"), edited(f"{DISC}.md", "title: ", "title: B ")),
}


@pytest.mark.parametrize("name", [*SOUND, *FAULTY])
def test_notes_read_again_are_those_of_the_folder_read_anew(root: Path, name: str) -> None:
    book, stamp = read_book(root, DAY), corpus_stamp(root)
    assert not book.faults
    (SOUND | FAULTY)[name](root)
    changed = changed_notes(stamp, corpus_stamp(root))
    assert changed is not None
    again, anew = read_again(root, book, changed), read_book(root, DAY)
    assert again == anew
    assert list(again.texts) == list(anew.texts)
    assert bool(again.faults) == (name in FAULTY)
    assert (again != book) == (name != "nothing")


def test_phrases_that_lead_to_no_note_and_links_out_are_told_alike(root: Path, tmp_path: Path) -> None:
    phrases = root / f"{CAP}.phrases.yaml"
    phrases.write_text("plain: [thumb cap off]\n", "utf-8")
    book, stamp = read_book(root, DAY), corpus_stamp(root)
    phrases.write_text('plain: [thumb cap off]\nnot_this: {"lens is torn": vr-none}\n', "utf-8")
    changed = changed_notes(stamp, corpus_stamp(root))
    assert changed == frozenset({f"{CAP}.md"})
    again = read_again(root, book, changed)
    assert again == read_book(root, DAY)
    assert "vr-none" in str(again.faults)
    outside = tmp_path / "outside.yaml"
    outside.write_text("plain: [thumb cap off]\n", "utf-8")
    phrases.unlink()
    phrases.symlink_to(outside)
    again = read_again(root, book, {f"{CAP}.md"})
    assert again == read_book(root, DAY)
    assert "leads out" in str(again.faults)
