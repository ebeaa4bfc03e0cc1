"""C107: a national rule names its country."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, clip, found, has, said, whole_text

__all__ = ["RULE"]

_STATES = r"\bUS\b|\bUSA\b|\bUnited States\b"
_KINGDOM = r"\bUK\b|\bBritish\b|\bUnited Kingdom\b"
_COUNTRIES = {
    r"\b\d+ CFR\b": _STATES,
    r"\bADA Standards\b": _STATES,
    r"\bNIOSH\b": _STATES,
    r"\bCDC\b": _STATES,
    r"\bHSG107\b|\bINDG236\b": _KINGDOM,
}


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for source in note.sources:
            if any(has(source, rule) and not has(source, country) for rule, country in _COUNTRIES.items()):
                yield at_field(book, note, "sources", f"'{source}' does not name its country")
    for one in said(book):
        for rule, country in _COUNTRIES.items():
            if has(one.text, rule) and not has(whole_text(one.note, one.section), country):
                yield found(book, one, f"does not name the country of the rule: {clip(one.text)}")


RULE = Rule(
    code="C107",
    name="country-named",
    severity="warning",
    summary="A national rule or guide is named with its country, among the sources and in the text.",
    reason="Rules differ from country to country, and a rep must know whose rule it is.",
    source="common practice",
    good="sources: [29 CFR 1910.334 (US)]",
    bad="sources: [29 CFR 1910.334]",
    find=_find,
    place="front",
)
