"""Journals that somebody altered, each in another way: one clear line, exit code 3, and not a byte of them touched."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from assistant.journal.records import Act, Feedback, Photo, Question, Visit
from assistant.journal.store import Journal
from assistant.visiting.recorder import Recorder
from tests.cli.conftest import Run
from tests.unit.visiting.scene import DEMO

ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i FROM n) SELECT i FROM n"
Spoil = Callable[[Path], None]


@pytest.fixture
def journal_path(tmp_path: Path) -> Path:
    """Return a journal with a whole visit, closed by the program that wrote it."""
    path = tmp_path / "home" / "journal.db"
    with Journal(path) as journal:
        recorder = Recorder(journal)
        recorder.open_visit("S-014", "Ina")
        recorder.see("A-0101", "fault", condition="stick drifts")
        work = recorder.begin(DEMO, station="A-0101")
        journal.add(Act(work.id, "done", 1, "a step"))
        recorder.part("pad", "used", quantity=2, work=work)
        recorder.end(work, "replaced", minutes=12)
        recorder.remark("call the shop")
        recorder.count("pad", 3)
        visit = recorder.visit
        assert visit is not None
        asked = journal.add(Question("zorgle blorp?", "none", "procedure", visit=visit.id))
        journal.add(Feedback(asked.id, "not_helpful"))
        journal.add(Photo("a.jpg", visit=visit.id))
        recorder.see("A-0102", "pass")
    return path


def sql(*statements: str) -> Spoil:
    """Return what runs statements on a journal as nobody who wrote it would."""

    def spoil(path: Path) -> None:
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.execute("PRAGMA foreign_keys = OFF")
            db.execute("PRAGMA writable_schema = ON")
            for statement in statements:
                db.execute(statement)

    return spoil


def loose(table: str, assignment: str) -> Spoil:
    """Return what stores a value that the table, which is strict, does not take."""
    strict = "UPDATE sqlite_master SET sql = {} WHERE name = '" + table + "'"

    def spoil(path: Path) -> None:
        sql(strict.format("replace(replace(sql, ') STRICT', ')'), ' NOT NULL', '')"))(path)
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            ((kept,),) = db.execute(f"SELECT sql FROM sqlite_master WHERE name = '{table}'")
            assert "STRICT" not in kept
            db.execute(f"UPDATE {table} SET {assignment}")

    return spoil


def in_place_of(table: str, select: str) -> Spoil:
    return sql(f"DROP TABLE {table}", f"CREATE VIEW {table} AS {select}")


def bytes_at(place: int, new: bytes) -> Spoil:
    def spoil(path: Path) -> None:
        data = bytearray(path.read_bytes())
        data[place : place + len(new)] = new
        path.write_bytes(data)

    return spoil


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def no_file(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


TIME = "'at' must be a time such as"
DAMAGED = "damaged journal"
ALTERED: dict[str, tuple[Spoil, str]] = {
    "no time": (sql("UPDATE visit SET at = ''"), TIME),
    "bad time": (sql("UPDATE visit SET at = 'yesterday'"), TIME),
    "naive time": (sql("UPDATE visit SET at = '2026-11-25T16:23:37.250'"), TIME),
    "time of another zone": (sql("UPDATE visit SET at = '2026-11-25T16:23:37.250+01:00'"), TIME),
    "time of year 0": (sql("UPDATE visit SET at = '0000-01-01T00:00:00.000Z'"), TIME),
    "time at the end of time": (sql("UPDATE visit SET at = '9999-12-31T23:59:59.999Z'"), TIME),
    "time at its begin": (sql("UPDATE visit SET at = '0001-01-01T00:00:00.000Z'"), TIME),
    "time before time": (sql("UPDATE visit SET at = '0001-01-01T00:00:00.000+14:00'"), TIME),
    "unknown result": (sql("UPDATE sighting SET result = 'maybe'"), "sighting 1: 'result' must be pass or fault"),
    "unknown outcome": (sql("UPDATE outcome SET outcome = 'exploded'"), "outcome 1: 'outcome' must be mended"),
    "unknown act": (sql("UPDATE act SET act = 'danced'"), "act 1: 'act' must be acknowledged"),
    "unknown use": (sql("UPDATE part SET use = 'eaten'"), "part 1: 'use' must be used or wanted"),
    "unknown judgement": (sql("UPDATE feedback SET verdict = 'so so'"), "feedback 1: 'verdict' must be helpful"),
    "unknown word on playing": (sql("UPDATE sighting SET plays = 'perhaps'"), "sighting 1: 'plays' must be"),
    "quantity below zero": (sql("UPDATE part SET quantity = -2"), "part 1: 'quantity' must be whole number from 0"),
    "quantity beyond all": (sql(f"UPDATE part SET quantity = {2**62}"), "part 1: 'quantity' must be"),
    "count below zero": (sql("UPDATE count SET quantity = -1"), "count 1: 'quantity' must be"),
    "endless minutes": (sql("UPDATE outcome SET minutes = 9e999"), "outcome 1: 'minutes' must be number from 0"),
    "minutes below zero": (sql("UPDATE outcome SET minutes = -5"), "outcome 1: 'minutes' must be"),
    "too sure": (sql("UPDATE question SET confidence = 1e308"), "question 1: 'confidence' must be"),
    "number zero": (sql("UPDATE remark SET id = 0"), "remark 0: 'id' must be"),
    "step below zero": (sql("UPDATE act SET step = -1"), "act 1: 'step' must be"),
    "no visit": (sql("DELETE FROM visit"), "its visit is not there"),
    "no work": (sql("DELETE FROM work"), "its work is not there"),
    "no question": (sql("DELETE FROM question"), "its question is not there"),
    "no name of its own": (sql("DELETE FROM about"), "what tells it from other journals"),
    "a name of its own that is none": (sql("UPDATE about SET value = ''"), "what tells it from other journals"),
    "no UTF-8": (sql("UPDATE sighting SET condition = CAST(x'ff' AS TEXT)"), "Could not decode"),
    "bytes for text": (loose("sighting", "condition = x'00'"), DAMAGED),
    "nothing for text": (loose("sighting", "condition = NULL"), DAMAGED),
    "text for a number": (loose("part", "quantity = 'two'"), DAMAGED),
    "a long text": (sql("UPDATE remark SET text = printf('%.*c', 200000, 'x')"), "remark 1: 'text' must be"),
    "50 MB of text": (sql("UPDATE remark SET text = printf('%.*c', 50000000, 'x')"), "too big"),
    "view of pictures": (in_place_of("photo", ENDLESS), "a view 'photo' is no part of a journal"),
    "view of migrations": (in_place_of("migration", ENDLESS), "a view 'migration'"),
    "view of the own name": (in_place_of("about", ENDLESS), "a view 'about'"),
    "trigger": (
        sql("CREATE TRIGGER t AFTER INSERT ON remark BEGIN DELETE FROM question; END"),
        "a trigger 't' is no part",
    ),
    "foreign table": (sql("CREATE TABLE other (x)"), "its tables are not those of a journal"),
    "index of expressions": (sql("CREATE INDEX i ON remark (upper(text))"), "its tables are not those"),
    "table lacking": (sql("DROP TABLE photo"), "its tables are not those of a journal"),
    "column more": (sql("ALTER TABLE remark ADD COLUMN more TEXT"), "its tables are not those of a journal"),
    "computed column": (
        sql("ALTER TABLE remark ADD COLUMN more TEXT AS (upper(text))"),
        "its tables are not those of a journal",
    ),
    "virtual table": (
        sql("INSERT INTO sqlite_master VALUES ('table', 'v', 'v', 0, 'CREATE VIRTUAL TABLE v USING fts5(x)')"),
        "its tables are not those of a journal",
    ),
    "schema that is none": (sql("UPDATE sqlite_master SET sql = 'CREATE' WHERE name = 'photo'"), DAMAGED),
    "another program": (sql("PRAGMA application_id = 7"), "not a journal of this program"),
    "newer": (sql("INSERT INTO migration (name, at) VALUES ('of-tomorrow', '')"), "newer version of this program"),
    "older than it looks": (sql("DELETE FROM migration WHERE id >= 2"), "its tables are not those of a journal"),
    "cut": (cut, DAMAGED),
    "root page of garbage": (bytes_at(100, b"\xa5" * 500), DAMAGED),
    "page size of none": (bytes_at(16, b"\0\3"), DAMAGED),
    "no header": (bytes_at(0, b"\0" * 100), DAMAGED),
    "a pipe": (no_file, "it is no file"),
}
COMMANDS = (
    ("visit", "status"),
    ("visit", "report"),
    ("journal", "export"),
    ("desk", "unanswered", "--journal", "home/journal.db"),
)


def seen(folder: Path) -> dict[str, str]:
    """Return the files of a folder with what is in them."""
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
        for path in sorted(folder.iterdir())
    }


@pytest.mark.parametrize("kind", ALTERED)
def test_an_altered_journal_is_one_clear_line(run: Run, journal_path: Path, kind: str) -> None:
    spoil, line = ALTERED[kind]
    spoil(journal_path)
    before = seen(journal_path.parent)
    ran = [run(*command) for command in COMMANDS]
    refused = [told for told in ran if told.code == 3]
    assert (ran[2].code, ran[3].code) == (3, 3)
    assert all("Traceback" not in told.err for told in ran)
    assert all(told.code in (0, 1, 2) for told in ran if told.code != 3)  # 2: of no visit there is no report.
    for told in refused:
        assert told.err.count("\n") == 1, told.err
        assert "journal.db:1: " in told.err or "no journal here" in told.err
    assert any(line in told.err for told in refused), [told.err for told in refused]
    assert seen(journal_path.parent) == before


def test_the_journals_are_at_least_those_of_the_findings() -> None:
    assert len(ALTERED) >= 35


LOOKING = (
    *COMMANDS[:3],
    ("visit", "list"),
    ("visit", "figures"),
    ("visit", "plan"),
    ("visit", "parts"),
    ("visit", "bag"),
    ("visit", "bag", "--forecast"),
    ("visit", "first", "pad-stick-cap", "disc-clean"),
    ("journal", "show"),
    ("journal", "export", "--format", "csv", "--kind", "visit"),
)


def test_looking_alters_nothing(run: Run, journal_path: Path, mini_pack_path: Path) -> None:
    before = seen(journal_path.parent)
    for command in (*LOOKING, COMMANDS[3]):
        told = run("--pack", str(mini_pack_path), *command)
        assert told.code == 0, (command, told)
        assert seen(journal_path.parent) == before == {"journal.db": before["journal.db"]}, command


def test_looking_at_nothing_makes_nothing(run: Run, tmp_path: Path, mini_pack_path: Path) -> None:
    for command in LOOKING:
        told = run("--pack", str(mini_pack_path), *command)
        assert told.code in (0, 1, 2), (command, told)
        assert not (tmp_path / "home").exists(), command


def test_a_visit_that_was_taken_back_and_has_sightings_is_one_clear_line(run: Run, journal_path: Path) -> None:
    with Journal(journal_path) as journal:
        entry = journal.every(Visit)[0].entry
    assert entry
    sql(f"INSERT INTO undo (at, entry) VALUES ('2026-11-25T16:23:37.250Z', {entry})")(journal_path)
    told = run("visit", "figures")
    assert (told.code, told.out) == (3, "")
    assert "damaged journal: sighting 1: its visit was taken back" in told.err
    assert told.err.count("\n") == 1
    assert all("Traceback" not in run(*command).err for command in COMMANDS)
