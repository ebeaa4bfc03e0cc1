"""``assistant corpus sign`` and ``assistant corpus readability``."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from assistant.notes.corpus import read_corpus
from assistant.notes.signing import state_of
from tests.cli.conftest import Run
from tests.making import write_corpus

DEMO, OTHER = "pad/pad-demo.md", "pad/pad-other.md"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Two valid notes in which the rules find no error."""
    root = write_corpus(tmp_path / "corpus")
    for path in (DEMO, OTHER):
        text = (root / path).read_text("utf-8").replace("   - If not: go to [Another pad](../pad/pad-other.md).\n", "")
        lines = [line for line in text.split("\n") if not line.startswith(("> **NOTICE", "   - If the lamp blinks"))]
        whole = "\n".join(lines).replace("see_also: [pad-other]", "see_also: []")
        (root / path).write_text(whole.replace("Look at [Another pad](../pad/pad-other.md).", "Call us."), "utf-8")
    return root


def states(root: Path) -> dict[str, str]:
    return {note.id: state_of(note) for note in read_corpus(root).notes}


def test_notes_are_signed_and_listed(run: Run, notes: Path) -> None:
    ran = run("corpus", "sign", "pad-demo", "pad-demo", "--by", " A.  Officer ", "--on", "2026-11-20")
    assert (ran.code, ran.out, ran.err) == (0, "pad-demo: revision 3 signed by A. Officer, 2026-11-20\n", "")
    assert states(notes) == {"pad-demo": "signed", "pad-other": "unsigned"}
    (notes / DEMO).write_text((notes / DEMO).read_text("utf-8").replace("Unplug the pad.", "Unplug it."), "utf-8")
    assert run("corpus", "sign", "pad-other", "--by", "B", "--on", "2026-11-21").code == 0
    listed = run("corpus", "sign", "--list")
    assert listed.out.splitlines() == [
        "pad-demo: stale by A. Officer, 2026-11-20, revision 3",
        "pad-other: signed by B, 2026-11-21, revision 3",
        "2 notes with a hazard: 1 signed, 1 stale, 0 not signed by a safety officer",
    ]
    assert run("corpus", "check", "--rule", "C308").out.splitlines()[-1] == listed.out.splitlines()[-1]
    as_json = json.loads(run("corpus", "sign", "--list", "--format", "json").out)
    assert {key: as_json[key] for key in ("notes", "signed", "stale", "unsigned")} == {
        "notes": 2,
        "signed": 1,
        "stale": 1,
        "unsigned": 0,
    }
    assert as_json["list"][1] == {"id": "pad-other", "state": "signed", "by": "B", "on": "2026-11-21", "revision": 3}


def test_the_day_is_today_where_none_is_given(run: Run, notes: Path) -> None:
    ran = run("corpus", "sign", "pad-demo", "--by", "A")
    review = read_corpus(notes).notes[0].safety_review
    assert review is not None
    assert ran.out == f"pad-demo: revision 3 signed by A, {date.fromisoformat(review.on)}\n"


def test_a_note_with_an_error_is_not_signed_nor_is_any_beside_it(run: Run, notes: Path) -> None:
    broken = (notes / OTHER).read_text("utf-8").replace("They can burn a hand.", "They are thin.")
    (notes / OTHER).write_text(broken, "utf-8")
    ran = run("corpus", "sign", "pad-demo", "pad-other", "--by", "A. Officer")
    assert (ran.code, ran.out) == (3, "")
    assert "nothing is signed: mend these first\npad/pad-other.md:" in ran.err
    assert "error C302" in ran.err
    assert set(states(notes).values()) == {"unsigned"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "name the notes to sign, or --list alone"),
        (("pad-demo", "--list"), "name the notes to sign, or --list alone"),
        (("pad-demo",), "name who signs with --by, in 60 characters at most"),
        (("pad-demo", "--by", "  "), "name who signs with --by, in 60 characters at most"),
        (("pad-demo", "--by", "A\x1b[2J"), "name who signs with --by, in 60 characters at most"),
        (("pad-demo", "--by", "A" * 61), "name who signs with --by, in 60 characters at most"),
        (("pad-demo", "--by", "A", "--on", "soon"), "'soon' is no day; write it as 2026-11-27"),
        (("pad-demo", "--by", "A", "--on", "9000-01-01"), "9000-01-01 lies in the future"),
        (("pad-no", "--by", "A"), "no note 'pad-no' that can be read"),
        (("pad-other", "--by", "A"), "pad-other: has no hazard, so that there is nothing to sign"),
    ],
)
def test_what_is_refused(run: Run, notes: Path, arguments: tuple[str, ...], told: str) -> None:
    lines = (notes / OTHER).read_text("utf-8").split("\n")
    (notes / OTHER).write_text("\n".join(line for line in lines if not line.startswith(">")), "utf-8")
    before = (notes / DEMO).read_bytes()
    ran = run("corpus", "sign", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert told in ran.err
    assert (notes / DEMO).read_bytes() == before


def test_a_link_to_another_file_is_not_written_through(run: Run, notes: Path) -> None:
    elsewhere = notes / "pad" / "elsewhere.kept"
    (notes / DEMO).rename(elsewhere)
    (notes / DEMO).symlink_to(elsewhere)
    ran = run("corpus", "sign", "pad-demo", "--by", "A")
    assert (ran.code, ran.out) == (3, "")
    assert "is a link to another file, which is left alone" in ran.err
    assert "safety_review" not in elsewhere.read_text("utf-8")


@pytest.mark.usefixtures("notes")
def test_reading_ease(run: Run) -> None:
    lines = run("corpus", "readability").out.splitlines()
    assert lines[0].startswith("6 steps: median 4 words a step, Flesch reading ease ")
    assert [line.split(":")[0] for line in lines[1:]] == ["pad-demo", "pad-other"]
    assert len(run("corpus", "readability", "--most", "1").out.splitlines()) == 2
    found = json.loads(run("corpus", "readability", "--format", "json").out)
    assert (found["steps"], found["words"], len(found["hardest"])) == (6, 4, 2)
