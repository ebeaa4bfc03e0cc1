"""A damaged pack, a full disk: one clear line, exit code 3, and what was whole stays whole."""

from __future__ import annotations

import json
import math
import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from assistant.pack.format import pack_feature
from tests.cli.conftest import Run, spawn
from tests.packs import Damage, Entries, entry, every, manifest, note_of, postings, resealed, run_sql, script

CAP = "controller stick cap broken?"
SLIP = "controller stikc cap on the stick broken?"
NOTE = "pad-stick-cap"
QUESTIONS = (CAP, SLIP, "no power on the tv", "smoke from the stick", "when do i get paid")
ENDLESS = (
    "WITH RECURSIVE n(number) AS (SELECT 1 UNION ALL SELECT number FROM n) SELECT number, number AS content FROM n"
)


def halve(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def scribble(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096:] = b"\xa5" * (len(data) - 4096)
    path.write_bytes(data)


def to_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def every_weight(text: str) -> Damage:
    """Put a text of JSON in place of the weight that each term has for each step."""

    def damage(entries: Entries) -> None:
        for note, held in entries["step"].items():
            rows = {term: [[step, "here"] for step, _ in pairs] for term, pairs in json.loads(held).items()}
            entries["step"][note] = json.dumps(rows).replace('"here"', text).encode()

    return resealed(damage)


def of_decision(change: Callable[[dict[str, Any]], object]) -> Damage:
    def damage(entries: Entries) -> None:
        bars = json.loads(entries["manifest"]["decision"])
        change(bars)
        entries["manifest"]["decision"] = json.dumps(bars).encode()

    return resealed(damage)


def every_step(**values: object) -> Callable[[dict[str, Any]], object]:
    return lambda note: [step.update(values) for step in note["steps"]]


def every_message(**values: object) -> Callable[[dict[str, Any]], object]:
    return lambda note: [message.update(values) for message in note["safety"]]


NOTES: dict[str, Callable[[dict[str, Any]], object]] = {
    "safety is an object": lambda note: note.update(safety={}),
    "before a step in words": every_message(before_step="2"),
    "before step 0": every_message(before_step=0),
    "before step 99": every_message(before_step=99),
    "before no step": every_message(before_step=None),
    "unknown signal": every_message(signal="WARNINF"),
    "message without text": every_message(text=None),
    "no steps": lambda note: note.update(steps=[]),
    "steps all 1": every_step(n=1),
    "steps from 2": lambda note: [step.update(n=step["n"] + 1) for step in note["steps"]],
    "step without text": every_step(text=3),
    "another id": lambda note: note.update(id="disc-clean"),
    "an id of no note": lambda note: note.update(id="pad-gone"),
    "unknown action": lambda note: note.update(action="adjusv"),
    "title": lambda note: note.update(title=None),
    "title in numbers": lambda note: note.update(title=7),
    "minutes": lambda note: note.update(minutes="six"),
    "endless minutes": lambda note: note.update(minutes=10**400),
    "condition": lambda note: note.pop("condition"),
    "parts": lambda note: note.update(parts=[7]),
    "parts in a line": lambda note: note.update(parts="wired pad"),
    "one more key": lambda note: note.update(colour="red"),
}
BROKEN: dict[str, tuple[Damage, str]] = {
    "not sqlite": (
        lambda path: path.write_text("hello\n" * 999),
        "damaged pack: file is not a database; compile it again",
    ),
    "truncated": (halve, "damaged pack: "),
    "scribbled": (scribble, "damaged pack: "),
    "foreign": (run_sql("PRAGMA application_id = 1"), "not a pack of this program"),
    "old format": (run_sql("PRAGMA user_version = 0"), "a pack format before 5 is not the format 6 that this version"),
    "other format": (run_sql("PRAGMA user_version = 5"), "pack format 5 is not the format 6 that this version reads"),
    "key": (manifest("decision", None), "damaged pack: the manifest lacks decision; "),
    "blocks": (run_sql("DELETE FROM form"), "damaged pack: a block of 'form' is missing; "),
    "another block": (run_sql("UPDATE form SET content = x'00'"), "damaged pack: block "),
    "gone": (os.unlink, "no pack here; compile one with 'assistant corpus compile'"),
    "folder": (to_folder, "no pack here"),
}
HOSTILE: dict[str, Damage] = {
    "view for the notes": script("DROP TABLE note", f"CREATE VIEW note AS {ENDLESS}"),
    "trigger": script("CREATE TRIGGER more AFTER INSERT ON note BEGIN DELETE FROM note; END"),
    "manifest of zeros": run_sql("UPDATE manifest SET content = zeroblob(17 * 1024 * 1024)"),
    **{
        f"{key} {value[:9]}": manifest(key, value)
        for key in ("decision", "analysis", "harm", "trade", "sizes", "bias")
        for value in ("", "null", "3", '"x"', "NaN", "[" * 100_000, '{"a":' * 100_000, f"[{10**400}]", "[-3]", "[9999]")
    },
    "analysis weights": manifest("analysis", f'{{"vocabulary_weight": {10**400}}}'),
    "decision weights": of_decision(lambda bars: bars["right"].update(weights=[1])),
    "decision weights in words": of_decision(lambda bars: bars["right"].update(weights=["a", "b", "c"])),
    "decision weights not numbers": of_decision(lambda bars: bars["right"].update(weights=[math.nan] * 3)),
    "decision weights endless": of_decision(lambda bars: bars["right"].update(weights=[math.inf] * 3)),
    "decision table": of_decision(lambda bars: bars["covered"].update(table="steep")),
    "decision bars": of_decision(lambda bars: bars.update(bars={"lead": "high"})),
    "bias in words": manifest("bias", '{"note": [[0, "x"]], "turn": []}'),
    "far bias": manifest("bias", '{"note": [[9999, 1]], "turn": []}'),
    "blob": every("term", b"\x01\x02\x03"),
    "half a posting": every("term", b"\x01\x02\x03\x04"),
    "far chunk": every("term", postings((4711, 1, 0))),
    "far field": every("term", postings((0, 1, 7))),
    "odd feature": every("note_feature", b"\x01\x02\x03"),
    "half a weight": every("note_feature", b"\x01\x02\x03\x04\x05\x06"),
    "far class": every("note_feature", pack_feature(1000, [4711], [1])),
    "count": every("form", b"many!"),
    "slip": every("slip", b"\xff"),
    "alarm": entry("alarm", "stick", b'[[0, "stick", "x", 0]]'),
    "far alarm": entry("alarm", "stick", b'[[0, "stick", 4711, 0]]'),
    "deep meaning": entry("meaning", "stick", b"[" * 100_000),
    "meaning in words": entry("meaning", "stick", b'[["cap", "10"]]'),
    "meaning of 300 digits": entry("meaning", "stick", b'[["cap", %d]]' % 10**300),
    "no step": every("step", b"null"),
    "steps": every_weight("1e999"),
    "no notes": every("note", None),
    "no note": every("note", b"{"),
    "deep note": every("note", b"[" * 100_000),
    **{f"note: {name}": note_of(NOTE, change) for name, change in NOTES.items()},
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


def refused_or_alike(run: Run, path: Path, whole: Path, commands: Iterable[Sequence[str]]) -> int:
    """Return how many of the commands refuse a pack in a line; each other one tells the same as of the whole pack."""
    refused = 0
    for arguments in commands:
        ran = run("--pack", str(path), *arguments)
        if ran.code == 3:
            refused += 1
            assert ran.out == ""
            assert ran.err.startswith(f"{path}:1: damaged pack: ")
            assert len(ran.err.splitlines()) == 1
            assert len(ran.err) < len(str(path)) + 350
        else:
            assert ran == run("--pack", str(whole), *arguments)
    return refused


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_pack(mini_pack_path: Path, tmp_path: Path, run: Run, name: str) -> None:
    """Every question that it spoils is refused in a line; every other one is answered as from the whole pack."""
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    HOSTILE[name](path)
    asked = (["ask", "--no-record", question] for question in QUESTIONS)
    assert refused_or_alike(run, path, mini_pack_path, (["show", NOTE], *asked))


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
        timeout=600,
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
