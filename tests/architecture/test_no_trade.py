"""The program knows no trade: what stands in the shipped ``trade.yaml`` is told in no Python file."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from assistant.notes.trade import read_trade

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "assistant").rglob("*.py"))
PLAIN = {
    "artwork": "pictures in general",
    "asset label": "by which the program tells one station from another, whatever the trade",
    "cell": "of a table, a screen or a graph",
    "clear": "plain English",
    "display": "what shows the program, and a property of style sheets",
    "hand": "to hand over, at hand, in hand",
    "keyboard": "of whoever types",
    "kit bag": "what a rep carries, whatever the trade",
    "net": "a word of German",
    "network": "what parsers of files must not ask",
    "padding": "a property of style sheets",
    "parts": "what is used up, whatever the trade",
    "phone": "what a report is read on",
    "picture": "a photo of a report, a drawing",
    "power": "electricity, which every trade's rules on power speak of",
    "safety": "the one area of notes that the program itself knows",
    "screen": "the program's own",
    "sound": "whole; and C603 is on sound levels wherever they come from",
    "spare parts": "a heading of procedures to import",
    "tab": "the key, and the character",
    "tablet": "what a report is read on",
    "visit": "what the program records",
}
"""Names of the trade that are plain words as well, and what they mean in the program."""
OF_RULES = {"good", "bad", "summary", "reason", "name"}
"""A rule is told by examples of the trade that it was first written for; what it looks for stands in check.yaml."""
OF_THE_SHIPPED = {
    "tui/ask/entries.py": "three questions on the first page, which the catalogues of languages translate",
    "evaluation/glossary.py": "what a look-alike is, by an example",
    "cli/ask.py": "the example of README's first command",
    "cli/main.py": "the example of README's first command",
}


def names() -> list[str]:
    trade = read_trade(ROOT / "corpus")
    told = {*trade.stations, *trade.stations.values(), *trade.areas, *trade.areas.values()} - {"all", "any station"}
    told |= {item.name for item in (*trade.tools, *trade.parts)}
    return sorted(told)


def texts(source: str) -> Iterator[tuple[int, str]]:
    """Yield the strings of a module with their lines, those by which a rule is told left out."""
    tree = ast.parse(source)
    told = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Rule"
        for word in node.keywords
        if word.arg in OF_RULES
        for part in ast.walk(word.value)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value


def found(source: str, wanted: list[str]) -> list[tuple[int, str]]:
    named = re.compile(rf"(?<![A-Za-z-])(?:{'|'.join(map(re.escape, wanted))})s?(?![A-Za-z-])", re.IGNORECASE)
    return sorted({(line, match.group().lower()) for line, text in texts(source) for match in named.finditer(text)})


def test_no_module_tells_of_the_trade() -> None:
    wanted = [name for name in names() if name not in PLAIN]
    sources = {path.relative_to(ROOT / "assistant").as_posix(): path for path in SOURCES}
    told = {
        name: found(path.read_text("utf-8"), wanted) for name, path in sources.items() if name not in OF_THE_SHIPPED
    }
    assert {name: words for name, words in told.items() if words} == {}


def test_what_is_allowed_is_a_name_of_the_trade_or_a_file() -> None:
    assert set(PLAIN) - {"clear"} <= set(names())
    assert all((ROOT / "assistant" / path).is_file() for path in OF_THE_SHIPPED)


def test_the_search_can_fail() -> None:
    source = 'RULE = Rule(good="the console", find=_of("two consoles"))\nX = "a wired pad"  # console\n'
    assert found(source, ["console", "wired pad"]) == [(1, "consoles"), (2, "wired pad")]
