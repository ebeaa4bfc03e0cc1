"""A visit on the command line: recorded line by line, told in order, parts, figures and report."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run

WORK = (
    "--note",
    "pad-stick-cap",
    "--outcome",
    "replaced",
    "--minutes",
    "7.5",
    "--used",
    "wired pad",
    "--photo",
    "torn.jpg",
)


@pytest.fixture(autouse=True)
def _pack(mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))


@pytest.fixture
def visited(run: Run) -> Run:
    """Two shops: in one a pad replaced and a display handed over, in the other a pass and a part wanted."""
    lines = (
        ("open", "S-014", "--rep", "Ada"),
        ("record", "A-0141", "fault", "stick", "cap", "torn", "--kind", "pad", *WORK),
        ("record", "A-0142", "fault", "no picture", "--kind", "screen", "--wanted", "2 video lead"),
        ("escalate", "A-0142", "dark after", "two leads", "--job", "J-77", "--contact", "desk"),
        ("close", "--remark", "shop was busy"),
        ("open", "S-020"),
        ("record", "A-0201", "pass", "--kind", "pad"),
        ("close",),
    )
    for line in lines:
        done = run("visit", *line)
        assert done.code == 0, (line, done.err)
    return run


def test_a_kind_of_station_is_one_of_the_notes(run: Run) -> None:
    assert run("visit", "open", "S-1").code == 0
    refused = run("visit", "record", "A-1", "pass", "--kind", "kiosk")
    assert refused.code == 2
    assert "kind of station must be one of all, disc, pad, hand, screen, vr" in refused.err
    assert run("visit", "record", "A-1", "pass", "--kind", "vr").code == 0


def test_what_was_recorded_stands_in_the_report(visited: Run, tmp_path: Path) -> None:
    told = visited("visit", "report", "--visit", "1")
    assert told.code == 0
    for text in (
        "S-014",
        "A-0141",
        "stick cap torn",
        "pad-stick-cap",
        "torn.jpg",
        "J-77",
        "2 video lead",
        "shop was busy",
    ):
        assert text in told.out, text
    page = visited("visit", "report", "--visit", "1", "--format", "html", "--output", "report.html")
    assert page.code == 0
    assert "<script" not in (tmp_path / "report.html").read_text("utf-8")
    again = visited("visit", "report", "--visit", "1", "--format", "html", "--output", "report.html")
    assert again.code == 3
    assert "is there already" in again.err
    assert json.loads(visited("visit", "report", "--visit", "1", "--format", "json").out)
    message = visited("visit", "report", "--visit", "1", "--format", "message").out
    assert "A-0142" in message
    assert "dark after two leads" in message


def test_a_report_of_a_period_and_of_both_is_refused(visited: Run) -> None:
    period = visited("visit", "report", "--since", "2020-01-01")
    assert period.code == 0
    assert "S-014" in period.out
    assert "S-020" in period.out
    both = visited("visit", "report", "--since", "2020-01-01", "--visit", "1")
    assert both.code == 2
    assert visited("visit", "report", "--visit", "99").code == 2


def test_what_is_left_open_is_shown_at_the_next_visit(visited: Run) -> None:
    opened = visited("visit", "open", "S-014")
    assert opened.code == 0
    assert "A-0142" in opened.out
    status = visited("visit", "status")
    assert status.code == 0
    assert "A-0141 not seen yet" in status.out
    assert "Open here:" in status.out
    second = visited("visit", "open", "S-020")
    assert second.code == 2
    assert "open" in second.err


def test_parts_to_order_and_to_carry(visited: Run) -> None:
    order = visited("visit", "parts", "--format", "csv")
    rows = {row["part"]: row for row in csv.DictReader(io.StringIO(order.out))}
    assert (rows["wired pad"]["used"], rows["video lead"]["wanted"], rows["video lead"]["order"]) == ("1", "2", "2")
    assert "order 2 video lead" in visited("visit", "parts").out
    bag = visited("visit", "parts", "--bag", "--days", "30", "--lead-days", "7", "--level", "0.95")
    assert bag.code == 0
    assert "wired pad (1 used" in bag.out
    assert "Carry: what lasts 7 days with probability 0.95" in bag.out
    later = visited("visit", "parts", "--since", "2999-01-01", "--format", "csv")
    assert [row for row in csv.DictReader(io.StringIO(later.out)) if row["used"] != "0"] == []


def test_figures_name_what_they_count(visited: Run) -> None:
    told = visited("visit", "figures")
    assert told.code == 0
    assert "pad-stick-cap: 7.5 (1)" in told.out
    assert "n = " in told.out
    data = json.loads(visited("visit", "figures", "--format", "json").out)
    assert set(data) == {"figures", "notes", "stations", "repeats"}
    assert all(figure["definition"] for figure in data["figures"])


def test_which_check_first(visited: Run) -> None:
    several = visited("visit", "first", "screen-no-signal", "power-strip-dead")
    assert several.code == 0
    assert several.out.count("Note ") == 2
    assert "Expected minutes in this order" in several.out
    assert "Advice only" in several.out
    alone = visited("visit", "first", "power-strip-dead")
    assert alone.code == 2
    assert "no two checks" in alone.err
    unknown = visited("visit", "first", "power-\x1b[31mred")
    assert unknown.code == 2
    assert "\x1b" not in unknown.err


@pytest.mark.parametrize(
    ("line", "word"),
    [
        (("record", "A-1", "pass"), "visit"),
        (("close",), "visit"),
        (("open", " "), "shop"),
    ],
)
def test_without_a_visit_nothing_is_recorded(run: Run, line: tuple[str, ...], word: str) -> None:
    refused = run("visit", *line)
    assert refused.code == 2
    assert word in refused.err
    assert run("visit", "status").code == 1


def test_an_outcome_needs_its_note_and_a_part_its_number(run: Run) -> None:
    assert run("visit", "open", "S-014").code == 0
    assert run("visit", "record", "A-1", "fault", "--outcome", "mended").code == 2
    assert run("visit", "record", "A-1", "fault", "--note", "no-such", "--outcome", "mended").code == 2
    assert run("visit", "record", "A-1", "fault", "--used", "0 pad").code == 2
    assert run("visit", "figures", "--since", "soon").code == 2


def test_a_label_from_a_stranger_reaches_no_terminal_as_a_command(run: Run) -> None:
    assert run("visit", "open", "S-\x1b]0;x\x07014").code in {0, 2}
    run("visit", "open", "S-014")
    seen = run("visit", "record", "A-01", "fault", "\x1b[2J\u202e[red]dark")
    assert seen.code == 0
    for told in (seen, run("visit", "status"), run("visit", "close"), run("visit", "report")):
        assert "\x1b" not in told.out
        assert "\u202e" not in told.out
