"""C611: tools and parts have the one name that the trade gives them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from difflib import get_close_matches

from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.said import found, said
from assistant.checking.tools import Kind, any_of, items_of, masked
from assistant.checking.trade_words import words_of
from assistant.model import Item, Note

__all__ = ["RULE"]

_ARTICLE = r"(?P<article>\b(?:a|an) )?"
_Known = Mapping[str, tuple[Kind, Item]]


def _find(book: Book) -> Iterator[Finding]:
    trade = book.corpus.trade
    if not book.has_trade():
        return
    known = {item.name: (kind, item) for kind, item in items_of(trade)}
    others = {other: item for _, item in known.values() for other in item.other}
    for note in book.corpus.notes:
        for field, names in (("tools", note.tools), ("parts", note.parts)):
            for name in names:
                if fault := _fault(name, field, known, others):
                    yield _at_list(book, note, field, name, fault, others.get(name))
    names_apart = words_of(book).names
    told = {word for words in trade.words.values() for word in words}
    pattern = any_of(tuple(other for other in others if other not in told))
    for one in said(book, "before", "steps", "choices"):
        for match in pattern.finditer(masked(one.text, trade, names_apart)):
            said_so = match.group().lower()
            other = said_so if said_so in others else said_so.removesuffix("s")
            if other in others:
                finding = found(book, one, f"names '{other}'; the one name for it is '{others[other].name}'")
                yield finding._replace(edit=_edit_of(book, finding, other, others[other]))


def _fault(name: str, field: str, known: _Known, others: Mapping[str, Item]) -> str:
    """Say what is wrong with a name in a list, empty where nothing is."""
    if name in known:
        kind = known[name][0]
        return "" if kind == field else f"'{name}' is one of the {kind}, and no other"
    if name in others:
        return f"'{name}' is no name of the trade; did you mean '{others[name].name}'?"
    near = get_close_matches(name, known, n=1)
    return f"'{name}' is no name of the trade{f'; did you mean {near[0]!r}?' if near else ''}"


def _at_list(book: Book, note: Note, field: str, name: str, fault: str, item: Item | None) -> Finding:
    """Return the finding at a field, with an edit where the right name takes the place of ``name`` on that line."""
    number = book.line_of(note, f"{field}:")
    lines = book.texts.get(note.path, ())
    line = lines[number - 1] if number <= len(lines) else ""
    entry = re.compile(rf"(?<=[\[,])(\s*){re.escape(name)}(?=\s*[,\]])")
    if item is None or item.name in line or len(entry.findall(line)) != 1:
        return Finding(note.path, number, fault)
    after = entry.sub(lambda match: f"{match[1]}{item.name}", line)
    return Finding(note.path, number, fault, Edit(note.path, number, line, after))


def _edit_of(book: Book, finding: Finding, other: str, item: Item) -> Edit | None:
    """Return the edit of a line of text; none for a single word, which may be another thing, nor where it is unsure."""
    lines = book.texts.get(finding.path, ())
    line = lines[finding.line - 1] if finding.line <= len(lines) else ""
    phrase = re.compile(rf"{_ARTICLE}\b{re.escape(other)}(?P<more>s?)\b")
    if " " not in other or len(phrase.findall(line)) != 1:
        return None

    def named(match: re.Match[str]) -> str:
        name = item.plural if match["more"] else item.name
        article = ("an " if name[0] in "aeiou" else "a ") if match["article"] else ""
        return f"{article}{name}"

    return Edit(finding.path, finding.line, line, phrase.sub(named, line))


RULE = Rule(
    code="C611",
    name="trade-name",
    severity="warning",
    summary="A tool or part has its one name of trade.yaml, in the right list, and steps use no other name for it.",
    reason="The bag is packed and orders are placed by these names; of two names one is not found.",
    source="ASD-STE100 Issue 9 (2025), rules of section 1 (from memory); the corpus's own style",
    good="tools: [cabinet key]",
    bad="tools: [cabinet key, flashlight]",
    find=_find,
    place="front",
)
