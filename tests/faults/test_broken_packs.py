"""A damaged pack, a full disk: one clear line, exit code 3, and what was whole stays whole."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from assistant.pack.format import pack_postings, pack_weights
from tests.cli.conftest import spawn

CAP = "controller stick cap broken?"
SLIP = "controller stikc cap on the stick broken?"


def run_sql(sql: str, *values: object) -> Callable[[Path], None]:
    def damage(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(sql, values)
            db.commit()

    return damage


def halve(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def scribble(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096:] = b"\xa5" * (len(data) - 4096)
    path.write_bytes(data)


def to_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


BROKEN: dict[str, tuple[Callable[[Path], object], str]] = {
    "not sqlite": (
        lambda path: path.write_text("hello\n" * 999),
        "damaged pack: file is not a database; compile it again",
    ),
    "truncated": (halve, "damaged pack: "),
    "scribbled": (scribble, "damaged pack: "),
    "foreign": (run_sql("PRAGMA application_id = 1"), "not a pack of this program"),
    "format": (run_sql("UPDATE manifest SET value = '0' WHERE key = 'format'"), "pack format 0 is not the format "),
    "key": (run_sql("DELETE FROM manifest WHERE key = 'decision'"), "damaged pack: the manifest lacks decision; "),
    "blob": (run_sql("UPDATE term SET chunks = ?", b"\x01\x02\x03"), "damaged pack: "),
    "half a posting": (run_sql("UPDATE term SET chunks = ?", b"\x01\x02\x03\x04"), "damaged pack: "),
    "far chunk": (
        run_sql("UPDATE term SET chunks = ?", pack_postings([(4711, 1, 0)])),
        "damaged pack: a weight belongs to nothing",
    ),
    "odd feature": (run_sql("UPDATE feature SET weights = ?", b"\x01\x02\x03"), "damaged pack: "),
    "half a weight": (run_sql("UPDATE feature SET weights = ?", b"\x01\x02"), "damaged pack: "),
    "text for weights": (run_sql("UPDATE feature SET weights = 'heavy'"), "damaged pack: "),
    "far class": (
        run_sql("UPDATE feature SET weights = ?", pack_weights([(4711, 1)])),
        "damaged pack: a weight belongs to no class",
    ),
    "text for an idf": (run_sql("UPDATE feature SET idf = 'rare'"), "damaged pack: an idf is no whole number"),
    "text for a count": (run_sql("UPDATE form SET count = 'many'"), "damaged pack: a count is no whole number"),
    "text for an alarm": (
        run_sql("INSERT OR REPLACE INTO alarm VALUES ('stick', 'stick', 'x', 0, 0)"),
        "damaged pack: an alarm is no phrase with a note",
    ),
    "far alarm": (
        run_sql("INSERT OR REPLACE INTO alarm VALUES ('stick', 'stick', 4711, 0, 0)"),
        "damaged pack: a weight belongs to nothing",
    ),
    "bias": (
        run_sql('UPDATE manifest SET value = \'{"note": [[0, "x"]], "turn": []}\' WHERE key = \'bias\''),
        "damaged pack: a class has no bias",
    ),
    "no bias": (run_sql("DELETE FROM manifest WHERE key = 'bias'"), "damaged pack: the manifest lacks bias; "),
    "harm": (
        run_sql("UPDATE manifest SET value = '[4711]' WHERE key = 'harm'"),
        "damaged pack: a weight belongs to nothing",
    ),
    "no harm": (run_sql("DELETE FROM manifest WHERE key = 'harm'"), "damaged pack: the manifest lacks harm; "),
    "note": (run_sql("UPDATE note SET content = '{'"), "damaged pack: "),
    "gone": (os.unlink, "no pack here; compile one with 'assistant corpus compile'"),
    "folder": (to_folder, "no pack here"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_pack(mini_pack_path: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    damage, message = BROKEN[name]
    damage(path)
    whole = path.read_bytes() if path.is_file() else b""
    ran = spawn(["--pack", str(path), "ask", SLIP])
    assert (ran.code, ran.out) == (3, "")
    assert "Traceback" not in ran.err
    assert ran.err.startswith(f"{path}:1: {message}")
    assert len(ran.err.splitlines()) == 1
    assert (path.read_bytes() if path.is_file() else b"") == whole


@pytest.fixture
def small_disk(tmp_path: Path, mini_pack_path: Path) -> Iterator[Path]:
    """A file system with room for one pack and no second."""
    folder = tmp_path / "disk"
    folder.mkdir()
    size = mini_pack_path.stat().st_size + 64 * 1024
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("no right to mount a file system here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def assert_refused_and_whole(ran: tuple[int, str, str], pack: Path, before: bytes) -> None:
    code, out, err = ran
    assert (code, out) == (3, "")
    told = [row for row in err.splitlines() if not row.endswith(" ...")]
    assert len(told) == 1
    assert told[0].startswith(f"{pack}:1: cannot be written: ")
    assert pack.read_bytes() == before
    assert [path.name for path in pack.parent.iterdir()] == [pack.name]
    assert spawn(["--pack", str(pack), "ask", CAP]).code == 0


def test_full_disk(small_disk: Path, mini_pack_path: Path, mini_corpus_path: Path) -> None:
    pack = small_disk / "m.pack"
    shutil.copy(mini_pack_path, pack)
    ran = spawn(["corpus", "compile", "--corpus", str(mini_corpus_path), "--pack", str(pack)])
    assert_refused_and_whole(ran, pack, mini_pack_path.read_bytes())


def test_files_that_may_not_grow(tmp_path: Path, mini_pack_path: Path, mini_corpus_path: Path) -> None:
    pack = tmp_path / "packs" / "m.pack"
    pack.parent.mkdir()
    shutil.copy(mini_pack_path, pack)
    limit = 128 * 1024
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "corpus", "compile", "--corpus", mini_corpus_path, "--pack", pack],
        capture_output=True,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)),
        timeout=120,
        check=False,
    )
    assert_refused_and_whole(
        (ran.returncode, ran.stdout.decode(), ran.stderr.decode()), pack, mini_pack_path.read_bytes()
    )


def test_folder_that_is_a_file(tmp_path: Path, mini_corpus_path: Path) -> None:
    (tmp_path / "home").write_text("x")
    ran = spawn(["--corpus", str(mini_corpus_path), "--home", str(tmp_path / "home"), "ask", CAP])
    assert (ran.code, ran.out) == (3, "")
    assert "cannot be written: " in ran.err.splitlines()[-1]
    assert "Traceback" not in ran.err
