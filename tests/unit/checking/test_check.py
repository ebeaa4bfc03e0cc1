"""The rules as a whole: told in full, clean on the shipped notes, each fault at its line, mended once."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from assistant.checking.book import read_book
from assistant.checking.check import check, narrowed
from assistant.checking.output import findings_sarif, findings_text, rules_markdown
from assistant.checking.registry import all_rules
from assistant.checking.rule import Rule
from assistant.checking.trade_words import WORDS
from assistant.checking.words import COMMANDS
from tests.making import NOTE_PATH
from tests.unit.checking.seeds import add_example, book_of, write_frame

CORPUS = Path(__file__).parents[3] / "corpus"
DAY = date(2026, 11, 27)


def test_every_rule_is_told_in_full() -> None:
    rules = all_rules()
    assert len(rules) >= 30
    assert [rule.code for rule in rules] == sorted({rule.code for rule in rules})
    for rule in rules:
        assert all((rule.name, rule.summary, rule.reason, rule.source, rule.good, rule.bad)), rule.code
        assert rule.severity in {"error", "warning", "note"}


def test_the_table_of_rules_in_the_style_guide_is_in_step() -> None:
    assert rules_markdown(all_rules()).strip() in (CORPUS / "STYLE.md").read_text("utf-8")


def test_the_style_guide_lists_every_command() -> None:
    text = (
        (CORPUS / "STYLE.md").read_text("utf-8").split("<!-- commands: begin -->")[1].split("<!-- commands: end -->")[0]
    )
    assert set(text.replace(",", " ").replace(".", " ").split()) == COMMANDS


def test_faults_are_found_at_their_lines(two_notes: Path) -> None:
    (two_notes / WORDS).write_text((CORPUS / WORDS).read_text("utf-8"), "utf-8")
    path = two_notes / NOTE_PATH
    text = path.read_text("utf-8").replace(
        "2. Unplug the pad.", "2. Unplug the pad and then lift the console by the lead."
    )
    path.write_text(text, "utf-8")
    line = next(n for n, row in enumerate(text.split("\n"), start=1) if "by the lead" in row)
    found = [one for one in check(read_book(two_notes, DAY), all_rules()) if one.finding.line == line]
    words = findings_text(found, two_notes)
    assert len({one.rule.code for one in found}) >= 2
    assert f"{NOTE_PATH}:{line}: " in words
    assert "C4" in words


def test_a_note_that_cannot_be_read_is_a_finding_and_the_rest_is_checked(two_notes: Path) -> None:
    (two_notes / "pad/pad-broken.md").write_text("no front matter\n", "utf-8")
    found = check(read_book(two_notes, DAY), all_rules())
    assert any(one.finding.path == "pad/pad-broken.md" and one.rule.code == "C101" for one in found)
    assert any(one.finding.path == NOTE_PATH for one in found)


def test_sarif_names_rule_and_place(two_notes: Path) -> None:
    """OASIS SARIF 2.1.0, sections 3.13, 3.19 and 3.27 (from memory): required properties."""
    rules = all_rules()
    found = check(read_book(two_notes, DAY), rules)
    log = json.loads(findings_sarif(found, two_notes, rules, "0"))
    [run] = log["runs"]
    assert log["version"] == "2.1.0"
    driver = run["tool"]["driver"]
    assert [rule["id"] for rule in driver["rules"]] == [rule.code for rule in rules]
    assert len(run["results"]) == len(found)
    for result, one in zip(run["results"], found, strict=True):
        assert result["ruleId"] == driver["rules"][result["ruleIndex"]]["id"] == one.rule.code
        region = result["locations"][0]["physicalLocation"]["region"]
        assert region["startLine"] == one.finding.line
        assert result["message"]["text"]


@pytest.mark.parametrize("rule", [rule for rule in all_rules() if not rule.across], ids=lambda rule: rule.code)
def test_a_rule_that_does_not_look_across_finds_the_same_note_by_note(rule: Rule, tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    for one in all_rules():
        add_example(root, one, one.bad, f"pad-x{one.code.lower()}")
    book = book_of(root, ranked=True)
    endings = (".md", ".questions.txt", ".phrases.yaml")
    own = {note.path.replace(".md", ending) for note in book.corpus.notes for ending in endings}
    whole = {finding for finding in rule.find(book) if finding.path in own}
    parts = {finding for note in book.corpus.notes for finding in rule.find(narrowed(book, note))}
    assert {finding for finding in parts if finding.path in own} == whole
