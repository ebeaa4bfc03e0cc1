"""Every rule finds its bad example at its line and leaves its good one alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.checking.check import Found, check
from assistant.checking.registry import all_rules
from assistant.checking.rule import Rule
from tests.unit.checking.seeds import TO_FILL_IN, add_example, book_of, write_frame

CORPUS = Path(__file__).parents[3] / "corpus"
RULES = all_rules()
ELSEWHERE = {
    "C104": "## If it still fails",
    "C205": "## Steps",
    "C510": "## Condition",
    "C706": "title: Spare goes back to the workshop",
}
"""Rules that speak of a whole section or note: the line where they speak."""
FOUND_AT = {
    "C113": "   - If the lamp is lit: go to [Pad is begun](../pad/pad-begun.md).",
    "C116": "   ![Picture of the lamp on the pad](pad-lamp.svg)",
    "C201": "3. Restart the console.",
    "C202": "1. Open the cabinet with the cabinet key.",
    "C203": "   - If the lamp is dark: go to step 2.",
    "C204": "   - If not: go to step 3.",
    "C206": "3. Dry the shelf.",
    "C209": "2. Blow the vents out with the air puffer.",
    "C211": "- The alarm has a flat battery.",
    "C807": "---",
    "C704": '"spare": {"pad": 1.0}',
}
"""Rules whose example has several lines: the one that is found."""


def by_code(rule: Rule) -> str:
    return rule.code


@pytest.mark.parametrize("rule", RULES, ids=by_code)
def test_the_bad_example_is_found_at_its_line(rule: Rule, tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    path = add_example(root, rule, rule.bad)
    book = book_of(root, ranked=True)
    found = [one.finding for one in check(book, [rule])]
    assert found
    assert {finding.path for finding in found} == {path}
    expected = ELSEWHERE.get(rule.code) or FOUND_AT.get(rule.code) or rule.bad.split("\n")[0]
    assert path in book.figures or book.texts[path][found[0].line - 1] == expected
    assert all(finding.message and finding.message.isprintable() for finding in found)


@pytest.mark.parametrize("rule", RULES, ids=by_code)
def test_the_good_example_is_clean_by_all_rules(rule: Rule, tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    add_example(root, rule, rule.good)
    rules = [one for one in RULES if one.code != "C108"] if rule.code == "C108" else RULES
    kept = [(one.rule.code, one.finding) for one in check(book_of(root, ranked=True), rules)]
    assert kept == []


def test_the_good_waiver_waives(tmp_path: Path) -> None:
    rule = next(one for one in RULES if one.code == "C108")
    root = write_frame(tmp_path / "notes")
    add_example(root, rule, rule.good)
    other = root / "pad/pad-other.md"
    other.write_text(other.read_text("utf-8").replace("2026-11-02", "2024-11-02"), "utf-8")
    assert check(book_of(root), RULES) == []


def test_one_folder_with_a_fault_of_every_rule(tmp_path: Path) -> None:
    root = write_frame(tmp_path / "notes")
    paths = {rule.code: add_example(root, rule, rule.bad, f"pad-x{rule.code.lower()}") for rule in RULES}
    found = check(book_of(root, ranked=True), RULES)
    missed = {
        code: path
        for code, path in paths.items()
        if (code, path) not in {(one.rule.code, one.finding.path) for one in found}
    }
    assert missed == {}


def test_the_shipped_corpus_is_clean(shipped_found: list[Found]) -> None:
    assert [one for one in shipped_found if one.rule.code not in TO_FILL_IN] == []


def test_rules_have_codes_in_groups_and_say_why() -> None:
    assert len(RULES) >= 32
    assert [rule.code for rule in RULES] == sorted({rule.code for rule in RULES})
    assert len({rule.name for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert re.fullmatch(r"C[1-8]\d\d", rule.code)
        assert re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)+|readable|imperative", rule.name)
        assert rule.severity in ("error", "warning", "note")
        assert all(text.endswith(".") for text in (rule.summary, rule.reason))
        assert rule.source
        assert rule.good != rule.bad
    assert {rule.code[1] for rule in RULES} == set("12345678")


def test_one_file_a_rule() -> None:
    folder = Path(__file__).parents[3] / "assistant/checking/rules"
    modules = [path for path in folder.glob("*.py") if path.name != "__init__.py"]
    assert len(modules) == len(RULES)
    assert all(path.read_text("utf-8").count("RULE = Rule(") == 1 for path in modules)
