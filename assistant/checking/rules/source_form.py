"""C112: one publication is written in one way."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field
from assistant.notes.hazards import HAZARDS

__all__ = ["RULE"]

_ASIDE = re.compile(r"\s\([^()]*\)")
_YEAR_OR_EDITION = re.compile(
    r":(?:19|20)\d\d\b|(?<![\w./-])(?:19|20)\d\d(?![\w./-])|\b\d(?:st|nd|rd|th)\b|\brev(?:ision)?\.? \d+", re.IGNORECASE
)
_NUMBER = re.compile(r"\d[\d./-]*(?:\([A-Za-z0-9]+\))*")
_SHORTEST = 3
"""Characters of a number that says alone which publication, or which place in it, is meant."""


def _key(source: str) -> str:
    """Return what two ways of writing one publication have in common: its number, or all of its words."""
    text = _ASIDE.sub("", source)
    numbers = _NUMBER.findall(_YEAR_OR_EDITION.sub("", text))
    alone = numbers and len(numbers[-1]) >= _SHORTEST and " and " not in text
    return numbers[-1] if alone else " ".join(text.lower().split())


def _places(book: Book) -> Iterator[tuple[str, Finding]]:
    """Yield every source and a finding, without its message, where it stands."""
    for note in book.corpus.notes:
        for source in note.sources:
            yield source, at_field(book, note, "sources", "")
    lines = book.texts.get(HAZARDS, ())
    for hazard in book.corpus.hazards:
        first = next((n for n, line in enumerate(lines, start=1) if line.startswith(f"{hazard.key}:")), 1)
        line = next((n for n, text in enumerate(lines, start=1) if n > first and "source:" in text), first)
        for source in hazard.source.split(";"):
            yield source.strip(), Finding(HAZARDS, line, "")


def _find(book: Book) -> Iterator[Finding]:
    forms: dict[str, Counter[str]] = defaultdict(Counter)
    places = list(_places(book))
    for source, _ in places:
        forms[_key(source)][source] += 1
    for source, place in places:
        usual = min(forms[_key(source)].items(), key=lambda form: (-form[1], form[0]))[0]
        if source != usual:
            yield place._replace(message=f"'{source}' is '{usual}' elsewhere: write it one way")


RULE = Rule(
    code="C112",
    name="source-one-form",
    severity="warning",
    summary="A publication is written the same way in every note and in hazards.yaml.",
    reason="Two ways of writing look like two publications, and who looks one up does not find where else it is used.",
    source="ISO 690:2021, references in one form (restated, from memory)",
    good="sources: [HSG107 3rd ed 2013 (UK), common practice]",
    bad="sources: [HSG107 3rd ed 2013 (UK), HSG107 third edition 2013 (UK)]",
    find=_find,
    place="front",
    across=True,
)
