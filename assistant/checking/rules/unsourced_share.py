"""C515: what is said of most or many cases has a source."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, found, has, said

__all__ = ["RULE"]

_SHARE = (
    r"^(?:Most|Many|Nearly all|Almost all|Nine in ten|The majority of|The most common)\b|"
    r"\b(?:cures?|solves?|mends?|loosens?) most\b"
)
_NO_SOURCE = "common practice"


def _find(book: Book) -> Iterator[Finding]:
    for one in said(book, "why"):
        if has(one.text, _SHARE) and set(one.note.sources) == {_NO_SOURCE}:
            yield found(book, one, f"says how common a thing is, and the note has no publication: {clip(one.text)}")


RULE = Rule(
    code="C515",
    name="share-has-source",
    severity="note",
    summary="A sentence under Why that says what holds for most or many cases stands in a note with a publication.",
    reason="A share that nobody counted passes for knowledge; 'can' and 'often enough to look first' claim less.",
    source="common practice",
    good="A dark pad is not always broken. A loose lead is looked for first.",
    bad="Most dark pads are not broken. A loose lead is looked for first.",
    find=_find,
    place="why",
)
