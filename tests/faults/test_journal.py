"""What must not cost a record: kills, writers at once, a full disk; and journals that are refused untouched."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from assistant.errors import ExitCode, JournalError
from assistant.journal.records import Entry, Remark, Visit
from assistant.journal.store import Journal, now
from assistant.tui.common.saving import save_text
from assistant.visiting.recorder import Recorder
from tests.cli.conftest import Run

ROOT = Path(__file__).parents[2]
_NEVER_SECONDS = 600
"""After so long a program that was started will not end any more."""
_MANY = int(os.environ.get("ASSISTANT_JOURNAL_KILLS", "200"))
KILLS = {"record": _MANY, "entry": _MANY // 2}
"""1000 and 500 for the whole run."""


def python(code: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


@pytest.mark.parametrize("what", KILLS)
def test_many_kills_lose_nothing_that_was_confirmed_and_leave_no_half_an_entry(tmp_path: Path, what: str) -> None:
    ran = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("killing.py")), str(tmp_path), str(KILLS[what]), what],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
    )
    found = json.loads(ran.stdout)
    assert found["kills"] == KILLS[what]
    assert found["confirmed"] >= found["awaited"] > KILLS[what]
    assert (found["lost"], found["unwell"], found["halves"]) == (0, 0, 0)


OPENER = """
import sys
from pathlib import Path
from assistant.errors import UsageError
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
with Journal(Path(sys.argv[1])) as journal:
    recorder = Recorder(journal)
    print("ready", flush=True)
    sys.stdin.readline()
    try:
        print("open", recorder.open_visit(sys.argv[2]).id)
    except UsageError as error:
        print("refused", error)
"""


def test_of_six_that_open_a_visit_at_once_one_does(tmp_path: Path) -> None:
    """All wait until all are ready, again and again, so that a look before the write would let two through."""
    for n in range(5):
        path = tmp_path / f"{n}.db"
        Journal(path).close()
        openers = [python(OPENER, str(path), f"S-{number}") for number in range(6)]
        assert [opener.stdout.readline() for opener in openers if opener.stdout] == ["ready\n"] * 6
        for opener in openers:
            assert opener.stdin is not None
            opener.stdin.write("go\n")
            opener.stdin.flush()
        told = [opener.communicate(timeout=_NEVER_SECONDS)[0] for opener in openers]
        assert sorted(line.split()[0] for line in told) == ["open"] + ["refused"] * 5, told
        with Journal(path) as journal:
            (visit,) = journal.all(Visit)
            assert len(journal.all(Entry)) == 1
        assert all(f"the visit at {visit.store} is still open" in line for line in told if line.startswith("refused"))


WRITER = """
import sys
from pathlib import Path
from assistant.journal.records import Remark
from assistant.journal.store import Journal
with Journal(Path(sys.argv[1])) as journal:
    print(journal.uid, *(journal.add(Remark(f"{sys.argv[2]}-{n}")).id for n in range(50)))
"""


def test_eight_writers_at_once_on_a_new_journal_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    writers = [python(WRITER, str(path), str(number)) for number in range(8)]
    told = [writer.communicate(timeout=_NEVER_SECONDS) for writer in writers]
    assert [writer.returncode for writer in writers] == [0] * 8, told
    lines = [out.split() for out, _ in told]
    assert len({line[0] for line in lines}) == 1
    ids = sorted(int(number) for line in lines for number in line[1:])
    with Journal(path) as journal:
        kept = journal.all(Remark)
    assert sorted(record.id for record in kept) == ids
    assert {record.text for record in kept} == {f"{number}-{n}" for number in range(8) for n in range(50)}


FILLER = """
import resource, signal, sys
from pathlib import Path
from assistant.errors import JournalError
from assistant.journal.records import Remark
from assistant.journal.store import Journal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with Journal(Path(sys.argv[1])) as journal:
    resource.setrlimit(resource.RLIMIT_FSIZE, (2_000_000, resource.RLIM_INFINITY))
    confirmed = 0
    try:
        while True:
            journal.add(Remark("x" * 1000))
            confirmed += 1
    except JournalError as error:
        print(confirmed, error)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    print(journal.add(Remark("room again")).id)
"""


def test_a_full_disk_is_told_and_loses_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    writer = python(FILLER, str(path))
    out, err = writer.communicate(timeout=_NEVER_SECONDS)
    assert writer.returncode == 0, err
    first, second = out.strip().split("\n")
    confirmed = int(first.split()[0])
    assert confirmed > 10
    assert f"{path}:1: the disk is full: this was not recorded; make room" in first
    with Journal(path) as journal:
        assert len(journal.all(Remark)) == confirmed + 1
        assert journal.all(Remark)[-1].id == int(second)


def written(path: Path) -> Path:
    with Journal(path) as journal:
        journal.add_all([Remark("text " * 100) for _ in range(100)])
    return path


def truncate(path: Path) -> None:
    written(path)
    path.write_bytes(path.read_bytes()[:20_000])


def flip(path: Path) -> None:
    written(path)
    data = bytearray(path.read_bytes())
    for place in range(len(data) - 24_000, len(data) - 20_000):
        data[place] ^= 0xFF
    path.write_bytes(bytes(data))


def blank_header(path: Path) -> None:
    written(path)
    path.write_bytes(b"\0" * 100 + path.read_bytes()[100:])


def text_file(path: Path) -> None:
    path.write_text("this is no journal\n" * 100, "utf-8")


def foreign(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE other (x)")
        db.commit()


def newer(path: Path) -> None:
    written(path)
    with closing(sqlite3.connect(path)) as db:
        db.execute("INSERT INTO migration (name, at) VALUES ('tables-of-tomorrow', '')")
        db.commit()


@pytest.mark.parametrize("spoil", [truncate, blank_header, text_file, foreign, newer])
def test_a_journal_that_is_not_whole_is_refused_and_left_alone(tmp_path: Path, spoil: object) -> None:
    path = tmp_path / "journal.db"
    spoil(path)  # type: ignore[operator]
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    with pytest.raises(JournalError, match=r"left as it is|newer version") as refused:
        Journal(path)
    assert str(refused.value).startswith(f"{path}:1: ")
    assert refused.value.exit_code == ExitCode.REFUSED
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


def test_a_damaged_page_is_met_when_it_is_read_and_told_by_the_check(tmp_path: Path, run: Run) -> None:
    path = tmp_path / "home" / "journal.db"
    flip(path)
    before = path.read_bytes()
    with Journal(path, readonly=True) as journal, pytest.raises(JournalError, match="damaged journal"):
        journal.all(Remark)
    with pytest.raises(JournalError, match="left as it is"):
        Journal(path, whole=True)
    told = run("--home", str(path.parent), "journal", "check")
    assert (told.code, told.out) == (ExitCode.REFUSED, "")
    assert f"{path}:1: damaged journal: " in told.err
    assert "keep it for the desk" in told.err.splitlines()[-1]
    assert path.read_bytes() == before


KILLED = """
import os, signal, sys
from pathlib import Path
from assistant.journal.records import Remark
from assistant.journal.store import Journal
journal = Journal(Path(sys.argv[1]))
journal.add(Remark("x"))
if sys.argv[2] == "kill":
    os.kill(os.getpid(), signal.SIGKILL)
journal.close()
"""


@pytest.mark.parametrize(("how", "refused"), [("kill", True), ("close", False)])
def test_what_a_killed_program_left_is_looked_over_whole_and_left_as_it_is(
    tmp_path: Path, how: str, refused: bool
) -> None:
    """A page that no opening reads is damaged: it is found where a program ended without closing, and only there."""
    path = tmp_path / "journal.db"
    flip(path)
    python(KILLED, str(path), how).communicate(timeout=_NEVER_SECONDS)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir() if not file.name.endswith("-shm")}
    assert ("journal.db-wal" in before) == refused
    for _ in range(2):
        if not refused:
            Journal(path).close()
            continue
        with pytest.raises(JournalError, match="damaged journal"):
            Journal(path)
        assert {f.name: f.read_bytes() for f in tmp_path.iterdir() if not f.name.endswith("-shm")} == before


def test_a_journal_that_another_program_has_open_is_not_looked_over(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    flip(path)
    with Journal(path) as other:
        other.add(Remark("x"))
        assert path.with_name("journal.db-wal").stat().st_size
        with Journal(path) as journal:
            assert journal.add(Remark("y")).id == 102


def test_an_empty_file_becomes_a_journal_and_a_folder_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    path.touch()
    with Journal(path) as journal:
        assert journal.add(Visit("S-1")).id == 1
    folder = tmp_path / "folder"
    folder.mkdir()
    with pytest.raises(JournalError, match=r"cannot be read or written|damaged"):
        Journal(folder)


NOBODY = 65534


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Return a folder that everybody may go through; new files are readable unless they say not."""
    mask = os.umask(0o022)
    with TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
    os.umask(mask)


def modes(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mode & 0o777 for path in sorted(folder.rglob("*"))}


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become another user")
def test_another_user_of_the_machine_reads_nothing(run: Run, open_folder: Path) -> None:
    home = open_folder / "home"
    with Journal(home / "journal.db") as journal:
        recorder = Recorder(journal)
        recorder.open_visit("S-014", "Ina")
        recorder.remark("call Ina")
        assert run("--home", str(home), "visit", "report", "--output", str(open_folder / "r.md")).code == 0
        assert run("--home", str(home), "journal", "export", "--output", str(open_folder / "e.jsonl")).code == 0
        saved = save_text(open_folder / "saved", ("answer",), now(), "call Ina")
        (open_folder / "readable.txt").write_text("anybody", "utf-8")
        held = [open_folder / "r.md", open_folder / "e.jsonl", saved, *home.iterdir()]
        assert {path.name for path in home.iterdir()} == {"journal.db", "journal.db-wal", "journal.db-shm"}
        assert read_as_nobody(open_folder / "readable.txt") == "anybody"
        assert subprocess.run(["ls", home], user=NOBODY, group=NOBODY, extra_groups=[], capture_output=True).returncode
        home.chmod(0o755)  # Not the folder alone: each file by itself.
        assert [read_as_nobody(path) for path in held] == [""] * 6


def read_as_nobody(path: Path) -> str:
    """Return what another user can read of a file."""
    ran = subprocess.run(["cat", path], user=NOBODY, group=NOBODY, extra_groups=[], capture_output=True, check=False)
    return ran.stdout.decode()


def test_files_and_folders_are_made_for_their_owner_alone(open_folder: Path) -> None:
    with Journal(open_folder / "a" / "home" / "journal.db") as journal:
        journal.add(Remark("call Ina"))
        private = {"a": 0o700, "home": 0o700, "journal.db": 0o600, "journal.db-wal": 0o600, "journal.db-shm": 0o600}
        assert modes(open_folder) == private


def test_what_is_readable_already_is_tightened_by_recording_and_not_by_looking(open_folder: Path) -> None:
    path = open_folder / "journal.db"
    with Journal(path) as journal:
        journal.add(Remark("call Ina"))
        for file in open_folder.iterdir():
            file.chmod(0o644)
        Journal(path, readonly=True).close()
        assert set(modes(open_folder).values()) == {0o644}
        Journal(path).close()
        assert list(modes(open_folder).values()) == [0o600] * 3
    assert open_folder.stat().st_mode & 0o777 == 0o755
