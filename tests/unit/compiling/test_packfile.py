"""The file of a pack on the disk: whole or as it was, and nothing left of writers that were killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.compiling.packfile import write_pack_file
from assistant.errors import PackError
from assistant.pack.file import PackFile

HANGS = """
import os, sys, time
from pathlib import Path
from assistant.compiling.packfile import write_pack_file
def hang(_):
    print("writing", flush=True)
    time.sleep(600)
os.fsync = hang
write_pack_file({}, {}, Path(sys.argv[1]))
"""


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def write(path: Path) -> None:
    write_pack_file({"term": [("stick", b"1"), ("cap", b"2")]}, {"corpus": "c"}, path)


def test_what_was_written_is_read(tmp_path: Path) -> None:
    path = tmp_path / "new" / "m.pack"
    write(path)
    assert names(path.parent) == ["m.pack"]
    file = PackFile(path)
    assert file.manifest["corpus"] == "c"
    assert file.entries("term", ["cap", "lamp", "stick"]) == {"cap": b"2", "stick": b"1"}
    assert file.entries("form", ["cap"]) == {}
    file.close()


def test_what_a_killed_writer_left_is_swept_at_the_next_write_and_a_living_writers_is_not(tmp_path: Path) -> None:
    path = tmp_path / "m.pack"
    with subprocess.Popen([sys.executable, "-c", HANGS, str(path)], stdout=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"writing\n"
        (part,) = names(tmp_path)
        write(path)
        assert names(tmp_path) == ["m.pack", part]
        writer.send_signal(signal.SIGKILL)
        writer.communicate()
    assert names(tmp_path) == ["m.pack", part]
    write(path)
    assert names(tmp_path) == ["m.pack"]


def test_other_files_are_left_alone(tmp_path: Path) -> None:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    seal = "0123456789abcdef"
    swept = f"m.pack.{gone.pid}.{seal}.part"
    kept = [
        *(f"m.pack.{os.getpid()}.{seal}.part", f"m.pack.{gone.pid}.part", f"m.pack.{gone.pid}.{seal}.part.txt"),
        *(f"other.pack.{gone.pid}.{seal}.part", f"m.pack.999999999999.{seal}.part", "m.pack.part"),
    ]
    for name in (swept, *kept):
        (tmp_path / name).touch()
    write(tmp_path / "m.pack")
    assert names(tmp_path) == sorted(["m.pack", *kept])


def test_keys_that_no_block_takes_are_told(tmp_path: Path) -> None:
    with pytest.raises(PackError, match=r"m\.pack:1: cannot be written: 1 entries do not fit in a block"):
        write_pack_file({"term": [("a\0b", b"")]}, {}, tmp_path / "m.pack")
    assert names(tmp_path) == []
