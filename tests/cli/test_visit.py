"""A visit on the command line, from opening to closing: what is typed, what is told, what is left."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Ran, Run

FIVE = ("A-0101", "A-0102", "A-0103", "A-0104", "A-0105")
CAP = ("--note", "pad-stick-cap", "--outcome", "replaced", "--minutes", "7.5", "--used", "wired pad")
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\6\0\0\0\x1f\x15\xc4\x89"
PNG += b"\0\0\0\rIDATx\x9cc\xfc\xff\x9f\xa1\x1e\0\7\x82\2\x7f=\xc8H\xef\0\0\0\0IEND\xaeB`\x82"


@pytest.fixture(autouse=True)
def _pack(mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))


def done(run: Run, *words: str, code: int = 0) -> Ran:
    ran = run("visit", *words)
    assert ran.code == code, (words, ran)
    return ran


@pytest.fixture
def visited(run: Run, tmp_path: Path) -> Run:
    """Two shops: in one a pad replaced and a display handed over, in the other a pass."""
    Path(tmp_path, "torn.png").write_bytes(PNG)
    done(run, "open", "S-014", "--rep", "Ada")
    done(run, "record", "A-0141", "fault", "stick", "cap", "torn", "--kind", "pad", "--photo", "torn.png", *CAP)
    done(run, "record", "A-0142", "fault", "no picture", "--kind", "screen", "--wanted", "2 video leads")
    done(run, "hand-over", "A-0142", "dark after", "two leads", "--number", "J-77", "--taken-by", "Kim")
    done(run, "close", "--remark", "shop was busy")
    done(run, "open", "S-020", "--new")
    done(run, "record", "A-0201", "pass", "--kind", "pad")
    done(run, "close")
    return run


def test_visit_alone_tells_where_the_visit_stands_as_status_does_f8(visited: Run) -> None:
    nothing = done(visited, code=1)
    assert "No visit is open. The last one: S-020" in nothing.out
    assert "assistant visit open SHOP" in nothing.out
    done(visited, "open", "s014")
    told = done(visited)
    assert "at S-014 by Ada" in told.out
    assert "A-0141: not seen yet" in told.out
    assert "A-0142: no picture" in told.out
    assert "usage" not in told.out
    assert done(visited, "status").out == told.out


def test_the_rep_of_the_last_visit_is_remembered(visited: Run) -> None:
    assert "by Ada" in done(visited, "open", "S-020").out
    assert "by Bo" in (done(visited, "undo").out + done(visited, "open", "S-020", "--rep", "Bo").out)


def test_what_is_left_open_is_shown_when_a_visit_is_opened(visited: Run) -> None:
    opened = done(visited, "open", "S-014")
    assert "Left open here:" in opened.out
    assert "A-0142: no picture" in opened.out
    assert "J-77" in opened.out
    assert "Not seen yet: A-0141, A-0142 (2 stations)." in opened.out
    second = done(visited, "open", "S-020", code=2)
    assert "still open" in second.err


def test_arrival_tells_permission_and_what_was_switched_off(run: Run) -> None:
    done(run, "open", "S-014", "--allowed-by", "Kim", "--switched-off", "A-0101=too loud", "A-0102")
    told = done(run)
    assert "A-0101: not seen yet; the staff had switched it off: too loud" in told.out
    kinds = [json.loads(line) for line in run("journal", "export").out.splitlines()]
    assert [row["allowed_by"] for row in kinds if row["kind"] == "arrival"] == ["Kim"]
    assert [row["station"] for row in kinds if row["kind"] == "switchedoff"] == ["A-0101", "A-0102"]


def test_a_visit_that_cannot_be_opened_whole_is_not_opened(run: Run) -> None:
    done(run, "open", "S-014", "--switched-off", "loud music here=too loud", code=2)
    assert "No visit is open" in done(run, code=1).out


def test_five_stations_one_worked_fault_take_four_commands(run: Run) -> None:
    """Four pass and one fault is worked: one round before made them known; the count is of commands."""
    done(run, "open", "S-014")
    done(run, "pass", *FIVE)
    done(run, "close")
    commands = (
        ("open", "S-014"),
        ("record", "0101", "fault", "stick cap torn", *CAP),
        ("rest", "--yes"),
        ("close",),
    )
    for words in commands:
        done(run, *words)
    report = json.loads(done(run, "report", "--format", "json").out)
    totals = report["visits"][0]["totals"]
    assert (totals["stations"], totals["passes"], totals["faults"]) == (5, 4, 1)
    assert totals["outcomes"] == [["replaced", 1]]


def test_four_passes_and_a_fault_recorded_one_by_one(run: Run) -> None:
    done(run, "open", "S-014")
    for label in FIVE[:4]:
        done(run, "record", label, "pass")
    done(run, "record", FIVE[4], "fault", "stick cap torn", *CAP)
    assert "A-0105: replaced" in done(run).out
    assert "is closed" in done(run, "close").out


def test_rest_shows_who_will_pass_and_asks_first_a5(run: Run) -> None:
    """A5: "all pass" made a station called ALL."""
    done(run, "open", "S-014")
    done(run, "pass", *FIVE)
    done(run, "close")
    done(run, "open", "S-014")
    done(run, "pass", "A-0101")
    for words in (("pass", "all"), ("record", "all", "pass")):
        assert "assistant visit rest" in done(run, *words, code=2).err or "no digit" in done(run, *words, code=2).err
    asked = done(run, "rest", code=1)
    assert "Will pass: A-0102, A-0103, A-0104, A-0105 (4 stations)." in asked.out
    assert "assistant visit rest --yes" in asked.out
    assert "Not seen yet: A-0102" in done(run, "record", "A-0101", "pass").out
    told = done(run, "rest", "--yes")
    assert "The rest pass: 4 stations. Recorded." in told.out
    assert "ALL" not in done(run).out
    assert done(run, "rest", "--yes", code=2).err


def test_rest_leaves_out_what_is_out_of_service_or_switched_off(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "pass", "A-0101", "A-0103")
    done(run, "record", "A-0102", "fault", "hot", "--note", "safety-swollen-cell", "--outcome", "out-of-service")
    done(run, "close", "--anyway")
    done(run, "open", "S-014", "--switched-off", "A-0103=loud")
    told = done(run, "rest", "--yes")
    assert "Will pass: A-0101 (1 station)." in told.out
    assert "A-0102 (out of service: hot)" in told.out
    assert "A-0103 (switched off by the staff)" in told.out


def test_closing_names_what_must_not_be_forgotten_and_needs_anyway_a5(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "pass", *FIVE)
    done(run, "close")
    done(run, "open", "S-014")
    done(run, "record", "A-0101", "fault", "hot", "--note", "safety-swollen-cell", "--outcome", "out-of-service")
    done(run, "incident", "near_miss", "somebody nearly fell", "--station", "A-0102")
    kept = done(run, "close", code=1)
    assert "A-0101 is out of service" in kept.out
    assert "Nobody was told of this: somebody nearly fell" in kept.out
    assert "Not seen: A-0102, A-0103, A-0104, A-0105 (4 stations)." in kept.out
    assert "assistant visit close --anyway" in kept.out
    assert "at S-014" in done(run).out
    closed = done(run, "close", "--anyway")
    assert "NOT HANDED OVER" in closed.out
    assert "The whole report: assistant visit report --visit 2" in closed.out


def test_closing_with_who_took_it_over_and_the_next_visit(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "pass", "A-0101")
    assert "--taken-by" in done(run, "close", "--signed", "typed", code=2).err
    done(run, "close", "--taken-by", "Kim", "--signed", "typed", "--next-visit", "in 3 days")
    rows = [json.loads(line) for line in run("journal", "export").out.splitlines()]
    closing = next(row for row in rows if row["kind"] == "closing")
    assert (closing["taken_by"], closing["signed"], len(closing["next_visit"])) == ("Kim", "typed", len("2026-11-30"))


def test_undo_takes_back_the_last_entry_and_says_what(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "record", "A-0101", "fault", "stick cap torn", *CAP)
    assert "Taken back: A-0101: stick cap torn, replaced." in done(run, "undo").out
    assert "A-0101" not in done(run).out
    assert "Taken back: visit opened" in done(run, "undo").out
    assert "nothing to take back" in done(run, "undo", code=2).err


def test_undo_after_closing_opens_the_visit_again(visited: Run) -> None:
    assert "visit closed" in done(visited, "undo").out
    assert "at S-020" in done(visited).out


def test_list_names_every_visit_with_its_shop_day_and_state(visited: Run) -> None:
    assert "closed" in done(visited, "list").out.splitlines()[0]
    done(visited, "open", "S-014")
    first, second, third = done(visited, "list").out.splitlines()
    assert first.startswith("3: S-014, ")
    assert first.endswith("Ada, open")
    assert second.startswith("2: S-020, ")
    assert third.startswith("1: S-014, ")


def test_list_of_an_empty_journal_says_what_to_type(run: Run) -> None:
    assert "assistant visit open SHOP" in done(run, "list", code=1).out


def test_hand_over_says_what_is_still_to_be_asked(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "record", "A-0101", "fault", "no picture")
    told = done(run, "hand-over", "A-0101", "dark after two leads", "--by-when", "tomorrow")
    assert "A-0101: handed over to" in told.out
    assert "Still to ask the desk for: its number" in told.out
    assert "by when" not in told.out
    for word in ("escalat", "job number", "promised", "contact"):
        assert word not in (told.out + done(run).out).lower()


def test_arrange_names_the_open_points_where_there_are_several(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "record", "A-0101", "fault", "no picture", "--wanted", "video lead")
    many = done(run, "arrange", "A-0101", "--owner", "Kim", code=2)
    assert "A-0101 has 2 open points: fault (no picture); part (1 video lead)" in many.err
    assert "--point fault or --point part" in many.err
    told = done(run, "arrange", "A-0101", "--owner", "Kim", "--by-when", "2999-01-01", "--point", "part", code=2)
    assert "two years" in told.err
    assert (
        "Kim sees to it by"
        in done(run, "arrange", "A-0101", "--owner", "Kim", "--by-when", "tomorrow", "--point", "part").out
    )
    assert "Kim" in done(run).out
    done(run, "pass", "A-0102")
    assert "open points here: A-0101" in done(run, "arrange", "A-0102", "--owner", "Kim", code=2).err


def test_swap_and_incident_stand_in_the_report(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "pass", "A-0101")
    done(run, "swap", "A-0101", "console", "--out", "C-1", "--in", "C-2")
    assert "same number" in done(run, "swap", "A-0101", "console", "--out", "C-1", "--in", "c-1", code=2).err
    told = done(run, "incident", "injury", "cut a thumb", "--told", "Kim", "--station", "0101")
    assert "Somebody was hurt at A-0101: cut a thumb. Recorded. Kim was told." in told.out
    report = done(run, "report").out
    for text in ("C-1", "C-2", "cut a thumb", "Kim"):
        assert text in report.replace("\\", ""), text


def test_what_was_recorded_stands_in_the_report(visited: Run, tmp_path: Path) -> None:
    told = done(visited, "report", "--visit", "1", "--full").out.replace("\\", "")
    for text in ("S-014", "A-0141", "stick cap torn", "pad-stick-cap", "J-77", "shop was busy"):
        assert text in told, text
    done(visited, "report", "--visit", "1", "--format", "html", "--output", "report.html")
    assert "<script" not in (tmp_path / "report.html").read_text("utf-8")
    again = done(visited, "report", "--visit", "1", "--format", "html", "--output", "report.html", code=3)
    assert "is there already" in again.err
    assert json.loads(done(visited, "report", "--visit", "1", "--format", "json").out)
    message = done(visited, "report", "--visit", "1", "--format", "message").out
    assert "A-0142" in message
    assert "dark after two leads" in message


def test_a_report_of_a_visit_that_is_not_there_names_which_are_f8(visited: Run) -> None:
    assert "there are visits 1 to 2" in done(visited, "report", "--visit", "99", code=2).err
    assert "type the number of the visit" in done(visited, "report", "--visit", "last", code=2).err


def test_a_report_of_a_period_and_of_both_is_refused(visited: Run) -> None:
    period = done(visited, "report", "--since", "2020-01-01")
    assert "S-014" in period.out.replace("\\", "")
    assert "S-020" in period.out.replace("\\", "")
    both = done(visited, "report", "--since", "2020-01-01", "--visit", "1", code=2)
    assert "--since and --until" in both.err


def test_six_at_once_open_one_visit(mini_pack_path: Path) -> None:
    command = [sys.executable, "-m", "assistant", "visit", "open", "S-014"]
    started = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL)
        for _ in range(6)
    ]
    told = [process.communicate(timeout=600) for process in started]
    codes = sorted(process.returncode for process in started)
    assert codes == [0, 2, 2, 2, 2, 2], told
    refused = [err for process, (_, err) in zip(started, told, strict=True) if process.returncode]
    assert all(b"is still open since" in err for err in refused)


def test_a_label_from_a_stranger_reaches_no_terminal_as_a_command(run: Run) -> None:
    assert run("visit", "open", "S-\x1b]0;x\x07014").code in {0, 2}
    run("visit", "open", "S-014")
    seen = done(run, "record", "A-01", "fault", "\x1b[2J\u202e[red]dark")
    refused = done(run, "record", "A-\x1b[31m", "fault", "x", code=2)
    for told in (seen, refused, done(run), run("visit", "close"), run("visit", "report")):
        assert "\x1b" not in told.out + told.err
        assert "\u202e" not in told.out + told.err


def test_the_demo_fills_an_empty_journal_and_no_other(run: Run) -> None:
    made = done(run, "demo")
    assert "made-up visits. Look: assistant visit" in made.out
    assert "holds records" in done(run, "demo", code=2).err


@pytest.mark.parametrize(("answer", "code", "seen"), [(b"y\n", 0, 2), (b"n\n", 1, 0), (b"\n", 1, 0)])
def test_rest_asks_on_a_terminal(run: Run, answer: bytes, code: int, seen: int) -> None:
    for words in (("open", "S-014"), ("pass", "A-0101", "A-0102"), ("close",), ("open", "S-014")):
        done(run, *words)
    outer, inner = pty.openpty()
    try:
        os.write(outer, answer)
        ran = subprocess.run(
            [sys.executable, "-m", "assistant", "visit", "rest"], stdin=inner, capture_output=True, check=False
        )
    finally:
        os.close(outer)
        os.close(inner)
    assert ran.returncode == code
    assert b"Record it? y or n: " in ran.stderr
    assert f"{seen} seen" in done(run).out
