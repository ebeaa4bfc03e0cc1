"""Rules that a corpus does without."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.switched import kept_rules, read_switches, switched_off
from tests.unit.checking.seeds import book_of, write_frame


def test_a_rule_with_a_reason_is_off(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    (root / "rules.yaml").write_text(
        "# off\nC205: {off: true, reason: short notes}\nC206: {off: false, reason: looked at}\n", "utf-8"
    )
    book = book_of(root)
    assert [(one.rule, one.reason, one.line) for one in switched_off(book)] == [("C205", "short notes", 2)]
    assert {rule.code for rule in all_rules()} - {rule.code for rule in kept_rules(book, all_rules())} == {"C205"}
    assert check(book, all_rules()) == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("C205: off\n", "rule, off and reason"),
        ("C205: {off: true}\n", "rule, off and reason"),
        ("C205: {off: true, reason: ' '}\n", "reason a text"),
        ("C205: {off: maybe, reason: r}\n", "off is true or false"),
        ("C101: {off: true, reason: r}\n", "always kept"),
        ("C999: {off: true, reason: r}\n", "which is no rule"),
        ("- C205\n", "must be"),
        ("C205: {off: true, reason: r}\nC205: {off: true, reason: s}\n", "stands twice"),
        ("[" * 5000, "nested too deeply"),
    ],
)
def test_a_line_at_fault_is_told_and_switches_nothing_off(tmp_path: Path, text: str, words: str) -> None:
    root = write_frame(tmp_path / "notes")
    (root / "rules.yaml").write_text(text, "utf-8")
    book = book_of(root)
    (found,) = check(book, all_rules())
    assert (found.rule.code, found.finding.path) == ("C108", "rules.yaml")
    assert words in found.finding.message
    assert {rule.code for rule in all_rules()} == {rule.code for rule in kept_rules(book, all_rules())}


@pytest.mark.parametrize("text", ["", "\n# nothing yet\n", "# nothing\r\n"])
def test_an_empty_list_is_no_fault(text: str) -> None:
    assert read_switches(text.split("\n")) == ((), ())
