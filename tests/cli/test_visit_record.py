"""What a visit takes down and what it refuses, by the cases that strangers found on it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ran, Run

HARM = ("--note", "safety-swollen-cell", "--outcome")
CAP = ("--note", "pad-stick-cap", "--outcome", "mended")


@pytest.fixture(autouse=True)
def _pack(mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))


@pytest.fixture
def here(run: Run) -> Run:
    """A visit is open in a shop whose three stations were seen before."""
    for words in (("open", "S-014"), ("pass", "A-0101", "A-0102", "A-0103"), ("close",), ("open", "S-014")):
        assert run("visit", *words).code == 0, words
    return run


def done(run: Run, *words: str, code: int = 0) -> Ran:
    ran = run("visit", *words)
    assert ran.code == code, (words, ran)
    return ran


def rows(run: Run, kind: str) -> list[dict[str, Any]]:
    told = [json.loads(line) for line in run("journal", "export").out.splitlines()]
    return [row for row in told if row["kind"] == kind]


def all_rows(run: Run) -> list[str]:
    return run("journal", "export").out.splitlines()


def test_a_pass_does_not_put_a_station_back_into_service_a2(here: Run) -> None:
    """A2: the next visit's pass lifted a withdrawal for smoke in silence."""
    done(here, "record", "A-0103", "fault", "plug smokes", *HARM, "out-of-service")
    done(here, "close", "--anyway")
    done(here, "open", "S-014")
    for words in (("pass", "A-0103"), ("record", "A-0103", "pass")):
        refused = done(here, *words, code=2)
        assert "A-0103 is out of service (plug smokes)" in refused.err
        assert "release" in refused.err
    assert "A-0103: out of service, not seen yet: plug smokes" in done(here).out
    assert "number" in done(here, "release", "A-0103", "--by", "Kim", code=2).err
    told = done(here, "release", "A-0103", "--by", "Kim", "--number", "R-7", "--day", "yesterday")
    assert "A-0103: released by Kim, number R-7" in told.out
    assert "A-0103: passes. Recorded." in done(here, "pass", "A-0103").out
    assert "not out of service" in done(here, "release", "A-0103", "--by", "Kim", "--number", "R-8", code=2).err


def test_record_takes_the_release_with_the_pass_a2(here: Run) -> None:
    done(here, "record", "A-0103", "fault", "plug smokes", *HARM, "out-of-service")
    late = ("--release-day", "tomorrow")
    named = ("--released-by", "Kim", "--release-number", "R-7")
    assert "up to today" in done(here, "record", "A-0103", "pass", *named, *late, code=2).err
    done(here, "record", "A-0103", "pass", *named)
    assert [row["number"] for row in rows(here, "release")] == ["R-7"]
    assert "A-0103: passes" in done(here).out


def test_a_note_on_harm_cannot_just_end_mended_a4(here: Run) -> None:
    done(
        here,
        *("record", "A-0103", "fault", "plug smokes", *HARM, "mended"),
        *("--released-by", "Kim", "--release-number", "R-7"),
    )
    assert "A-0103: mended" in done(here).out


@pytest.mark.parametrize("outcome", ["mended", "replaced"])
@pytest.mark.parametrize("named", [("--note", "safety-swollen-cell"), ()])
def test_a_danger_told_as_mended_is_kept_and_stands_out_of_service(
    here: Run, outcome: str, named: tuple[str, ...]
) -> None:
    """The entry was refused as out of service, nothing was kept, and the station passed after it."""
    told = ("record", "A-0103", "fault", "the pad is swollen and hot", *named, "--outcome", outcome)
    ran = done(here, *told, "--minutes", "4", "--used", "wired pad")
    assert "fault: the pad is swollen and hot" in ran.out
    assert "taken out of service. Recorded." in ran.out
    assert f"'{outcome}' is not taken: A-0103 is out of service until it is released" in ran.out
    (ended,) = rows(here, "outcome")
    assert (ended["outcome"], ended["minutes"]) == ("withdrawn", 4)
    assert [row["part"] for row in rows(here, "part")] == ["wired pad"]
    assert "A-0103: out of service" in done(here).out
    assert "A-0103 is out of service" in done(here, "pass", "A-0103", code=2).err
    assert "A-0103" not in done(here, "rest", "--yes").out


@pytest.mark.parametrize("typed", ["-5", "nan", "inf", "1e9", "481", "ten", ""])
def test_minutes_are_0_to_480_and_nothing_is_half_written_b1(here: Run, typed: str) -> None:
    """B1: -5, 1e9 and nan were taken, and half of the entry stayed."""
    before = all_rows(here)
    refused = done(here, "record", "A-0101", "fault", "torn", *CAP, f"--minutes={typed}", code=2)
    assert f"--minutes: '{typed}' is no number of minutes: type 0 to 480" in refused.err
    assert len(refused.err.splitlines()) == 1
    assert all_rows(here) == before


@pytest.mark.parametrize(
    "late",
    [("--used", "2 unicorns"), ("--photo", "none.png"), ("--wanted", "-3 video lead"), ("--kind", "kiosk")],
)
def test_what_is_refused_late_leaves_nothing_b1(here: Run, late: tuple[str, str]) -> None:
    before = all_rows(here)
    done(here, "record", "A-0101", "fault", "torn", *CAP, "--minutes", "5", *late, code=2)
    assert all_rows(here) == before


def test_a_command_is_no_shop_b2(run: Run) -> None:
    """B2: "open S-014" typed as the shop made a shop of that name."""
    assert "Visit 1 at S-014" in done(run, "open", "open S-014").out
    done(run, "close")
    for typed in ("help", "the shop round the corner"):
        assert "code of the shop" in done(run, "open", typed, code=2).err


def test_a_shop_that_is_not_known_is_asked_about_b2(here: Run) -> None:
    done(here, "close", "--anyway")
    refused = done(here, "open", "S-015", code=2)
    assert "S-015 is not known here; did you mean S-014?" in refused.err
    assert "--new" in refused.err
    done(here, "open", "S-015", "--new")


@pytest.mark.parametrize("typed", ["A-0101", "A0101", "a 0101", "0101", "a-0101"])
def test_a_label_in_any_spelling_is_one_station_b3(here: Run, typed: str) -> None:
    """B3: A-0101, A0101 and 0101 became three stations."""
    done(here, "record", typed, "pass")
    assert {row["station"] for row in rows(here, "sighting")} == {"A-0101", "A-0102", "A-0103"}


def test_a_label_that_is_not_known_is_asked_about_b3(here: Run) -> None:
    refused = done(here, "record", "A-0110", "pass", code=2)
    assert "A-0110 is not known here; did you mean" in refused.err
    assert "--new" in refused.err
    done(here, "record", "A-0110", "pass", "--new")
    for words in (("hand-over", "A-9999", "dark"), ("pass", "A-9999"), ("swap", "A-9999", "pad", "--out=1", "--in=2")):
        assert "A-9999 is not known here" in done(here, *words, code=2).err
    assert "S-014 is a shop" in done(here, "record", "S-014", "pass", code=2).err


def test_parts_have_the_names_of_the_trade_b4(here: Run) -> None:
    """B4: unicorns were used, -3 pads ordered, and "pads" was another part than "pad"."""
    fault = ("record", "A-0101", "fault", "torn")
    assert "no part that is known" in done(here, *fault, "--used", "2 unicorns", code=2).err
    assert "did you mean video lead?" in done(here, *fault, "--used", "vidoe lead", code=2).err
    assert "how many must be 1 to" in done(here, *fault, "--wanted", "-3 video leads", code=2).err
    assert "is a tool" in done(here, *fault, "--used", "cabinet key", code=2).err
    done(here, *fault, "--used", "2 wired pads", "--used", "wired pad", "--wanted", "a video lead")
    assert [(row["part"], row["quantity"], row["use"]) for row in rows(here, "part")] == [
        ("wired pad", 2, "used"),
        ("wired pad", 1, "used"),
        ("video lead", 1, "wanted"),
    ]


def test_words_after_a_pass_are_not_dropped_b5(here: Run) -> None:
    refused = done(here, "record", "A-0101", "pass", "stick", "drifts", code=2)
    assert "A-0101 fault stick drifts" in refused.err
    assert done(here, "record", "A-0101", "pass", *CAP, code=2).err


def test_a_picture_must_be_there_b5(here: Run) -> None:
    refused = done(here, "record", "A-0101", "pass", "--photo", "pic1.jpg", code=2)
    assert "pic1.jpg" in refused.err
    assert rows(here, "photo") == []


@pytest.mark.parametrize("typed", ["soon", "2026-13-45", "30 foo"])
def test_a_day_is_a_day_b5_f8(here: Run, typed: str) -> None:
    """B5 and F8: "tomorrow" was kept as a word; "invalid _date value" named a function."""
    refused = done(here, "hand-over", "A-0101", "dark", "--by-when", typed, code=2)
    assert f"--by-when: '{typed}' is no day: type it as 2026-11-30" in refused.err
    assert "_" not in refused.err
    assert done(here, "report", "--since", typed, code=2).err.startswith("--since: ")
    told = done(here, "hand-over", "A-0101", "dark", "--by-when", "tomorrow")
    assert "A-0101: handed over" in told.out
    assert [len(row["due"]) for row in rows(here, "escalation")] == [len("2026-11-30")]


def test_a_station_that_is_worked_on_cannot_pass_b6(here: Run, two_works: None) -> None:
    assert "stands open: end it first" in done(here, "pass", "A-0101", code=2).err
    assert "A-0101: being worked on" in done(here).out


@pytest.fixture
def two_works(here: Run, mini_pack_path: Path, tmp_path: Path) -> None:
    """A work stands open on a station here, and one on no station."""
    from assistant.journal.store import Journal
    from assistant.pack.reader import Pack
    from assistant.visiting.recorder import Recorder

    with Pack(mini_pack_path) as pack, Journal(tmp_path / "home" / "journal.db") as journal:
        note = pack.note("pad-stick-cap")
        assert note is not None
        recorder = Recorder(journal, pack.trade)
        recorder.see("A-0101", "fault", condition="torn")
        recorder.take_up(note, station="A-0101", condition="torn")
        recorder.take_up(note)


def test_old_works_can_be_ended_from_the_list_b7(here: Run, two_works: None) -> None:
    """B7: works begun elsewhere stood for ever; nothing on the command line ended them."""
    told = done(here).out
    assert "Not finished: work 1, A-0101: Thumb stick cap torn or missing" in told
    assert "Not finished: work 2" in told
    assert "no work 9 stands open" in done(here, "end", "--work", "9", "mended", code=2).err
    assert "Recorded" in done(here, "end", "--work", "2", "not mended").out
    assert "no end of a work: type mended" in done(here, "end", "A-0101", "finished", code=2).err
    assert "did you mean replaced?" in done(here, "end", "A-0101", "replacd", code=2).err
    assert (
        "A-0101: Thumb stick cap torn or missing: mended. Recorded."
        in done(here, "end", "0101", "mended", "--minutes", "4").out
    )
    assert "no work stands open" in done(here, "end", "A-0101", "mended", code=2).err
    assert [row["minutes"] for row in rows(here, "outcome")][1] == 4


def test_a_work_that_stands_open_is_taken_up_and_not_begun_twice_b7(here: Run, two_works: None) -> None:
    done(here, "record", "A-0101", "fault", "torn", *CAP)
    assert len(rows(here, "work")) == 2


def test_minutes_are_told_in_the_singular_and_without_false_precision_b8(here: Run) -> None:
    done(here, "record", "A-0101", "fault", "torn", *CAP, "--minutes", "1")
    told = done(here, "report").out + done(here, "close", "--anyway").out + done(here, "figures").out
    for wrong in ("1 minutes", "1 pictures", "1 stations", "1 works", "1 cases"):
        assert f" {wrong}" not in told, wrong


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("record", "A-0144", "broken"), "assistant visit record A-0144 fault broken"),
        (("record", "A-0144"), "pass or fault comes after the label"),
        (("record",), "assistant visit record LABEL pass|fault WORDS..."),
        (("recrod", "A-1"), "did you mean record?"),
        (("open",), "assistant visit open SHOP"),
        (("open", "S-014", "--reb", "Ada"), "did you mean --rep?"),
        (("record", "A-1", "fault", "--kind", "pad", "stick", "drifts"), "words come first"),
        (("record", "A-1", "fault", "x", "--note"), "--note: nothing is told after it"),
        (("record", "A-0101", "fault", "x", "--note", "pad-stik-cap"), "did you mean pad-stick-cap?"),
        (("incident", "scare", "x"), "Known: injury, shock, spill, near_miss"),
        (("release", "A-1"), "--by, --number"),
        (("close", "--signed", "pen"), "Known: typed, paper"),
    ],
)
def test_a_slip_is_told_in_one_line_with_what_to_type_f8(here: Run, words: tuple[str, ...], told: str) -> None:
    """F8: nine lines of usage, names of functions, no suggestion."""
    refused = done(here, *words, code=2)
    assert told in refused.err
    assert len(refused.err.splitlines()) == 1, refused.err
    assert refused.out == ""
    assert "usage:" not in refused.err


def test_a_mistyped_command_is_recognised_f8(run: Run) -> None:
    refused = run("vist", "record", "A-1", "pass")
    assert refused.code == 2
    assert refused.err == (
        "there is no command 'assistant vist': did you mean visit? "
        "Known: ask, show, visit, journal, corpus, desk, score, about\n"
    )


@pytest.mark.parametrize("words", [("record", "A-1", "pass"), ("close",), ("rest",), ("pass", "A-1")])
def test_without_a_visit_it_is_told_how_to_open_one(run: Run, words: tuple[str, ...]) -> None:
    assert "no visit is open: open one with assistant visit open SHOP" in done(run, *words, code=2).err


def test_the_kind_of_a_station_is_one_of_the_notes(here: Run) -> None:
    refused = done(here, "record", "A-0101", "pass", "--kind", "kiosk", code=2)
    assert "kind of station must be one of all, disc, pad, hand, screen, vr" in refused.err
    done(here, "record", "A-0101", "pass", "--kind", "vr")


def test_whether_a_station_still_plays_is_told_apart_f1(here: Run) -> None:
    done(here, "record", "A-0101", "fault", "torn", "--plays", "yes")
    done(here, "record", "A-0102", "fault", "dark", "--plays", "no")
    told = done(here).out
    assert "A-0101: has a fault, still plays: torn" in told
    assert "A-0102: does not play: dark" in told


def test_no_word_of_a_ticket_desk_or_of_statistics_reaches_a_rep(here: Run) -> None:
    done(here, "record", "A-0101", "fault", "dark", *HARM, "out-of-service")
    told = "".join(
        done(here, *words, code=code).out
        for words, code in (
            ((), 0),
            (("hand-over", "A-0101", "dark"), 0),
            (("plan",), 0),
            (("bag",), 0),
            (("parts",), 0),
            (("figures",), 0),
            (("first", "pad-stick-cap", "pad-cable-damage"), 0),
            (("report",), 0),
            (("close",), 1),
            (("close", "--anyway"), 0),
            (("list",), 0),
        )
    ).lower()
    for word in ("escalat", "withdraw", "job number", "contact", "promised", "purge", "n =", "probability", "poisson"):
        assert word not in told, word


def test_a_danger_told_without_a_note_takes_the_station_out_of_service(here: Run) -> None:
    """A word of alarm is enough: nobody has to name the note."""
    done(here, "record", "A-0103", "fault", "the pad is swollen and hot")
    (seen,) = [row for row in rows(here, "sighting") if row["result"] == "fault"]
    assert (seen["note"], seen["plays"]) == ("safety-swollen-cell", "danger")
    assert "out of service" in done(here, "pass", "A-0103", code=2).err
    assert "undo --sure" in done(here, "undo", code=2).err
    assert "Taken back: A-0103: the pad is swollen and hot." in done(here, "undo", "--sure").out
    done(here, "pass", "A-0103")


@pytest.mark.parametrize("outcome", ["not-mended", "handed-over", "out-of-service"])
def test_a_danger_that_was_worked_on_is_released_before_it_passes(here: Run, outcome: str) -> None:
    done(here, "record", "A-0103", "fault", "swollen", *HARM, outcome)
    done(here, "close", "--anyway")
    done(here, "open", "S-014")
    assert "released" in done(here, "pass", "A-0103", code=2).err
    assert "A-0103 (out of service" in done(here, "rest", "--yes").out


@pytest.mark.parametrize(
    ("known", "typed"),
    [("A-0101", "a101"), ("A-0201", "a205"), ("A-0144", "A-1044"), ("A-0144", "B-0144"), ("A-0144", "A-01444")],
)
def test_a_slip_of_a_label_is_asked_about_on_a_first_visit_too(run: Run, known: str, typed: str) -> None:
    done(run, "open", "S-014")
    done(run, "pass", known)
    for words in (("pass", typed), ("record", typed, "fault", "torn"), ("hand-over", typed, "dark")):
        refused = done(run, *words, code=2)
        assert f"did you mean {known}? A new station: add --new" in refused.err
    assert {row["station"] for row in rows(run, "sighting")} == {known}
    done(run, "pass", typed, "--new")
    assert len({row["station"] for row in rows(run, "sighting")}) == 2


def test_a_slip_within_one_command_is_asked_about_as_well(run: Run) -> None:
    done(run, "open", "S-014")
    assert "did you mean A-0101?" in done(run, "pass", "A-0101", "a101", code=2).err
    assert rows(run, "sighting") == []


def test_labels_that_follow_each_other_are_taken_on_a_first_visit(run: Run) -> None:
    done(run, "open", "S-014")
    done(run, "pass", "A-0101", "A-0102", "A-0103")
    done(run, "pass", "A-0104")
    done(run, "pass", "A-0111", "A-0205")
    assert len(rows(run, "sighting")) == 6
