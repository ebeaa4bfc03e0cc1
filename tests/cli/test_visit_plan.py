"""Where to go, with what, what to look at first, and what it all comes to: plain for a rep, whole for QA."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.cli.conftest import Ran, Run

CAP = ("--note", "pad-stick-cap", "--outcome", "replaced", "--minutes", "7.5", "--used", "2 wired pads")
STATISTICS = ("n =", "poisson", "probability", "[0.", "availability", "interval", "expected")


@pytest.fixture(autouse=True)
def _pack(mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))


def done(run: Run, *words: str, code: int = 0) -> Ran:
    ran = run("visit", *words)
    assert ran.code == code, (words, ran)
    return ran


@pytest.fixture
def visited(run: Run) -> Run:
    """Two shops: in one a pad replaced and a lead wanted, in the other something is due."""
    done(run, "open", "S-014")
    done(run, "record", "A-0141", "fault", "stick cap torn", "--kind", "pad", *CAP)
    done(run, "record", "A-0142", "fault", "no picture", "--wanted", "2 video leads")
    done(run, "close")
    done(run, "open", "S-020", "--new")
    done(run, "record", "A-0201", "fault", "dark")
    done(run, "hand-over", "A-0201", "dark after two leads", "--by-when", "tomorrow")
    done(run, "close")
    return run


def test_the_plan_puts_what_is_due_first(visited: Run) -> None:
    first, *rest = done(visited, "plan").out.splitlines()
    assert first.startswith("1. S-020: due ")
    assert any(line.startswith("2. S-014") for line in rest)
    assert "A-0142: no picture" in "".join(rest)
    assert done(visited, "plan", "s014").out.startswith("1. S-014")


def test_the_plan_goes_by_travel_minutes_where_they_are_told(visited: Run, tmp_path: Path) -> None:
    travel = tmp_path / "travel.csv"
    travel.write_text("from,to,minutes\nHome,S-014,10\nHome,S-020,25\nS-014,S-020,20\n")
    told = done(visited, "plan", "--travel", "travel.csv", "--start", "home").out
    assert "1. S-020: due " in told
    assert "25 min on the way" in told
    travel.write_text("from,to,minutes\nHome,S-014,soon\n")
    refused = done(visited, "plan", "--travel", "travel.csv", code=3)
    assert "travel.csv:2: minutes must be" in refused.err


def test_the_plan_of_an_empty_journal(run: Run) -> None:
    assert "Nothing is open in any shop" in done(run, "plan").out


def test_the_bag_falls_when_a_part_is_used_f7(visited: Run) -> None:
    """F7: a rep wants to know what is in the bag, not what statistics say."""
    assert "Nothing was counted yet" in done(visited, "bag").out
    told = done(visited, "bag", "4 wired pads", "no video leads", "cabinet key")
    assert "Counted: 4 wired pads, 0 video leads, 1 cabinet key. Recorded." in told.out
    done(visited, "open", "S-014")
    done(visited, "record", "A-0141", "fault", "stick cap torn", *CAP)
    told = done(visited, "bag")
    assert "2 wired pads (counted " in told.out
    assert "2 used since" in told.out
    rows = list(csv.DictReader(io.StringIO(done(visited, "bag", "--format", "csv").out)))
    assert next(row["left"] for row in rows if row["part"] == "wired pad") == "2"
    assert "no part" in done(visited, "bag", "3 unicorns", code=2).err
    assert "Taken back: A-0141" in done(visited, "undo").out
    assert "4 wired pads" in done(visited, "bag").out


def test_a_count_is_taken_whole_or_not(run: Run) -> None:
    done(run, "bag", "4 wired pads", "3 unicorns", code=2)
    assert "Nothing was counted yet" in done(run, "bag").out


def test_the_forecast_of_the_bag_is_for_qa(visited: Run) -> None:
    told = done(visited, "bag", "--forecast", "--days", "30", "--lead-days", "7", "--level", "0.95")
    assert "wired pad (2 used" in told.out
    assert "Carry: what lasts 7 days with probability 0.95" in told.out
    assert "between 0 and 1" in done(visited, "bag", "--forecast", "--level", "2", code=2).err
    assert "type a number of days" in done(visited, "bag", "--forecast", "--days", "0", code=2).err
    assert done(visited, "bag", "--forecast", "4 wired pads", code=2).err


def test_parts_to_order_in_words_and_as_csv(visited: Run) -> None:
    told = done(visited, "parts").out
    assert "order 2 wired pads (2 used)" in told
    assert "order 2 video leads (2 wanted: A-0142)" in told
    rows = {row["part"]: row for row in csv.DictReader(io.StringIO(done(visited, "parts", "--format", "csv").out))}
    assert (rows["wired pad"]["used"], rows["video lead"]["wanted"], rows["video lead"]["order"]) == ("2", "2", "2")
    later = done(visited, "parts", "--since", "2999-01-01", "--format", "csv")
    assert [row for row in csv.DictReader(io.StringIO(later.out)) if row["used"] != "0"] == []


def test_figures_are_plain_for_a_rep_and_whole_for_qa_f7(visited: Run) -> None:
    """F7: a rep read "57/96 = 0.594 [0.489, 0.693], n = 96" and "operational availability"."""
    plain = done(visited, "figures").out
    assert "1 of 1 stay" in plain
    for word in STATISTICS:
        assert word not in plain.lower(), word
    full = done(visited, "figures", "--full").out
    assert "pad-stick-cap: 7.5 (1)" in full
    assert "n = " in full
    data = json.loads(done(visited, "figures", "--format", "json").out)
    assert set(data) == {"figures", "notes", "stations", "repeats"}
    assert all(figure["definition"] for figure in data["figures"])


def test_which_check_first_is_plain_for_a_rep_and_whole_for_qa_f7(visited: Run) -> None:
    plain = done(visited, "first", "screen-no-signal", "power-strip-dead").out
    assert "then" in plain
    for word in STATISTICS:
        assert word not in plain.lower(), word
    full = done(visited, "first", "screen-no-signal", "power-strip-dead", "--full")
    assert full.out.count("Note ") == 2
    assert "Expected minutes in this order" in full.out
    assert "Advice only" in full.out
    assert "1 cases" not in full.out
    assert "no two checks" in done(visited, "first", "power-strip-dead", code=2).err
    assert "\x1b" not in done(visited, "first", "power-\x1b[31mred", code=2).err
