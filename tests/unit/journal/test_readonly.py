"""Looking alone: not a byte of a journal changes and no file is made, wherever and in whatever state it lies."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import traceback
import warnings
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from assistant.errors import JournalError
from assistant.journal import opening, store
from assistant.journal.migrations import MIGRATIONS
from assistant.journal.records import KINDS, Question, Remark, Visit
from assistant.journal.store import Journal

NOBODY = 65534


def seen(folder: Path, *, but: str = "-shm") -> dict[str, str]:
    """Return the files of a folder with what is in them; what is shared while a journal is open alone by name."""
    return {
        path.name: "" if path.name.endswith(but) else hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if path.is_file()
    }


def texts(path: Path) -> list[str]:
    with Journal(path, readonly=True) as journal:
        return [remark.text for remark in journal.all(Remark)]


def killed(folder: Path, *, without: str = "") -> Path:
    """Return a journal as a program leaves it that was killed: with a log beside it, and what is shared."""
    source, path = folder / "source.db", folder / "left" / "source.db"
    path.parent.mkdir()
    with Journal(source) as journal:
        journal.add(Remark("in the log"))
        for file in folder.glob("source.db*"):
            if not without or not file.name.endswith(without):
                shutil.copy(file, path.parent)
    return path


def as_nobody(act: Callable[[], None]) -> None:
    """Do something as a user who owns nothing; as the one who runs the tests where that is not root."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # A process with threads; the child starts none.
        child = os.fork()
    if child == 0:
        code = 1
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            act()
            code = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_a_journal_that_is_not_there_is_empty_and_stays_away(tmp_path: Path) -> None:
    path = tmp_path / "home" / "journal.db"
    with Journal(path, readonly=True) as journal:
        assert [record for kind in KINDS for record in journal.every(kind)] == []
        assert journal.uid
        with pytest.raises(JournalError, match="readonly"):
            journal.add(Remark("no"))
    assert list(tmp_path.iterdir()) == []


def test_a_journal_that_was_closed_is_read_as_it_lies(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as journal:
        journal.add(Remark("one"))
        uid = journal.uid
    before = seen(tmp_path)
    assert set(before) == {"a.db"}
    with Journal(path, readonly=True) as journal:
        assert [remark.text for remark in journal.all(Remark)] == ["one"]
        assert journal.uid == uid
        with journal.snapshot():
            assert len(journal.every(Remark)) == 1
        with pytest.raises(JournalError, match="readonly"):
            journal.add(Remark("no"))
    assert seen(tmp_path) == before


def test_a_journal_that_another_program_writes_is_read_as_it_is_written(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as writer:
        writer.add(Remark("one"))
        with Journal(path, readonly=True) as journal:
            before = seen(tmp_path)
            assert [remark.text for remark in journal.all(Remark)] == ["one"]
            with pytest.raises(JournalError, match="readonly"):
                journal.add(Remark("no"))
        assert seen(tmp_path) == before
        with writer.writing():
            writer.add(Remark("two"))
            assert texts(path) == ["one"]
        assert texts(path) == ["one", "two"]
    assert set(seen(tmp_path)) == {"a.db"}


@pytest.mark.parametrize("without", ["", "-shm"])
def test_what_a_killed_program_left_is_read_and_stays_as_it_is(tmp_path: Path, without: str) -> None:
    path = killed(tmp_path, without=without)
    before = seen(path.parent)
    assert len(before) == (2 if without else 3)
    assert texts(path) == ["in the log"]
    assert seen(path.parent) == before


@pytest.mark.parametrize("state", ["closed", "killed", "killed, without what is shared"])
def test_a_folder_that_cannot_be_written_is_read(state: str) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        if state == "closed":
            path = folder / "left" / "a.db"
            with Journal(path) as journal:
                journal.add(Remark("in the log"))
        else:
            path = killed(folder, without="-shm" if "without" in state else "")
        before = seen(path.parent)
        for file in path.parent.iterdir():
            file.chmod(0o444)
        path.parent.chmod(0o555)
        folder.chmod(0o755)

        def look() -> None:
            assert not os.access(path.parent, os.W_OK)
            assert texts(path) == ["in the log"]

        as_nobody(look)
        assert seen(path.parent) == before
        path.parent.chmod(0o755)


def older(path: Path, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """Return a journal as the first migration alone makes it."""
    with monkeypatch.context() as earlier:
        earlier.setattr(store, "MIGRATIONS", MIGRATIONS[:1])
        return Journal(path)


def test_a_journal_of_an_older_version_is_read_and_stays_of_that_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.db"
    older(path, monkeypatch).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute("INSERT INTO visit (at, store, rep) VALUES ('2026-01-01T00:00:00.000Z', 'S-1', '')")
        db.commit()
    before = seen(tmp_path)
    with Journal(path, readonly=True) as journal:
        assert [visit.store for visit in journal.all(Visit)] == ["S-1"]
    assert seen(tmp_path) == before


def test_a_journal_of_an_older_version_that_is_in_use_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.db"
    with older(path, monkeypatch), pytest.raises(JournalError, match="record something with this one first"):
        Journal(path, readonly=True)


def test_a_journal_that_is_written_while_it_is_read_is_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.db"
    Journal(path).close()
    read, times = opening._read, [2]

    def beside(file: Path) -> bytes:
        content = read(file)
        if times[0]:
            times[0] -= 1
            with Journal(path) as journal:
                journal.add(Remark(f"{times[0]}"))
        return content

    monkeypatch.setattr(opening, "_read", beside)
    assert texts(path) == ["1", "0"]
    times[0] = NOBODY
    with pytest.raises(JournalError, match="another program writes it again and again: try again"):
        texts(path)


def test_looking_ends_after_counted_steps_each_time_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.db"
    with Journal(path) as journal:
        journal.add_all([Remark("x") for _ in range(5000)])
    monkeypatch.setattr(opening, "_STEPS_A_BYTE", 0)
    monkeypatch.setattr(opening, "_LEAST_STEPS", 600_000)
    with Journal(path, readonly=True) as journal:
        for _ in range(60):
            assert len(journal.every(Remark)) == 5000
    monkeypatch.setattr(opening, "_LEAST_STEPS", 20_000)
    with (
        Journal(path, readonly=True) as journal,
        pytest.raises(JournalError, match=r"a\.db:1: damaged journal: looking something up takes too many steps"),
    ):
        journal.every(Remark)


def test_nothing_is_kept_that_could_not_be_read_back(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        for record in (
            Remark("x" * 100_001),
            Question("q", "none", "procedure", confidence=float("nan")),
            Visit("S-1", at="yesterday"),
            Visit("S-1", entry=-1),
        ):
            with pytest.raises(JournalError, match=r"a\.db:1: not recorded: (remark|question|visit): '\w+' must be"):
                journal.add(record)
        assert [record for kind in KINDS for record in journal.every(kind)] == []
        journal.add(Remark("x" * 100_000))
        assert len(journal.all(Remark)) == 1
