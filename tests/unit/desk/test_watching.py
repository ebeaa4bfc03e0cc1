"""The notes under watch: what a save did, and what is asked anew for it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from assistant.checking.registry import all_rules
from assistant.cli.authoring import look_lines
from assistant.compiling.compiler import compile_corpus
from assistant.desk import watching
from assistant.desk.watching import Watch
from assistant.errors import NotesError
from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.run import outcomes
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.making import plain_settings

DAY = date(2026, 11, 25)
CAP = "pad/pad-stick-cap.md"
ASKED = (
    ("q1", "controller stick cap broken?", "plain", ("pad-stick-cap",), ""),
    ("q2", "kickplate is bent", "plain", ("pad-stick-cap",), ""),
    ("q3", "disc is dirty", "plain", ("disc-clean",), ""),
    ("q4", "battery is swollen", "plain", ("safety-swollen-cell",), "safety-swollen-cell"),
    ("q5", "when do i get paid", "uncovered", (), ""),
)


@pytest.fixture
def root(mini_corpus_path: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))


@pytest.fixture
def questions() -> list[LabelledQuestion]:
    return [
        LabelledQuestion(
            name, text, manner, notes, "tune", "A", danger=(danger,) if danger else (), kind="" if notes else "off"
        )
        for name, text, manner, notes, danger in ASKED
    ]


@pytest.fixture
def watch(root: Path, questions: list[LabelledQuestion]) -> Iterator[Watch]:
    with closing(Watch(root, questions, plain_settings(), all_rules(), DAY)) as opened:
        yield opened


def test_nothing_saved_is_no_change(watch: Watch, root: Path) -> None:
    assert not watch.changed()
    (root / "pad/notes.bak").write_text("no part of the notes", "utf-8")
    assert not watch.changed()


def test_a_saved_question_is_a_gain_by_name(watch: Watch, root: Path) -> None:
    path = root / "pad/pad-stick-cap.questions.txt"
    path.write_text(path.read_text("utf-8") + "kickplate is bent\nbent kickplate\n", "utf-8")
    assert watch.changed()
    look = watch.look()
    assert look.notes == ("pad-stick-cap",)
    assert look.own[1].k == look.own[0].k + 1
    assert [(change.kind, change.question) for change in look.changes] == [("gain", "kickplate is bent")]
    assert look.shares["P@1"][1].k == look.shares["P@1"][0].k + 1
    assert not watch.changed()
    lines = list(look_lines(look, "12:00:00"))
    assert lines[0].startswith("12:00:00  pad-stick-cap: ")
    assert any("gain: kickplate is bent" in line for line in lines)


def test_figures_are_those_of_the_notes_compiled_anew(
    watch: Watch, root: Path, questions: list[LabelledQuestion], tmp_path: Path
) -> None:
    """As far as known words go: an unknown one becomes a feature only when all is compiled anew."""
    path = root / CAP
    before = watch.outcomes[:]
    path.write_text(path.read_text("utf-8").replace("title: ", "title: Dirty disc or "), "utf-8")
    watch.look()
    compile_corpus(read_corpus(root), plain_settings(), tmp_path / "anew.pack")
    with Pack(tmp_path / "anew.pack") as pack:
        exact = outcomes(pack, questions)
    seen, anew, old = ([(o.decision, o.offered[:2]) for o in side] for side in (watch.outcomes, exact, before))
    assert seen == anew != old


def test_a_rule_that_is_broken_is_found_in_the_saved_note_alone(watch: Watch, root: Path) -> None:
    path = root / CAP
    path.write_text(path.read_text("utf-8").replace("\n1. ", "\n1. Adjust it properly. ", 1), "utf-8")
    look = watch.look()
    assert CAP in {one.finding.path for one in look.found}
    assert {Path(one.finding.path).name.partition(".")[0] for one in look.found} == {"pad-stick-cap"}
    assert "C507" in {one.rule.code for one in look.found}


def test_a_note_that_cannot_be_read_leaves_the_figures(watch: Watch, root: Path) -> None:
    path = root / CAP
    whole = path.read_text("utf-8")
    path.write_text(whole[:40], "utf-8")
    refused = watch.look()
    assert CAP in refused.refused
    assert not refused.shares
    assert any("stand as they were" in line for line in look_lines(refused, ""))
    path.write_text(whole, "utf-8")
    mended = watch.look()
    assert not mended.refused
    assert mended.changes == ()


def test_notes_that_are_away_for_a_while_leave_the_figures(watch: Watch, root: Path) -> None:
    away = root.rename(root.with_name("away"))
    assert not watch.changed()
    assert str(root) in watch.look().refused
    away.rename(root)
    assert watch.look().changes == ()


def test_more_than_a_note_compiles_all_anew(watch: Watch, root: Path, questions: list[LabelledQuestion]) -> None:
    (root / "uncovered.txt").write_text((root / "uncovered.txt").read_text("utf-8") + "is the cafe open\n", "utf-8")
    look = watch.look()
    assert (look.notes, look.anew) == ((), True)
    assert look.asked == len(questions)
    lines = list(look_lines(look, "12:00:00"))
    assert lines[0].startswith("12:00:00  all notes compiled anew: ")
    assert not any("these notes" in line for line in lines)


def test_a_note_saved_as_it_was_is_checked_and_nothing_compiled(watch: Watch, root: Path) -> None:
    path = root / CAP
    path.write_text(path.read_text("utf-8").replace("\n1. ", "\n1. Adjust it properly. ", 1), "utf-8")
    found = watch.look().found
    path.touch()
    look = watch.look()
    assert (look.notes, look.asked, look.anew) == (("pad-stick-cap",), 0, False)
    assert look.found == found != ()
    assert "pad-stick-cap: " in next(look_lines(look, ""))


def test_saved_waivers_are_no_change_of_notes_and_all_rules_are_kept_anew(watch: Watch, root: Path) -> None:
    path = root / CAP
    path.write_text(path.read_text("utf-8").replace("\n1. ", "\n1. Adjust it properly. ", 1), "utf-8")
    assert "C507" in {one.rule.code for one in watch.look().found}
    (root / "waivers.yaml").write_text("- {rule: C507, note: pad-stick-cap, reason: a try}\n", "utf-8")
    look = watch.look()
    assert (look.notes, look.asked, look.anew) == ((), 0, False)
    assert look.found
    assert "C507" not in {one.rule.code for one in look.found}
    lines = list(look_lines(look, "12:00:00"))
    assert lines[0].startswith("12:00:00  no note has changed: ")
    assert lines[0].endswith(" s, 0 questions asked anew")
    assert not any("these notes" in line for line in lines)


def test_rules_that_the_notes_do_without_are_not_kept(watch: Watch, root: Path) -> None:
    off = {"C507", "C701"}
    (root / "rules.yaml").write_text("".join(f"{code}: {{off: true, reason: a try}}\n" for code in off), "utf-8")
    watch.look()
    path = root / CAP
    path.write_text(path.read_text("utf-8").replace("\n1. ", "\n1. Adjust it properly. ", 1), "utf-8")
    for name in ("pad/pad-stick-cap", "disc/disc-clean"):
        asked = root / f"{name}.questions.txt"
        asked.write_text(asked.read_text("utf-8") + "kickplate is bent\n", "utf-8")
    look = watch.look()
    across = watch.across(look.notes)
    assert across is not None
    assert not off & {one.rule.code for one in (*look.found, *across)}
    (root / "rules.yaml").unlink()
    assert "C507" in {one.rule.code for one in watch.look().found}
    assert "C701" in {one.rule.code for one in watch.across(()) or ()}


def test_a_new_pair_of_notes_in_one_save(watch: Watch, root: Path) -> None:
    for name in ("pad/pad-stick-cap", "disc/disc-clean"):
        path = root / f"{name}.questions.txt"
        path.write_text(path.read_text("utf-8") + "kickplate is bent\n", "utf-8")
    look = watch.look()
    assert look.notes == ("disc-clean", "pad-stick-cap")
    found = watch.across(look.notes)
    assert found
    assert any(one.rule.code == "C701" for one in found)


def test_a_note_saved_while_rules_are_kept_goes_first_and_both_are_told_of(
    watch: Watch, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watching, "_BETWEEN", 0.0)
    for name in ("pad/pad-stick-cap", "disc/disc-clean"):
        path = root / f"{name}.questions.txt"
        path.write_text(path.read_text("utf-8") + "kickplate is bent\n", "utf-8")
        look = watch.look()
        if name.startswith("pad"):
            (root / "disc/disc-clean.md").touch()
            assert watch.across(look.notes) is None
    assert look.notes == ("disc-clean",)
    found = watch.across(look.notes)
    assert found
    assert {Path(one.finding.path).name.partition(".")[0] for one in found} >= {"disc-clean", "pad-stick-cap"}
    alone = watch.across(look.notes)
    assert alone
    assert {Path(one.finding.path).name.partition(".")[0] for one in alone} == {"disc-clean"}


def test_a_note_that_was_refused_and_mended_is_read_again_with_what_was_saved_meanwhile(
    watch: Watch, root: Path
) -> None:
    cap, asked = root / CAP, root / "disc/disc-clean.questions.txt"
    whole = cap.read_text("utf-8")
    cap.write_text("no note", "utf-8")
    assert watch.look().refused
    asked.write_text(asked.read_text("utf-8") + "syrup all over it\n", "utf-8")
    assert watch.look().refused
    cap.write_text(whole, "utf-8")
    look = watch.look()
    assert look.notes == ("disc-clean", "pad-stick-cap")
    assert not look.refused


def test_what_is_saved_while_the_watch_begins_is_seen(root: Path, questions: list[LabelledQuestion]) -> None:
    def save(message: str, *_: int) -> None:
        if message == "writing the pack":
            path = root / "disc/disc-clean.questions.txt"
            path.write_text(path.read_text("utf-8") + "syrup all over it\n", "utf-8")

    with closing(Watch(root, questions, plain_settings(), all_rules(), DAY, save)) as watch:
        assert watch.changed()
        assert watch.look().notes == ("disc-clean",)


def test_a_watch_that_begins_from_a_pack_sees_what_one_sees_that_learned(
    watch: Watch, root: Path, questions: list[LabelledQuestion], tmp_path: Path
) -> None:
    compile_corpus(read_corpus(root), plain_settings(), tmp_path / "stands.pack")
    told: list[str] = []

    def tell(message: str, *_: int) -> None:
        told.append(message)

    with closing(
        Watch(root, questions, plain_settings(), all_rules(), DAY, tell, tmp_path / "stands.pack")
    ) as from_pack:
        assert [one for one in told if "begins from what was learned there" in one]
        assert not [one for one in told if one.startswith("learning ")]
        path = root / "pad/pad-stick-cap.questions.txt"
        path.write_text(path.read_text("utf-8") + "kickplate is bent\nbent kickplate\n", "utf-8")
        looks = [one.look()._replace(seconds=0.0) for one in (watch, from_pack)]
        assert looks[0] == looks[1]
        assert watch.outcomes == from_pack.outcomes
        packs = [one._patched.path.read_bytes() for one in (watch, from_pack)]
        assert packs[0] == packs[1]


def test_broken_notes_at_the_start_are_refused(root: Path, questions: list[LabelledQuestion]) -> None:
    (root / CAP).write_text("no note", "utf-8")
    with pytest.raises(NotesError):
        Watch(root, questions, plain_settings(), all_rules(), DAY)
