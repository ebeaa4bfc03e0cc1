"""``check.yaml``: what may stand in it, and that a trade without words is left in peace by the rules that need them."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.limits import beyond
from assistant.checking.registry import all_rules
from assistant.checking.switched import kept_rules
from assistant.checking.trade_words import WORDS, TradeWords, read_words, words_in
from assistant.errors import NotesError
from tests.unit.checking.seeds import SHIPPED, add_example, book_of, write_frame

RULES = {rule.code: rule for rule in all_rules()}
NEEDING = {rule.code for rule in all_rules() if rule.needs}


def test_the_shipped_file_has_words_for_every_rule_that_needs_some() -> None:
    words = read_words(SHIPPED)
    assert all(words.has(rule.needs) for rule in all_rules() if rule.needs)
    assert {*words.advice, *words.limits} <= NEEDING


def test_rules_rest_without_their_words(tmp_path: Path) -> None:
    """And find nothing where they are asked for by name, though their bad example stands there."""
    root = write_frame(tmp_path / "notes")
    for code in sorted(NEEDING):
        add_example(root, RULES[code], RULES[code].bad, f"pad-{code.lower()}")
    book = book_of(root)
    assert {one.rule.code for one in check(book, kept_rules(book, all_rules()))} >= NEEDING
    (root / WORDS).unlink()
    bare = book_of(root)
    assert {rule.code for rule in all_rules()} - {rule.code for rule in kept_rules(bare, all_rules())} == NEEDING
    assert check(bare, [RULES[code] for code in sorted(NEEDING)]) == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("- power\n", "must have the sections"),
        ("[" * 5000, "nested too deeply"),
        ("words: [a]\n", "unknown section 'words'"),
        ("notes: {other: safety-x}\n", "may have isolating, kit"),
        ("notes: {kit: [a]}\n", "an id of a note each"),
        ("power: {devices: []}\n", "devices is a list"),
        ("power: {devices: [a], test: ['(']}\n", "'(' is no expression"),
        ("power: {devices: [a], test: ['x', '(?i)y']}\n", "'(?i)y' is no expression"),
        ("power: {devices: [a], test: ['(?P<a>x)']}\n", "has a group"),
        ("limits: {C601: [{unit: (C), most: 9}]}\n", "has a group"),
        ("power: {devices: [a], test: ['" + "a" * 1001 + "']}\n", "is longer than 1000 characters"),
        ("power: {devices: [a], off: [b]}\n", "may have devices, takes"),
        ("power: {devices: [a], same: [b]}\n", "same are 'act: [expressions]' lines"),
        ("advice: {C410: {says: a}}\n", "each has says, a text, and finds"),
        ("advice: {C410: [a]}\n", "may have says, finds, unless"),
        ("limits: {C601: {unit: V}}\n", "a list of limits under each code"),
        ("limits: {C601: [{unit: V, never: a}]}\n", "either unit or never"),
        ("limits: {C601: [{where: a}]}\n", "either unit or never"),
        ("limits: {C601: [{unit: V, within: [[1]]}]}\n", "within one of pairs"),
        ("limits: {C601: [{unit: V, most: high}]}\n", "least and most are numbers"),
        ("causes: {devices: a}\n", "lists of texts"),
        ("names: a\n", "a list of texts"),
        ("names: [a]\nnames: [b]\n", "stands twice"),
    ],
)
def test_a_file_at_fault_is_told_by_its_line(tmp_path: Path, text: str, words: str) -> None:
    root = write_frame(tmp_path / "notes")
    (root / WORDS).write_text(text, "utf-8")
    (found,) = check(book_of(root), [RULES["C108"]])
    assert (found.finding.path, words in found.finding.message) == (WORDS, True), found.finding.message
    with pytest.raises(NotesError, match=WORDS):
        read_words(root)


@pytest.mark.parametrize("text", ["", "\n# nothing yet\n", "# nothing\r\n"])
def test_an_empty_file_is_no_fault(text: str) -> None:
    assert words_in(tuple(text.split("\n"))) == (TradeWords(), ())
    assert read_words(Path("no such folder")) == TradeWords()


@pytest.mark.parametrize(
    ("limit", "text", "wrong"),
    [
        ("unit: bar, most: 9", "The pump gives 10 bar.", True),
        ("unit: bar, most: 9", "The pump gives 9 bar.", False),
        ("unit: bar, least: 8, one_of: [2]", "The pump gives 7 bar.", True),
        ("unit: bar, least: 8, one_of: [2]", "The pump gives 2 bar.", False),
        ("where: boiler, unit: C, within: [[90, 96]]", "The boiler holds 99 C.", True),
        ("where: boiler, unit: C, within: [[90, 96]]", "The tray stands at 99 C.", False),
        ("where: boiler, unless: off, unit: C, within: [[90, 96]]", "The boiler is off at 20 C.", False),
        ("never: 'warm milk twice'", "You may warm milk twice.", True),
        ("never: 'warm milk twice', unless: not", "Do not warm milk twice.", False),
    ],
)
def test_a_limit_of_a_trade_of_ones_own(tmp_path: Path, limit: str, text: str, wrong: bool) -> None:
    root = write_frame(tmp_path / "notes")
    (root / WORDS).write_text(f"limits:\n  C601: [{{{limit}}}]\n", "utf-8")
    add_example(root, RULES["C601"], f"{text} It is so.")
    assert bool(list(beyond("C601")(book_of(root)))) == wrong
