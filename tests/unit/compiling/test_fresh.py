"""When notes are compiled again."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

from assistant.compiling.fresh import compile_now, fresh_pack
from assistant.errors import MissingExtraError, NotesError, PackError
from assistant.pack.places import Places
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
    with pytest.raises(MissingExtraError, match=r"pip install 'station-assistant\[desk\]'"):
        fresh_pack(places)
