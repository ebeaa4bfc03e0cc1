"""Running the rules over a book, with the waivers applied."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from assistant.checking.asked import phrases_of
from assistant.checking.by_language import readable
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.trade_words import WORDS
from assistant.checking.waivers import WAIVERS, read_waivers
from assistant.model import Note
from assistant.progress import Progress, counted, silent

__all__ = ["WAIVER_RULE", "Found", "check", "narrowed"]

WAIVER_RULE = "C108"
"""Code of the rule under which a waiver that waives nothing is told."""


class Found(NamedTuple):
    """A finding and the rule that found it."""

    finding: Finding
    rule: Rule


def check(book: Book, rules: Sequence[Rule], progress: Progress = silent) -> list[Found]:
    """Run ``rules`` and return what they find, in the order of path, line and code; the same book gives the same list.

    Those that do not read the language of the notes are not run.

    Findings that are waived are left out. A waiver of a rule that ran is told where it waives nothing, if the rule on
    waivers is among ``rules`` and all files can be read: what cannot be read has no other findings.
    """
    rules = readable(book, rules)
    last = sorted(rules, key=lambda rule: rule.needs_pack)
    told = counted(last, progress, f"keeping {len(rules)} rules")
    found = [Found(finding, rule) for rule in told for finding in dict.fromkeys(rule.find(book))]
    waivers, _ = read_waivers(book.texts.get(WAIVERS, ()))
    kept = []
    used = set()
    for one in found:
        waived_by = [w for w in waivers if w.covers(one.rule.code, one.finding.path, one.finding.message)]
        used.update(waived_by)
        if not waived_by:
            kept.append(one)
    telling = next((rule for rule in rules if rule.code == WAIVER_RULE), None)
    if telling and not book.faults:
        ran = {rule.code for rule in rules if book.first_note or not rule.needs_pack}
        kept += [
            Found(Finding(WAIVERS, w.line, f"waives nothing: {w.rule} finds nothing of the kind in {w.note}"), telling)
            for w in waivers
            if w.rule in ran and w not in used
        ]
    return sorted(kept, key=lambda one: (one.finding.path, one.finding.line, one.rule.code, one.finding.message))


def narrowed(book: Book, note: Note) -> Book:
    """Return the book of one note: all that rules find in its files which do not look across notes."""
    own = {note.path, note.path.removesuffix(".md") + ".questions.txt", phrases_of(note)}
    return book._replace(
        corpus=book.corpus._replace(notes=(note,)),
        texts={path: lines for path, lines in book.texts.items() if path in own or path in (WAIVERS, WORDS)},
        faults=tuple(fault for fault in book.faults if fault.path in own),
    )
