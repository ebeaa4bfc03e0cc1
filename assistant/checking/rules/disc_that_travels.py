"""C210: no disc travels inside a console."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, find_said, has

__all__ = ["RULE"]

_INSIDE = (
    r"\b(?:send|sent|ship|post|return|travels?|goes back)\b[^.]*"
    r"\b(?:disc (?:inside|still in)|holds a disc|with the disc)\b"
)
_BY_WORD = r"\b(?:only|never|not|unless|until)\b|\bif the (?:support )?desk\b"


def _wrong(text: str) -> bool:
    """Tell whether a sentence sends a disc inside its console, other than on the word of the support desk."""
    return has(text, _INSIDE) and not has(text, _BY_WORD)


def _find(book: Book) -> Iterator[Finding]:
    yield from find_said(
        book,
        ("steps", "choices", "result", "fails"),
        _wrong,
        lambda text: f"a disc travels in its console: {clip(text)}",
    )


RULE = Rule(
    code="C210",
    name="disc-travels-apart",
    severity="warning",
    summary="A console is not sent with its disc inside, but on the word of the support desk. Finds wording.",
    reason="Other notes take the disc out first, and a loose disc breaks the drive on the way.",
    source="common practice",
    good="Send the console once the disc is out. Call the support desk.",
    bad="Send the console with the disc inside. Call the support desk.",
    find=_find,
    place="fails",
)
