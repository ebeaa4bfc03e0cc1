"""C108: the lists of waivers, of rules that are off and of words for rules are in order."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath

from assistant.checking.registry import all_rules
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.switched import SWITCHES, read_switches
from assistant.checking.trade_words import WORDS, words_in
from assistant.checking.waivers import WAIVERS, read_waivers

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    waivers, faults = read_waivers(book.texts.get(WAIVERS, ()))
    for fault in faults:
        yield Finding(*fault)
    off, more = read_switches(book.texts.get(SWITCHES, ()))
    for fault in more:
        yield Finding(*fault)
    for fault in words_in(book.texts.get(WORDS, ()))[1]:
        yield Finding(*fault)
    codes = {rule.code for rule in all_rules()}
    for switched in off:
        if switched.rule not in codes:
            yield Finding(SWITCHES, switched.line, f"switches off '{switched.rule}', which is no rule")
    unread = book.unread()
    names = {note.id for note in book.corpus.notes} | {PurePosixPath(path).stem for path in unread}
    names |= {*book.texts, *unread}
    for waiver in waivers:
        if waiver.rule not in codes:
            yield Finding(WAIVERS, waiver.line, f"waives '{waiver.rule}', which is no rule")
        if waiver.note not in names:
            yield Finding(WAIVERS, waiver.line, f"waives for '{waiver.note}', which is neither a note nor a file")


RULE = Rule(
    code="C108",
    name="waivers-in-order",
    severity="warning",
    summary="Every waiver has a rule, a note or file, and a reason, and waives something; rules.yaml names rules, and "
    "check.yaml can be read.",
    reason="A waiver that nobody needs hides the next fault.",
    source="the corpus's own style",
    good="- {rule: C105, note: pad-other, reason: a new review is under way}",
    bad="- {rule: C999, note: pad-other, reason: a new review is under way}",
    find=_find,
    place="waivers",
    across=True,
)
