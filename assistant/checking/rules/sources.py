"""C106: sources are publications that can be found."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, has

__all__ = ["RULE"]

_KNOWN = (
    r"^common practice$|^\d\d CFR \d|^2010 ADA Standards \d|^(?:HSE )?HSG107\b|^INDG236|^NIST SP \d|^NIOSH |"
    r"^CDC |^ISO \d|^IEC \d|^IEC/IEEE \d|^EN \d|^ECMA-\d|^WCAG 2|^USB \d\.\d specification$|^NAVEDTRA \d|"
    r"^ITU-R BT\.\d|^ANSI "
)


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for source in note.sources:
            if not has(source, _KNOWN):
                yield at_field(book, note, "sources", f"'{source}' is neither a known publication nor common practice")


RULE = Rule(
    code="C106",
    name="source-known",
    severity="warning",
    summary="A source is a publication with its number, or common practice.",
    reason="Whoever doubts a step must be able to look it up.",
    source="common practice",
    good="sources: [NIST SP 500-252, common practice]",
    bad="sources: [a friend]",
    find=_find,
    place="front",
)
