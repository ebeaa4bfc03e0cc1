"""``assistant corpus compile``: drafts are left out, and a release is held to what is fit for reps."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from assistant.pack.reader import Pack
from tests.cli.conftest import Run

DRAFT = "disc/disc-clean.md"


@pytest.fixture
def notes(mini_corpus_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    monkeypatch.setenv("ASSISTANT_CORPUS", str(root))
    return root


def begin(root: Path) -> None:
    path = root / DRAFT
    path.write_text(path.read_text("utf-8").replace("\n---\n", "\nstatus: draft\n---\n", 1), "utf-8")


def test_drafts_are_in_no_pack_and_are_named(run: Run, notes: Path, tmp_path: Path) -> None:
    begin(notes)
    ran = run("corpus", "compile", "--pack", str(tmp_path / "own.pack"))
    assert ran.code == 0
    assert f"{DRAFT}: left out, a draft: its status says so\n" in ran.out
    assert "5 notes, 1 draft left out, " in ran.out
    with Pack(tmp_path / "own.pack") as pack:
        assert "disc-clean" not in list(pack.note_ids)
    asked = run("ask", "--no-record", "wipe the dirty disc")
    assert "disc-clean," not in asked.out
    refused = run("show", "disc-clean")
    assert (refused.code, refused.err) == (2, "no note 'disc-clean' in this pack\n")


def test_a_line_to_write_keeps_a_new_note_out_until_it_is_written(run: Run, notes: Path) -> None:
    given = ("--title", "Lamp of the pad is red", "--station", "pad", "--action", "adjust", "--minutes", "5")
    assert run("corpus", "new", "--id", "pad-lamp-red", *given).code == 0
    path = notes / "pad/pad-lamp-red.md"
    assert "\nstatus: draft\n" in path.read_text("utf-8")
    path.write_text(path.read_text("utf-8").replace("status: draft\n", ""), "utf-8")
    assert "lines of it are still to be written" in run("corpus", "compile").out
    path.write_text(path.read_text("utf-8").replace(" (to write)", ""), "utf-8")
    assert "drafts left out" not in run("corpus", "compile").out
    assert "Do the first thing." in run("show", "pad-lamp-red").out


def mended(root: Path) -> None:
    """Take what the check calls an error in the short notes off the rules, as they are notes of a test."""
    (root / "rules.yaml").write_text(
        "".join(f"{code}: {{off: true, reason: short notes}}\n" for code in ("C208", "C302")), "utf-8"
    )


def test_a_release_is_refused_where_a_note_has_an_error(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    path = notes / "pad/pad-stick-cap.md"
    path.write_text(path.read_text("utf-8").replace("see_also: [", "see_also: [pad-stick-cap, "), "utf-8")
    ran = run("corpus", "compile", "--release", "--pack", str(tmp_path / "r.pack"), "--unsigned", "a trial")
    assert ran.code == 3
    assert "nothing is released: mend these first\n" in ran.err
    assert "pad-stick-cap.md:" in ran.err
    assert "error C103" in ran.err
    assert not (tmp_path / "r.pack").exists()


def test_a_release_is_refused_where_words_for_rules_cannot_be_read(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    (notes / "check.yaml").write_text("power:\n  devices: [pad]\n  test: ['unplug(']\n", "utf-8")
    ran = run("corpus", "compile", "--release", "--pack", str(tmp_path / "r.pack"), "--unsigned", "a trial")
    assert (ran.code, "check.yaml:1: power: 'unplug(' is no expression" in ran.err) == (3, True)
    assert not (tmp_path / "r.pack").exists()


def test_alarms_that_lead_to_a_draft_are_told_of_and_are_no_release(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    path = notes / "safety/safety-swollen-cell.md"
    path.write_text(path.read_text("utf-8").replace("\n---\n", "\nstatus: draft\n---\n", 1), "utf-8")
    told = "safety-swollen-cell is a draft: no alarm and no sentence of harm leads to it"
    assert told in run("corpus", "compile", "--pack", str(tmp_path / "own.pack")).err
    ran = run("corpus", "compile", "--release", "--pack", str(tmp_path / "r.pack"), "--unsigned", "a trial")
    assert ran.code == 3
    assert "nothing is released: alarms or sentences of harm lead to a draft: safety-swollen-cell: " in ran.err
    assert not (tmp_path / "r.pack").exists()


def test_a_choice_that_leads_to_a_draft_is_no_crash_but_no_release(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    path = notes / "pad/pad-stick-cap.md"
    path.write_text(path.read_text("utf-8").replace("\n---\n", "\nstatus: draft\n---\n", 1), "utf-8")
    assert run("corpus", "compile", "--pack", str(tmp_path / "own.pack")).code == 0
    with Pack(tmp_path / "own.pack") as pack:
        note = pack.note("pad-cable-damage")
    assert note is not None
    assert note.see_also == ()
    assert "pad-stick-cap" in [branch.note for step in note.steps for branch in step.branches]
    shown = run("show", "pad-cable-damage", "--pack", str(tmp_path / "own.pack"))
    assert 'go to "Thumb stick cap torn or missing".' in " ".join(shown.out.split())
    ran = run("corpus", "compile", "--release", "--pack", str(tmp_path / "r.pack"), "--unsigned", "a trial")
    assert ran.code == 3
    assert "error C113 sends a rep on to pad-stick-cap" in ran.err


def test_a_release_is_refused_where_nobody_signed_and_no_reason_is_given(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    ran = run("corpus", "compile", "--release", "--pack", str(tmp_path / "r.pack"))
    assert ran.code == 3
    assert "not signed by a safety officer. Have them signed, or say why with --unsigned REASON" in ran.err
    assert not (tmp_path / "r.pack").exists()


def test_a_release_tells_what_it_is_made_of(run: Run, notes: Path, tmp_path: Path) -> None:
    mended(notes)
    begin(notes)
    pack = tmp_path / "r.pack"
    ran = run("corpus", "compile", "--release", "--pack", str(pack), "--unsigned", "a trial  in one shop")
    assert ran.code == 0, ran.err
    facts = json.loads((tmp_path / "r.pack.release.json").read_text("utf-8"))
    with Pack(pack) as opened:
        assert facts["corpus"] == opened.manifest["corpus"]
        assert list(facts["notes"]) == list(opened.note_ids)
    assert facts["drafts"] == ["disc-clean"]
    assert facts["rules_off"]["C302"] == "short notes"
    assert facts["signatures"]["reason"] == "a trial in one shop"
    assert facts["signatures"]["unsigned"] > 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--release",), "name the file of the release with --pack"),
        (("--unsigned", "why"), "--unsigned goes with --release"),
        (("--release", "--pack", "r.pack", "--unsigned", " "), "takes a reason"),
    ],
)
def test_calls_that_are_refused(run: Run, notes: Path, arguments: tuple[str, ...], words: str) -> None:
    ran = run("corpus", "compile", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
