"""Looking things up in a pack, and packs that are refused."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.analysis.spelling import SpellingIndex, slips_allowed
from assistant.answering.assistant import Assistant
from assistant.errors import PackError
from assistant.pack.format import pack_numbers
from assistant.pack.reader import Pack

SHARED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@pytest.fixture(scope="module")
def counts(mini_pack_path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(mini_pack_path)) as db:
        return dict(db.execute("SELECT form, count FROM form WHERE count > 0"))


def near_words(counts: dict[str, int]) -> st.SearchStrategy[str]:
    def harm(word: str, i: int, letter: str, kind: int) -> str:
        i %= len(word) + 1
        return (
            word[:i] + word[i + 1 :],
            word[:i] + letter + word[i:],
            word[:i] + letter + word[i + 1 :],
            word[:i] + word[i : i + 2][::-1] + word[i + 2 :],
        )[kind]

    letter = st.sampled_from("aeioustrnl\u00e9")
    once = st.builds(harm, st.sampled_from(sorted(counts)), st.integers(0, 30), letter, st.integers(0, 3))
    return st.builds(harm, once, st.integers(0, 30), letter, st.integers(0, 3)) | once | st.text(max_size=8)


def test_repairs_in_sql_are_those_in_memory(mini_pack: Pack, counts: dict[str, int]) -> None:
    index = SpellingIndex(counts)
    found = 0

    @SHARED
    @given(near_words(counts))
    def agree(word: str) -> None:
        nonlocal found
        near = mini_pack.near(word)
        found += bool(near)
        assert near == index.near(word)

    agree()
    assert found > 10


def test_words(mini_pack: Pack) -> None:
    assert mini_pack.known("stick")
    assert not mini_pack.known("stikc")
    assert mini_pack.near("stikc") == ["stick"]
    assert mini_pack.near("dr21") == []
    assert slips_allowed("dr21") == 0
    assert mini_pack.meanings("gamepad") == [("pad", 100)]
    assert mini_pack.meanings("nothing") == []


def test_terms_and_cues_that_the_pack_lacks(mini_pack: Pack) -> None:
    assert mini_pack.term_rows([]) == {}
    assert mini_pack.term_rows(["qqqq", "x' OR 1=1 --"]) == {}
    assert mini_pack.cue_rows([]) == {}
    assert mini_pack.cue_rows(["how", "how", "long"]).keys() == {"how", "long"}


def test_chunks_are_in_order(mini_pack: Pack) -> None:
    chunks = mini_pack.chunks()
    assert [note for note, _ in chunks] == [mini_pack.note_ids[n] for n in mini_pack.chunk_note]
    assert all(text for _, text in chunks)


def test_a_pack_is_never_written_to(mini_pack_path: Path) -> None:
    before = (mini_pack_path.read_bytes(), sorted(path.name for path in mini_pack_path.parent.iterdir()))
    with Pack(mini_pack_path) as pack:
        Assistant(pack).ask("stick cap")
    assert before == (mini_pack_path.read_bytes(), sorted(path.name for path in mini_pack_path.parent.iterdir()))


def test_a_pack_in_a_folder_that_cannot_be_written_to(mini_pack_path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a b#c?d%41"
    folder.mkdir()
    shutil.copy(mini_pack_path, folder / "m.pack")
    folder.chmod(0o555)
    try:
        with Pack(folder / "m.pack") as pack:
            assert pack.note_ids
    finally:
        folder.chmod(0o755)


def run(sql: str, *values: object) -> Callable[[Path], None]:
    def harm(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(sql, values)
            db.commit()

    return harm


def overwrite(raw: bytes) -> Callable[[Path], None]:
    def damage(path: Path) -> None:
        path.write_bytes(raw)

    return damage


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


DAMAGES: dict[str, tuple[Callable[[Path], object], str]] = {
    "gone": (lambda path: path.unlink(), "no pack here"),
    "empty": (overwrite(b""), "not a pack of this program"),
    "text": (overwrite(b"hello " * 400), "damaged pack: file is not a database"),
    "truncated": (cut, "damaged pack: "),
    "foreign": (run("PRAGMA application_id = 7"), "not a pack of this program"),
    "format": (run("UPDATE manifest SET value = '99' WHERE key = 'format'"), "pack format 99 is not the format "),
    "no format": (run("DELETE FROM manifest WHERE key = 'format'"), "pack format None is not the format "),
    "no table": (run("DROP TABLE manifest"), "damaged pack: no such table: manifest"),
    "no terms": (run("DROP TABLE term"), "damaged pack: no such table: term"),
    "decision": (run("UPDATE manifest SET value = '{' WHERE key = 'decision'"), "damaged pack: "),
    "decision list": (
        run("UPDATE manifest SET value = '[]' WHERE key = 'decision'"),
        "damaged pack: manifest holds no object",
    ),
    "decision empty": (
        run("UPDATE manifest SET value = '{}' WHERE key = 'decision'"),
        "damaged pack: the manifest lacks '",
    ),
    "analysis": (run("UPDATE manifest SET value = '{\"x\": 1}' WHERE key = 'analysis'"), "pack of another version: "),
    "urgent": (run("UPDATE manifest SET value = '[77]' WHERE key = 'urgent'"), "damaged pack: "),
    "rarest": (run("UPDATE manifest SET value = 'many' WHERE key = 'rarest'"), "damaged pack: "),
    "odd chunks": (run("UPDATE term SET chunks = ?", b"abc"), "damaged pack: "),
    "half a chunk": (run("UPDATE term SET chunks = ?", pack_numbers([1, 2])), "damaged pack: "),
    "text for a blob": (run("UPDATE term SET learned = 'x'"), "damaged pack: "),
    "far chunk": (
        run("UPDATE term SET chunks = ?", pack_numbers([999, 1, 0])),
        "damaged pack: a weight belongs to nothing",
    ),
    "low chunk": (
        run("UPDATE term SET chunks = ?", pack_numbers([-1, 1, 0])),
        "damaged pack: a weight belongs to nothing",
    ),
    "far field": (
        run("UPDATE term SET chunks = ?", pack_numbers([0, 1, 9])),
        "damaged pack: a weight belongs to nothing",
    ),
    "far note": (
        run("UPDATE term SET learned = ?", pack_numbers([99, 1])),
        "damaged pack: a weight belongs to nothing",
    ),
    "far example": (
        run("UPDATE term SET examples = ?", pack_numbers([999, 1])),
        "damaged pack: a weight belongs to nothing",
    ),
    "odd cue": (run("UPDATE cue SET weights = ?", b"abc"), "damaged pack: "),
    "short cue": (run("UPDATE cue SET weights = ?", pack_numbers([1])), "damaged pack: "),
    "note": (run("UPDATE note SET content = '{}'"), "damaged pack: "),
    "note text": (run("UPDATE note SET content = 'x'"), "damaged pack: "),
    "meaning": (run("UPDATE meaning SET words = '[1]'"), "damaged pack: "),
    "step": (run("UPDATE step SET weights = '{\"cap\": 3}'"), "damaged pack: "),
}


@pytest.mark.parametrize("name", DAMAGES)
def test_damaged_pack_is_refused_in_one_line(mini_pack_path: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    harm, message = DAMAGES[name]
    harm(path)
    with pytest.raises(PackError) as raised, Pack(path) as pack:
        Assistant(pack).ask("controller stick cap broken?")
    assert str(raised.value).startswith(f"{path}:1: {message}")
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize(
    "key", ["corpus", "compiled_by", "notes", "fields", "analysis", "decision", "urgent", "rarest"]
)
def test_missing_key_of_the_manifest_is_named(mini_pack_path: Path, tmp_path: Path, key: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    run("DELETE FROM manifest WHERE key = ?", key)(path)
    with pytest.raises(PackError) as raised:
        Pack(path)
    assert str(raised.value).startswith(f"{path}:1: damaged pack: the manifest lacks {key}; ")


def test_a_folder_is_no_pack(tmp_path: Path) -> None:
    with pytest.raises(PackError, match=":1: no pack here; compile one with 'assistant corpus compile'"):
        Pack(tmp_path)
