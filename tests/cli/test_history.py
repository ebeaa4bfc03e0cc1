"""``assistant corpus history`` and ``diff``, and the revision that rises with them."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.making import write_corpus

NOTE = "pad/pad-demo.md"


def git(root: Path, *arguments: str) -> None:
    person = ("-c", "user.name=Author", "-c", "user.email=author@test.invalid", "-c", "commit.gpgsign=false")
    subprocess.run(["git", "-C", str(root), *person, *arguments], check=True, capture_output=True)


def change(root: Path, old: str, new: str) -> None:
    text = (root / NOTE).read_text("utf-8")
    assert old in text
    (root / NOTE).write_text(text.replace(old, new), "utf-8")


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Two notes that were committed twice: the second time one has another step and a revision more."""
    root = write_corpus(tmp_path / "corpus")
    git(root, "init", "-q", "-b", "main")
    git(root, "add", ".")
    git(root, "commit", "-q", "-m", "first \x1b[31m notes")
    change(root, "2. Unplug the pad.", "2. Unplug the old pad.")
    change(root, "revision: 3", "revision: 4")
    git(root, "commit", "-q", "-am", "old pad")
    return root


def test_the_history_tells_each_version_as_a_rep_sees_it(run: Run, notes: Path) -> None:
    change(notes, "sources: [common practice]", "sources: [common practice, HSG107 3rd ed 2013 (UK)]")
    git(notes, "commit", "-q", "-am", "source")
    ran = run("corpus", "history", "pad-demo")
    assert ran.code == 0
    assert "\x1b" not in ran.out
    first, second, third = (part.splitlines() for part in ran.out.split("\n20"))
    assert "revision 3  first" in first[0]
    assert "  + 1: Look at the lamp." in first
    assert "revision 4  old pad" in second[0]
    assert [line for line in second[1:] if line[2] in "+-"] == ["  - 2: Unplug the pad.", "  + 2: Unplug the old pad."]
    assert third[1:] == ["  (a rep sees no change)"]
    rows = json.loads(run("corpus", "history", "pad-demo", "--format", "json").out)
    assert [row["revision"] for row in rows] == [3, 4, 4]


def test_two_revisions_two_folders_and_a_note_alone(run: Run, notes: Path, tmp_path: Path) -> None:
    told = run("corpus", "diff", "HEAD~1", "HEAD")
    assert told.code == 0
    assert told.out.splitlines()[0] == "pad-demo: revision 3 -> 4"
    assert "  - 2: Unplug the pad." in told.out.splitlines()
    assert told.out.splitlines()[-1] == "1 note differs as a rep sees them"
    assert any("lines alike)" in line for line in told.out.splitlines())
    same = run("corpus", "diff", "HEAD", "corpus")
    assert (same.code, same.out) == (1, "0 notes differ as a rep sees them\n")
    (notes / "pad/pad-other.md").unlink()
    change(notes, "see_also: [pad-other]", "see_also: []")
    change(notes, "go to [Another pad](../pad/pad-other.md).", "go to step 2.")
    change(notes, "Look at [Another pad](../pad/pad-other.md).", "Call the support desk.")
    rows = json.loads(run("corpus", "diff", "HEAD", "corpus", "--format", "json").out)
    assert [(row["note"], row["what"]) for row in rows] == [("pad-demo", "revision 4 -> 4"), ("pad-other", "gone")]
    alone = run("corpus", "diff", "HEAD", "corpus", "pad-other")
    assert alone.out.splitlines()[0] == "pad-other: gone"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("history", "pad-none"), "git knows of no note 'pad-none'"),
        (("history", "../x"), "is no id of a note"),
        (("diff", "HEAD~9", "HEAD"), "no pack, no folder and no git revision"),
        (("diff", "--", "-x", "HEAD"), "no pack, no folder and no git revision"),
        (("diff", "HEAD~1", "HEAD", "pad-none"), "no note 'pad-none' in either"),
    ],
)
def test_calls_that_are_refused(run: Run, notes: Path, arguments: tuple[str, ...], words: str) -> None:
    ran = run("corpus", *arguments)
    assert ran.code == 2
    assert words in ran.err


def revisions(run: Run, *arguments: str) -> list[str]:
    found = json.loads(run("corpus", "check", "--rule", "C115", "--format", "json", *arguments).out)["findings"]
    return [one["message"] for one in found]


def test_a_changed_text_wants_a_higher_revision_than_the_commit_has(run: Run, notes: Path) -> None:
    assert revisions(run) == []
    change(notes, "title: Pad lamp stays dark", "title: Pad lamp is dark")
    assert revisions(run) == ["what a rep sees has changed since revision 4: make it 5"]
    change(notes, "revision: 4", "revision: 5")
    assert revisions(run) == []
    change(notes, "revision: 5", "revision: 2")
    assert revisions(run) == ["was 4 before: a revision never falls"]


def test_what_no_rep_sees_wants_no_revision(run: Run, notes: Path) -> None:
    change(notes, "reviewed: 2026-11-02", "reviewed: 2026-11-20")
    change(notes, "2. Unplug the old pad.", "2. Unplug\n   the old pad.")
    assert revisions(run) == []


def test_without_git_only_a_pack_tells_what_was_before(run: Run, tmp_path: Path) -> None:
    root = write_corpus(tmp_path / "corpus")
    assert run("corpus", "compile", "--corpus", "corpus", "--pack", "before.pack").code == 0
    change(root, "Unplug the pad.", "Unplug the old pad.")
    assert revisions(run) == []
    assert revisions(run, "--since", "before.pack") == ["what a rep sees has changed since revision 3: make it 4"]
    told = run("corpus", "diff", "before.pack", "corpus")
    assert "  + 2: Unplug the old pad." in told.out.splitlines()
    refused = run("corpus", "history", "pad-demo")
    assert (refused.code, "no git repository tells of these notes" in refused.err) == (2, True)


LINE = "2. Unplug the old pad.\n\n   ![The plug at the back of the pad](pad-plug.svg)\n\n"
DRAWN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle r="{}"/></svg>'


def drawn_anew(notes: Path) -> Path:
    """Commit a picture, then change what is drawn, and return its file."""
    picture = notes / "pad/pad-plug.svg"
    picture.write_text(DRAWN.format(3), "utf-8")
    change(notes, "2. Unplug the old pad.\n", LINE)
    change(notes, "revision: 4", "revision: 5")
    git(notes, "add", ".")
    git(notes, "commit", "-q", "-m", "a picture")
    picture.write_text(DRAWN.format(4), "utf-8")
    return picture


def test_a_changed_picture_is_a_changed_note(run: Run, notes: Path) -> None:
    drawn_anew(notes)
    found = json.loads(run("corpus", "check", "--rule", "C115", "--format", "json").out)["findings"]
    assert [(one["path"], one["message"]) for one in found] == [
        (f"corpus/{NOTE}", "what a rep sees has changed since revision 5: make it 6")
    ]
    ran = run("corpus", "diff", "HEAD", "corpus")
    assert (ran.code, ran.out.splitlines()[0]) == (0, "pad-demo: revision 5 -> 5")
    told = [line.rpartition(": ")[0] for line in ran.out.splitlines() if "pad-plug" in line]
    assert told == ["  - Picture pad-plug.svg, as drawn", "  + Picture pad-plug.svg, as drawn"]
    git(notes, "commit", "-q", "-am", "drawn anew")
    *_, before, last = (part.splitlines() for part in run("corpus", "history", "pad-demo").out.split("\n20"))
    assert "revision 5  a picture" in before[0]
    assert "  + Picture: The plug at the back of the pad" in before
    assert "revision 5  drawn anew" in last[0]
    assert any(line.startswith("  + Picture pad-plug.svg, as drawn: ") for line in last)


def test_a_draft_that_is_named_is_told_as_one(run: Run, notes: Path) -> None:
    change(notes, "sources: [common practice]", "sources: [common practice]\nstatus: draft")
    git(notes, "commit", "-q", "-am", "a draft")
    assert run("corpus", "diff", "HEAD~1", "HEAD").out.splitlines()[0] == "pad-demo: a draft now"
    change(notes, "minutes: 6", "minutes: 7")
    ran = run("corpus", "diff", "HEAD", "corpus", "pad-demo")
    assert (ran.code, ran.out) == (2, "")
    assert "pad-demo is a draft: its status says so" in ran.err
    ran = run("corpus", "print", "pad-demo", "--output", "b.html")
    assert (ran.code, ran.out) == (2, "")
    assert "pad-demo is a draft: its status says so" in ran.err
    assert "no note pad-nowhere" in run("corpus", "print", "pad-nowhere", "--output", "b.html").err
