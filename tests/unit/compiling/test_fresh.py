"""When notes are compiled again."""

from __future__ import annotations

import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from assistant.compiling import fresh, linear
from assistant.compiling import program as program_module
from assistant.compiling.fresh import compile_now, fresh_pack
from assistant.compiling.program import program_digest, program_stamp
from assistant.compiling.settings import shipped_settings
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


def other_settings(path: Path, lead: int) -> Path:
    """Write the settings that ship with another bar."""
    data = json.loads(shipped_settings())
    data["decision"]["bars"]["lead"] = lead
    path.write_text(json.dumps(data), "utf-8")
    return path


def lead_of(places: Places) -> int:
    with fresh_pack(places) as pack:
        return int(pack.decision["bars"]["lead"])


def test_the_folders_own_settings_are_taken_without_being_named(places: Places, two_notes: Path) -> None:
    shipped = lead_of(places)
    own = other_settings(two_notes / "settings.json", 111)
    assert (lead_of(places), compiled(places)) == (111, False)
    other_settings(own, 222)
    assert (lead_of(places), compiled(places)) == (222, False)
    own.unlink()
    assert lead_of(places) == shipped


def test_settings_that_were_named_are_remembered(places: Places, two_notes: Path, tmp_path: Path) -> None:
    other_settings(two_notes / "settings.json", 111)
    named = other_settings(tmp_path / "named.json", 333)
    compile_now(places, settings=str(named))
    assert (lead_of(places), compiled(places)) == (333, False)
    (two_notes / "pad/pad-demo.md").write_text(NOTE_TEXT.replace("minutes: 6", "minutes: 11"))
    assert (compiled(places), lead_of(places)) == (True, 333)
    other_settings(named, 444)
    assert (lead_of(places), compiled(places)) == (444, False)
    compile_now(places)
    assert (lead_of(places), compiled(places)) == (111, False)
    compile_now(places, settings=str(named))
    named.unlink()
    assert lead_of(places) == 111


def test_settings_of_another_form_are_refused_and_the_old_pack_stays(places: Places, two_notes: Path) -> None:
    compiled(places)
    before = places.pack.read_bytes()
    (two_notes / "settings.json").write_text("{}", "utf-8")
    with pytest.raises(NotesError, match=r"settings\.json:1: no settings"):
        fresh_pack(places)
    assert places.pack.read_bytes() == before


@pytest.fixture
def program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Put a copy of the program in the place of the one that compiles."""
    copy = tmp_path / "program"
    for room in ("compiling", "ranking", "tui"):
        (copy / room).mkdir(parents=True)
        (copy / room / "some.py").write_text("ONE = 1\n", "utf-8")
    (copy / "model.py").write_text("TWO = 2\n", "utf-8")
    monkeypatch.setattr(fresh, "program_stamp", lambda: program_stamp(str(copy)))
    monkeypatch.setattr(fresh, "program_digest", lambda: program_digest(str(copy)))
    return copy


@pytest.mark.parametrize("name", ["compiling/some.py", "ranking/some.py", "model.py", "ranking/new.py"])
def test_a_pack_of_another_program_is_compiled_again(places: Places, program: Path, name: str) -> None:
    compiled(places)
    assert not compiled(places)
    (program / name).write_text("ONE = 3\n", "utf-8")
    assert compiled(places)
    assert not compiled(places)


def test_a_program_that_was_installed_anew_or_changed_elsewhere_leaves_the_pack(places: Places, program: Path) -> None:
    compiled(places)
    before = places.pack.stat().st_mtime_ns
    stamp = program_stamp(str(program))
    os.utime(program / "model.py", ns=(1, 1))
    (program / "tui/some.py").write_text("ONE = 4\n", "utf-8")
    assert program_stamp(str(program)) != stamp
    assert not compiled(places)
    assert json.loads(places.pack.with_name("m.pack.seen").read_text("utf-8"))["program"] != stamp
    assert places.pack.stat().st_mtime_ns == before


def test_the_modules_that_make_weights_are_those_that_are_looked_at() -> None:
    looked = {name for name, _ in program_module._modules(program_module._PROGRAM)}
    assert set(linear._MAKING) <= looked
    assert {"model.py", "notes/reader.py", "pack/codec.py", "languages/english.py", "compiling/settings.json"} <= looked


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
