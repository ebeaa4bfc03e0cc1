"""C107: a national rule names its country."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.publishers import countries_missing
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, clip, found, said, whole_text

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    trade = book.corpus.trade
    for note in book.corpus.notes:
        for source in note.sources:
            if any(countries_missing(source, source, trade)):
                yield at_field(book, note, "sources", f"'{source}' does not name its country")
    for one in said(book):
        if any(countries_missing(one.text, whole_text(one.note, one.section), trade)):
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
