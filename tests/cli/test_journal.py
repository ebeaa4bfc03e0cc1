"""``assistant journal``: shown, exported, explained, and erased when it is old."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from assistant.cli import journal as command
from assistant.journal.records import KINDS, Remark, Visit, kind_name
from assistant.journal.store import Journal, now
from assistant.visiting.recorder import Recorder
from tests.cli.conftest import Run


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A closed visit of forty days ago, and one of today that is open."""
    path = tmp_path / "home" / "journal.db"
    with Journal(path) as journal:
        for clock in (_days_ago(40), now):
            recorder = Recorder(journal, clock=clock)
            recorder.open_visit("S-014", "Ada")
            recorder.see("A-0101", "pass")
            recorder.see("A-0102", "fault", condition="torn")
            if clock is not now:
                recorder.close_visit()
    return path


def _days_ago(days: int) -> Callable[[], datetime]:
    return lambda: now() - timedelta(days=days)


def records(run: Run) -> list[str]:
    return run("journal", "export").out.splitlines()[1:]


def test_erasing_tells_first_what_would_go_and_how_to_export_it_b9(run: Run, kept: Path) -> None:
    """B9: without --yes it did not say how much would go, nor that nothing was exported."""
    before = records(run)
    told = run("journal", "erase", "--before", "yesterday")
    assert told.code == 1
    assert "1 visit, 1 closing of a visit, 2 passes and faults, 4 entries. Nothing is erased yet." in told.out
    assert "assistant journal export --output journal.jsonl" in told.out
    day = (now().astimezone().date() - timedelta(days=1)).isoformat()
    assert f"assistant journal erase --before {day} --yes" in told.out
    assert "may still be in exports, reports and saved answers" in told.out
    assert records(run) == before
    assert {path.name for path in kept.parent.iterdir()} == {"journal.db"}


def test_erasing_takes_what_it_told_b9(run: Run, kept: Path) -> None:
    told = run("journal", "erase", "--before", "yesterday").out
    done = run("journal", "erase", "--before", "yesterday", "--yes")
    assert done.code == 0
    assert "1 visit, 1 closing of a visit, 2 passes and faults, 4 entries" in told
    assert "1 visit, 1 closing of a visit, 2 passes and faults, 4 entries" in done.out
    assert "may still be in exports, reports and saved answers" in done.out
    left = [json.loads(line) for line in records(run)]
    assert [row["id"] for row in left if row["kind"] == "visit"] == [2]
    assert "nothing" in run("journal", "erase", "--before", "yesterday", "--yes").out


@pytest.mark.parametrize("day", ["tomorrow", "2999-01-01"])
def test_a_day_ahead_erases_nothing_b9(run: Run, kept: Path, day: str) -> None:
    """B9: a day to come, with --yes, wiped everything."""
    before = records(run)
    refused = run("journal", "erase", "--before", day, "--yes")
    assert refused.code == 2
    assert "still to come: type a day up to today" in refused.err
    assert records(run) == before


def test_a_day_long_ago_is_taken(run: Run, kept: Path) -> None:
    told = run("journal", "erase", "--before", "2011-01-01")
    assert (told.code, ": nothing. Nothing is erased yet." in told.out) == (1, True)


def test_what_would_go_is_reckoned_beside_another_process_that_has_it_open(run: Run, kept: Path) -> None:
    with Journal(kept) as other:
        Recorder(other).remark("written, and still in the log")
        told = run("journal", "erase", "--before", "yesterday")
        assert "1 visit, 1 closing of a visit, 2 passes and faults, 4 entries" in told.out
    assert any("still in the log" in line for line in records(run))


def test_the_old_word_is_told_what_is_known(run: Run) -> None:
    refused = run("journal", "purge", "--before", "2011-01-01")
    assert refused.code == 2
    assert "Known: show, export, schema, check, erase" in refused.err
    assert "a word comes after assistant journal: show, export, schema, check, erase" in run("journal").err


def test_every_kind_has_its_words() -> None:
    assert set(command._WORDS) == {kind_name(kind) for kind in KINDS}


def test_show_export_and_schema_stay(run: Run, kept: Path) -> None:
    shown = run("journal", "show").out
    assert shown.startswith(f"{kept}, journal ")
    assert "sighting: 4" in shown
    table = list(csv.DictReader(io.StringIO(run("journal", "export", "--format", "csv", "--kind", "visit").out)))
    assert [row["store"] for row in table] == ["S-014", "S-014"]
    assert "--kind" in run("journal", "export", "--format", "csv").err
    assert "release: " in run("journal", "schema").out


def test_the_check_tells_how_far_it_is_and_what_is_wrong_and_alters_nothing(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "home" / "journal.db"
    assert run("journal", "check").code == 1
    with Journal(path) as journal:
        visit = journal.add(Visit("S-1"))
        journal.add_all([Remark("one", visit=visit.id), Remark("two", visit=visit.id)])
    whole = run("journal", "check")
    assert (whole.code, whole.out) == (0, f"{path}: whole\n")
    assert "Reading the journal" in whole.err
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE remark SET at = 'yesterday' WHERE id = 1")
        db.execute("UPDATE remark SET visit = 9 WHERE id = 2")
        db.commit()
    before = path.read_bytes()
    told = run("journal", "check")
    assert (told.code, told.out) == (3, "")
    assert f"{path}:1: damaged journal: remark 2: its visit is not there" in told.err
    assert f"{path}:1: damaged journal: remark 1: 'at' must be a time" in told.err
    assert path.read_bytes() == before
