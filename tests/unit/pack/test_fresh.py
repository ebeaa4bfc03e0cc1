"""When notes are compiled again, and where packs are."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

from assistant.errors import MissingExtraError, NotesError, PackError
from assistant.compiling.fresh import compile_now, fresh_pack
from assistant.pack.places import Places, find_places
from assistant.compiling.settings import default_settings, settings_from_json
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


@pytest.mark.parametrize("name", ["uncovered.txt", "followups.txt", "vocabulary.yaml", "pad/pad-demo.questions.txt"])
def test_every_file_of_the_corpus_counts(places: Places, two_notes: Path, name: str) -> None:
    compiled(places)
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


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    for name in ("ASSISTANT_HOME", "ASSISTANT_CORPUS", "ASSISTANT_PACK"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


def test_places_by_default(bare: Path) -> None:
    places = find_places()
    assert places.corpus is None
    assert places.pack == places.home / "notes.pack"
    assert places.home.name == "station-assistant"
    (bare / "corpus").mkdir()
    places = find_places()
    assert places.corpus == Path("corpus")
    assert places.pack.parent == places.home / "compiled"


def test_options_go_before_the_environment(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("home", "corpus", "pack"):
        monkeypatch.setenv(f"ASSISTANT_{name.upper()}", f"{name}-env")
    assert find_places() == Places(Path("home-env"), Path("corpus-env"), Path("pack-env"))
    assert find_places("c", "p", "h") == Places(Path("h"), Path("c"), Path("p"))


def test_a_named_pack_is_used_as_it_is_unless_notes_are_named_too(bare: Path) -> None:
    (bare / "corpus").mkdir()
    assert find_places(pack="p").corpus is None
    assert find_places("corpus", "p").corpus == Path("corpus")


def test_each_folder_of_notes_has_its_own_pack(bare: Path) -> None:
    one, two = find_places("one", home="h"), find_places("two", home="h")
    assert one.pack != two.pack
    assert find_places(str(bare / "one"), home="h").pack == one.pack


def test_settings_that_ship_can_be_read() -> None:
    settings = default_settings()
    assert set(settings.bm25f.weight) == set(settings.bm25f.b)
    assert settings.decision
    with pytest.raises((ValueError, KeyError, TypeError)):
        settings_from_json("{}")
    with pytest.raises(ValueError, match="Expecting"):
        settings_from_json("")
