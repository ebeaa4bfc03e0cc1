"""Files that are written whole, whatever lies beside them."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.notes.writing import add_lines, put_back, write_new, write_read_back, write_whole

LONG_AGO = 1_000_000_000


def test_nothing_that_stands_there_is_opened_and_no_link_is_followed(tmp_path: Path) -> None:
    precious = tmp_path / "precious"
    precious.write_text("mine", "utf-8")
    for name in (".n.txt.part", "n.txt"):
        (tmp_path / name).symlink_to(precious)
    write_whole(tmp_path / "n.txt", "new")
    assert precious.read_text("utf-8") == "mine"
    assert not (tmp_path / "n.txt").is_symlink()
    assert (tmp_path / "n.txt").read_text("utf-8") == "new"
    (tmp_path / "report").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "report", "text")
    assert not (tmp_path / "elsewhere").exists()


def test_the_temporary_name_differs_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    monkeypatch.setattr(os, "fsync", lambda _: seen.extend(p.name for p in tmp_path.glob(".n.txt.*")))
    for _ in range(3):
        write_whole(tmp_path / "n.txt", "text")
    assert len(set(seen)) == 3
    assert all(len(name) == len(".n.txt.") + 16 + len(".part") for name in seen)


def test_what_a_killed_writer_left_goes_and_what_another_writes_stays(tmp_path: Path) -> None:
    left, fresh = tmp_path / f".n.txt.{'a' * 16}.part", tmp_path / f".n.txt.{'b' * 16}.part"
    others = [tmp_path / ".n.txt.part", tmp_path / f".m.txt.{'a' * 16}.part"]
    for path in (left, fresh, *others):
        path.write_text("part", "utf-8")
    for path in (left, *others):
        os.utime(path, (LONG_AGO, LONG_AGO))
    write_whole(tmp_path / "n.txt", "text")
    assert sorted(tmp_path.iterdir()) == sorted([fresh, *others, tmp_path / "n.txt"])


def test_where_it_cannot_be_written_nothing_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotesError, match=r"n\.txt:1: cannot be written: No space left on device"):
        write_whole(tmp_path / "n.txt", "text")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("before", [b"\xef\xbb\xbfa\r\nb", b"\xff\x00", b"", None])
def test_what_does_not_read_afterwards_is_put_back_byte_for_byte(tmp_path: Path, before: bytes | None) -> None:
    path, other = tmp_path / "n.txt", tmp_path / "other.txt"
    other.write_bytes(b"same")
    if before is not None:
        path.write_bytes(before)

    def refuse() -> None:
        assert path.read_text("utf-8") == "new"
        raise NotesError([])

    with pytest.raises(NotesError):
        write_read_back(path, "new", refuse)
    with pytest.raises(KeyboardInterrupt), put_back(path, other):
        path.write_bytes(b"half")
        other.unlink()
        raise KeyboardInterrupt
    assert (path.read_bytes() if path.exists() else None) == before
    assert other.read_bytes() == b"same"


def test_lines_are_added_once_and_at_once(tmp_path: Path) -> None:
    path = tmp_path / "n.txt"
    assert add_lines(path, ["a", "b", "a"], shown="n.txt") == 2
    path.write_text("a\nb", "utf-8")
    before = path.stat()
    assert add_lines(path, ["b"], shown="n.txt") == 0
    assert path.stat() == before
    assert add_lines(path, ["b", "c"], shown="n.txt") == 1
    assert path.read_text("utf-8") == "a\nb\nc\n"


def test_a_saved_text_is_for_its_owner_alone(tmp_path: Path) -> None:
    write_new(tmp_path / "report.txt", "text")
    assert stat.S_IMODE((tmp_path / "report.txt").stat().st_mode) == 0o600
