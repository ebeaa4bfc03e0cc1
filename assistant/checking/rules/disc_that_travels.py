"""C210: nothing travels inside of what is sent, where the trade forbids it."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, find_said, has
from assistant.checking.trade_words import words_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    advice = words_of(book).advice.get("C210")
    if advice is None:
        return
    yield from find_said(
        book,
        ("steps", "choices", "result", "fails"),
        lambda text: has(text, advice.finds) and not has(text, advice.unless),
        lambda text: f"{advice.says}: {clip(text)}",
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
    needs="advice C210",
)
