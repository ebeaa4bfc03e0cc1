"""The rules on permission, on shares without a source, and on one way of writing a source; and the reading ease."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.mend import mend_all
from assistant.checking.readability import ease_of, readability
from assistant.checking.registry import all_rules
from tests.unit.checking.seeds import BARE_WIRE, NAME, book_of, note_text, write_frame

NOTE = f"pad/{NAME}.md"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return write_frame(tmp_path / "notes")


def found(root: Path, code: str) -> list[str]:
    return [one.finding.message for one in check(book_of(root), [rule for rule in all_rules() if rule.code == code])]


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("Ask the duty manager for leave to move it.", "Ask the duty manager for permission to move it."),
        ("Get leave from the support desk.", "Get permission from the support desk."),
        ("Without leave, touch nothing.", "Without permission, touch nothing."),
        ("You have leave to work, or had no leave.", "You have permission to work, or had no permission."),
        ("Leave is needed even for a restart.", "Permission is needed even for a restart."),
        ("If leave was given, go on.", "If permission was given, go on."),
        ("The store gives leave to work.", "The store gives permission to work."),
    ],
)
def test_leave_that_means_permission(root: Path, text: str, after: str) -> None:
    (root / NOTE).write_text(note_text(NAME).replace("Nobody sees it.", text), "utf-8")
    assert len(found(root, "C514")) == 1
    mend_all(root, lambda: book_of(root), [rule for rule in all_rules() if rule.code == "C514"])
    assert (root / NOTE).read_text("utf-8") == note_text(NAME).replace("Nobody sees it.", after)


@pytest.mark.parametrize(
    "text",
    [
        "Leave the lid shut.",
        "Wait before you leave.",
        "Ask the duty manager to leave the power on.",
        "A wrong one may leave the device dead.",
        "Those who have leave it on the shelf.",
        "What staff want leave it be.",
    ],
)
def test_leave_that_means_something_else(root: Path, text: str) -> None:
    (root / NOTE).write_text(note_text(NAME).replace("Nobody sees it.", text), "utf-8")
    assert found(root, "C514") == []


@pytest.mark.parametrize(
    ("why", "sources", "told"),
    [
        ("Most dead pads are not broken.", "[common practice]", True),
        ("A restart cures most hangs.", "[common practice]", True),
        ("Many pads measure it.", "[common practice]", True),
        ("Most dead pads are not broken.", "[NIST SP 500-252, common practice]", False),
        ("Radio hops many times a second.", "[common practice]", False),
        ("It takes at most a minute.", "[common practice]", False),
    ],
)
def test_shares_want_a_source(root: Path, why: str, sources: str, told: bool) -> None:
    text = note_text(NAME).replace("Nobody sees it.", why).replace("sources: [common practice]", f"sources: {sources}")
    (root / NOTE).write_text(text, "utf-8")
    assert bool(found(root, "C515")) is told


@pytest.mark.parametrize(
    ("first", "second", "same"),
    [
        ("HSG107 3rd ed 2013 (UK)", "HSG107 third edition 2013 (UK)", True),
        ("HSG107 3rd ed 2013 (UK)", "HSE HSG107 (UK)", True),
        ("NIOSH Pocket Guide 0359 (US)", "NIOSH Pocket Guide npgd0359 (US)", True),
        ("WCAG 2.2 criterion 2.3.1", "WCAG 2.3.1", True),
        ("IEC 62368-1", "IEC 62368-1 (from memory)", True),
        ("IEC 60825-1:2014", "IEC 60825-1", True),
        ("29 CFR 1910.157(g) (US)", "29 CFR 1910.157(g) (US, from memory)", True),
        ("29 CFR 1910.334(a) (US)", "29 CFR 1910.334(a)(2) (US)", False),
        ("IEC 62368-1", "IEC 62368-1 clause 10.6", False),
        ("WCAG 2.2 criteria 1.2.2 and 1.4.4", "WCAG 2.2 criterion 1.4.4", False),
        ("Regulation (EU) 2016/679 article 5 (EU)", "Regulation (EU) 2023/988 article 5 (EU)", False),
        ("AHA guidelines for CPR 2020 (US)", "CDC seizure first aid (US)", False),
    ],
)
def test_one_publication_is_written_one_way(root: Path, first: str, second: str, same: bool) -> None:
    (root / NOTE).write_text(note_text(NAME).replace("[common practice]", f"[{first!r}, {second!r}]"), "utf-8")
    usual, other = sorted((first, second))
    assert found(root, "C112") == ([f"'{other}' is '{usual}' elsewhere: write it one way"] if same else [])


def test_the_form_that_is_used_most_is_the_usual_one_and_the_table_of_hazards_counts(root: Path) -> None:
    source = "HSG107 third edition 2013 (UK)"
    (root / NOTE).write_text(note_text(NAME).replace("[common practice]", f"['{source}', 'NIST SP 500-252']"), "utf-8")
    again = note_text("pad-seed-two").replace("[common practice]", f"['{source}']")
    (root / "pad/pad-seed-two.md").write_text(again, "utf-8")
    table = BARE_WIRE.replace("common practice", "common practice; HSG107 3rd ed 2013 (UK)")
    (root / "hazards.yaml").write_text(table, "utf-8")
    (one,) = check(book_of(root), [rule for rule in all_rules() if rule.code == "C112"])
    assert (one.finding.path, one.finding.line) == ("hazards.yaml", 6)


def test_reading_ease_is_that_of_flesch() -> None:
    assert ease_of(["The cat sat on the mat."]) == pytest.approx(206.835 - 1.015 * 6 - 84.6)
    assert ease_of(["Look here. Wait for 10."]) == pytest.approx(206.835 - 1.015 * 5 / 2 - 84.6)
    assert ease_of([]) == 0.0


def test_the_hardest_note_comes_first(root: Path) -> None:
    hard = "Electromagnetic compatibility characteristics deteriorate considerably."
    (root / NOTE).write_text(note_text(NAME).replace("Play one demo loop.", hard), "utf-8")
    ease = readability(book_of(root).corpus.notes)
    assert [one.note for one in ease.notes] == [NAME, "pad-other"]
    assert (ease.together.steps, ease.notes[0].words, ease.notes[0].steps) == (6, 6, 3)
    assert ease.notes[0].ease < ease.together.ease < ease.notes[1].ease
