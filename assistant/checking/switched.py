"""Rules that a corpus does without, each with a reason: ``rules.yaml``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from assistant.checking.rule import Book, Rule
from assistant.checking.trade_words import words_of
from assistant.errors import Fault, NotesError
from assistant.notes.yaml_text import read_mapping

__all__ = ["SWITCHES", "Switched", "kept_rules", "read_switches", "resting", "switched_off"]

SWITCHES = "rules.yaml"
"""Name of the file at the top of the corpus folder."""
_FORM = "must be 'CODE: {off: true, reason: why}' lines"
_ALWAYS = frozenset({"C101", "C108", "C109"})
"""What cannot be read, waived or is not written has to be told whatever else is kept."""


class Switched(NamedTuple):
    """A rule that is off, why, and the line that says so."""

    rule: str
    reason: str
    line: int


def switched_off(book: Book) -> tuple[Switched, ...]:
    """Return the rules that the corpus does without; a line at fault switches nothing off."""
    return read_switches(book.texts.get(SWITCHES, ()))[0]


def kept_rules(book: Book, rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Return the rules that the corpus keeps, and has the words for."""
    off = {one.rule for one in switched_off(book)} | {rule.code for rule in resting(book, rules)}
    return tuple(rule for rule in rules if rule.code not in off)


def resting(book: Book, rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Return the rules that find nothing, as the corpus has no words for them."""
    words = words_of(book)
    return tuple(rule for rule in rules if rule.needs and not words.has(rule.needs))


def read_switches(lines: Sequence[str]) -> tuple[tuple[Switched, ...], tuple[Fault, ...]]:
    """Read the lines of the file; YAML takes ``off`` for a false, which is no other key."""
    text = "\n".join(line.removesuffix("\r") for line in lines)
    try:
        loaded, places = read_mapping(text, SWITCHES, _FORM, once=True, begun=True)
    except NotesError as error:
        return (), tuple(error.faults)
    off: list[Switched] = []
    faults: list[Fault] = []
    for code, entry in loaded.items():
        line = places.get(str(code), 1)
        entry = {"off" if key is False else key: v for key, v in entry.items()} if isinstance(entry, dict) else entry
        fault = _fault(code, entry)
        if fault:
            faults.append(Fault(SWITCHES, line, fault))
        elif entry["off"]:
            off.append(Switched(code, entry["reason"].strip(), line))
    return tuple(off), tuple(faults)


def _fault(code: Any, entry: Any) -> str:
    if not isinstance(code, str) or not isinstance(entry, dict) or set(entry) != {"off", "reason"}:
        return f"{_FORM}: rule, off and reason, no more"
    if not isinstance(entry["off"], bool) or not isinstance(entry["reason"], str) or not entry["reason"].strip():
        return f"'{code}': off is true or false, and reason a text"
    if code in _ALWAYS:
        return f"'{code}' is always kept: without it what is wrong would not be told"
    return ""
