"""Waivers: what they cover, and when they are findings themselves."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.waivers import Waiver, read_waivers
from tests.unit.checking.seeds import FRONT, NAME, book_of, note_text, phrases_text, write_frame

RULES = all_rules()


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A folder with one note whose review is too old and whose title ends in a stop."""
    root = write_frame(tmp_path / "notes")
    text = note_text(NAME).replace("2026-11-02", "2024-11-02").replace("stays dark\nstation", "stays dark.\nstation")
    (root / f"pad/{NAME}.md").write_text(text, "utf-8")
    (root / f"pad/{NAME}.phrases.yaml").write_text(phrases_text(NAME, FRONT["title"]), "utf-8")
    return root


def told(root: Path, waivers: str, codes: tuple[str, ...] = ()) -> list[tuple[str, str, int]]:
    (root / "waivers.yaml").write_text(waivers, "utf-8")
    rules = [rule for rule in RULES if not codes or rule.code in codes]
    return [(one.rule.code, one.finding.path, one.finding.line) for one in check(book_of(root), rules)]


NOTE = f"pad/{NAME}.md"


def test_without_waivers_both_are_found(old: Path) -> None:
    assert [(one.rule.code, one.finding.path) for one in check(book_of(old), RULES)] == [("C509", NOTE), ("C105", NOTE)]


@pytest.mark.parametrize("name", [NAME, NOTE])
def test_a_waiver_takes_out_its_rule_in_its_note_alone(old: Path, name: str) -> None:
    waivers = f"# kept\n- {{rule: C105, note: {name}, reason: the review is under way}}\n"
    assert told(old, waivers) == [("C509", NOTE, 3)]


def test_words_narrow_a_waiver(old: Path) -> None:
    start = f"- {{rule: C105, note: {NAME}, reason: r, words: "
    assert told(old, f"{start}was last}}\n") == [("C509", NOTE, 3)]
    assert told(old, f"{start}in the future}}\n") == [
        ("C509", NOTE, 3),
        ("C105", NOTE, 11),
        ("C108", "waivers.yaml", 1),
    ]


def test_a_waiver_that_waives_nothing_is_found_if_its_rule_ran(old: Path) -> None:
    waivers = "\n- {rule: C105, note: pad-other, reason: r}\n- {rule: C702, note: pad-other, reason: r}\n"
    assert told(old, waivers, ("C105", "C108", "C702")) == [("C105", NOTE, 11), ("C108", "waivers.yaml", 2)]
    assert told(old, waivers, ("C509", "C108", "C702")) == [("C509", NOTE, 3)]
    assert told(old, waivers, ("C105",)) == [("C105", NOTE, 11)]


@pytest.mark.parametrize(
    "entry",
    [
        "{rule: C999, note: pad-other, reason: r}",
        "{rule: C105, note: pad-nowhere, reason: r}",
        "{rule: C105, note: pad-seed}",
        "{rule: C105, note: pad-seed, reason: ' '}",
        "{rule: C105, note: pad-seed, reason: r, until: tomorrow}",
        "{rule: C105, note: [pad-seed], reason: r}",
        "C105",
        "[C105, pad-seed, r]",
    ],
)
def test_an_entry_at_fault_is_found_and_waives_nothing(old: Path, entry: str) -> None:
    found = told(old, f"- {entry}\n")
    assert ("C105", NOTE, 11) in found
    assert {one for one in found if one[1] == "waivers.yaml"} == {("C108", "waivers.yaml", 1)}


@pytest.mark.parametrize(
    "text", ["rule: C105", "just words", "- {rule: [", "[" * 5000, "- &a [*a]", "- *nothing", "\x00"]
)
def test_a_list_at_fault_is_found(old: Path, text: str) -> None:
    found = told(old, text)
    assert ("C108", "waivers.yaml", 1) in found
    assert ("C105", NOTE, 11) in found


@pytest.mark.parametrize("text", ["", "\n# nothing yet\n", "---\n"])
def test_an_empty_list_is_no_fault(text: str) -> None:
    assert read_waivers(text.split("\n")) == ([], [])


def test_a_waiver_for_a_note_covers_its_questions() -> None:
    waiver = Waiver("C701", "pad-seed", "r", "", 1)
    assert waiver.covers("C701", "pad/pad-seed.questions.txt", "m")
    assert waiver.covers("C701", "pad/pad-seed.md", "m")
    assert not waiver.covers("C701", "pad/pad-seeds.md", "m")
    assert not waiver.covers("C702", "pad/pad-seed.md", "m")
