"""When notes are compiled again."""

from __future__ import annotations

import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from assistant.compiling.fresh import compile_now, fresh_pack
from assistant.errors import MissingExtraError, NotesError, PackError
from assistant.notes import corpus
from assistant.notes.files import corpus_digest
from assistant.notes.stamp import corpus_stamp
from assistant.pack.places import Places
from assistant.pack.reader import Pack
from tests.making import NOTE_TEXT, Told


@pytest.fixture
def places(two_notes: Path, tmp_path: Path) -> Places:
    return Places(tmp_path, two_notes, tmp_path / "packs" / "m.pack")


def compiled(places: Places) -> bool:
    """Open the pack and tell whether it was compiled for that."""
    said = Told()
    with fresh_pack(places, said) as pack:
        assert pack.note_ids == ["pad-demo", "pad-other"]
    return bool(said)


def test_unchanged_notes_are_compiled_once(places: Places) -> None:
    assert compiled(places)
    before = places.pack.stat().st_mtime_ns
    assert not compiled(places)
    assert places.pack.stat().st_mtime_ns == before


def test_changed_note_is_compiled_again(places: Places, two_notes: Path) -> None:
    compiled(places)
    (two_notes / "pad/pad-demo.md").write_text(NOTE_TEXT.replace("minutes: 6", "minutes: 11"))
    assert compiled(places)
    with fresh_pack(places) as pack:
        note = pack.note("pad-demo")
        assert note is not None
        assert note.minutes == 11


BESIDE = {
    "pad/pad-demo.phrases.yaml": "plain: [lamp is out]\n",
    "alarm.yaml": "pad-demo: {words: [burning]}\n",
    "danger.txt": "pad-demo: my hand is burned\n",
    "ambiguous.txt": "pad-demo pad-other: lamp\n",
}


@pytest.mark.parametrize(
    "name", ["uncovered.txt", "followups.txt", "vocabulary.yaml", "pad/pad-demo.questions.txt", *BESIDE]
)
def test_every_file_of_the_corpus_counts(places: Places, two_notes: Path, name: str) -> None:
    for other, text in BESIDE.items():
        (two_notes / other).write_text(text, "utf-8")
    compiled(places)
    assert not compiled(places)
    (two_notes / name).unlink()
    assert compiled(places)


def test_file_that_was_only_touched_is_not_compiled_again(places: Places, two_notes: Path) -> None:
    compiled(places)
    os.utime(two_notes / "pad/pad-demo.md", ns=(1, 1))
    assert not compiled(places)
    assert not compiled(places)


def edit(path: Path, minutes: int) -> None:
    path.write_text(NOTE_TEXT.replace("minutes: 6", f"minutes: {minutes}"))


def minutes_of(places: Places) -> int:
    with fresh_pack(places) as pack:
        note = pack.note("pad-demo")
        assert note is not None
        return note.minutes


@pytest.mark.parametrize("stage", ["reading words", "writing the pack"])
def test_a_note_that_changes_during_a_compile_is_seen_afterwards(places: Places, two_notes: Path, stage: str) -> None:
    def save(message: str, done: int = 0, total: int = 0, /) -> None:
        if message == stage:
            edit(two_notes / "pad/pad-demo.md", 11)

    compile_now(places, save)
    with Pack(places.pack) as pack:
        old = pack.note("pad-demo")
        assert old is not None
        assert old.minutes == 6
    assert minutes_of(places) == 11
    assert not compiled(places)


def test_a_note_that_changes_between_its_reading_and_the_digest_is_seen_afterwards(
    places: Places, two_notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(root: Path) -> str:
        edit(two_notes / "pad/pad-demo.md", 11)
        return corpus_digest(root)

    with monkeypatch.context() as patch:
        patch.setattr(corpus, "corpus_digest", late)
        compile_now(places)
    assert minutes_of(places) == 11
    assert not compiled(places)


def test_a_linked_note_that_changes_at_its_target_is_seen(places: Places, two_notes: Path, tmp_path: Path) -> None:
    target, link = two_notes / "pad/kept.txt", two_notes / "pad/pad-demo.md"
    link.rename(target)
    link.symlink_to(target)
    stamp = corpus_stamp(two_notes)
    edit(target, 11)
    changed = corpus_stamp(two_notes)
    assert stamp != changed
    target.rename(tmp_path / "away")
    assert changed != corpus_stamp(two_notes)
    assert "nowhere" in corpus_stamp(two_notes)


def test_a_file_of_the_same_size_and_time_is_seen(two_notes: Path, tmp_path: Path) -> None:
    note, other = two_notes / "pad/pad-demo.md", tmp_path / "other.md"
    edit(note, 7)
    edit(other, 8)
    for path in (note, other):
        os.utime(path, ns=(1, 1))
    stamp = corpus_stamp(two_notes)
    other.replace(note)
    assert corpus_stamp(two_notes) != stamp


def test_an_older_pack_that_was_put_back_is_compiled_again(places: Places, two_notes: Path, tmp_path: Path) -> None:
    compiled(places)
    shutil.copy(places.pack, tmp_path / "old.pack")
    edit(two_notes / "pad/pad-demo.md", 11)
    assert minutes_of(places) == 11
    shutil.copy(tmp_path / "old.pack", places.pack)
    assert minutes_of(places) == 11
    assert not compiled(places)


def test_pack_compiled_with_other_settings_is_compiled_again(places: Places) -> None:
    compiled(places)
    memory = places.pack.with_name("m.pack.seen")
    record = json.loads(memory.read_text("utf-8"))
    assert record["compiler"]
    memory.write_text(json.dumps({**record, "compiler": "another"}))
    assert compiled(places)
    assert json.loads(memory.read_text("utf-8")) == record
    assert not compiled(places)


def test_missing_pack_and_missing_memory_are_compiled_again(places: Places) -> None:
    compiled(places)
    places.pack.unlink()
    assert compiled(places)
    for text in ("", "[]", "{", "\udcff"):
        places.pack.with_name("m.pack.seen").write_text(text, "utf-8", "surrogateescape")
        assert compiled(places)


def test_broken_note_is_refused_and_the_old_pack_stays(places: Places, two_notes: Path) -> None:
    compiled(places)
    before = places.pack.read_bytes()
    (two_notes / "pad/pad-demo.md").write_text("broken")
    with pytest.raises(NotesError, match=r"pad/pad-demo\.md:1: front matter is missing"):
        fresh_pack(places)
    assert places.pack.read_bytes() == before
    (two_notes / "pad/pad-demo.md").write_text(NOTE_TEXT)
    compiled(places)


def test_without_notes_the_pack_is_used_as_it_is(places: Places, mini_pack_path: Path) -> None:
    with fresh_pack(Places(places.home, None, mini_pack_path)) as pack:
        assert len(pack.note_ids) == 6
    with pytest.raises(PackError, match="no pack here"):
        fresh_pack(Places(places.home, None, places.home / "none.pack"))
    with pytest.raises(PackError, match="no folder of notes to compile"):
        compile_now(Places(places.home, None, mini_pack_path))


def test_folder_of_notes_that_is_not_there(places: Places) -> None:
    with pytest.raises(NotesError, match="no such folder of notes"):
        fresh_pack(Places(places.home, places.home / "none", places.pack))


def test_missing_package_is_named_with_its_remedy(places: Places, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "assistant.compiling.compiler", None)
    with pytest.raises(MissingExtraError, match=r'pip install "\.\[desk\]" in the folder of the program$'):
        fresh_pack(places)
