"""C512: one word for one thing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip, found, said
from assistant.checking.tools import any_of, masked
from assistant.checking.trade_words import words_of

__all__ = ["RULE"]

_HYPHENATED = re.compile(r"\b[a-z]+(?:-[a-z]+)+\b")


def _find(book: Book) -> Iterator[Finding]:
    trade, words = book.corpus.trade, words_of(book)
    patterns = {
        word: any_of(tuple(other for other in others if other not in words.verbs))
        for word, others in trade.words.items()
    }
    for one in said(book, "steps", "choices"):
        text = _HYPHENATED.sub("", masked(one.text, trade, words.names))
        for word, pattern in patterns.items():
            if pattern.search(text):
                yield found(book, one, f"the word for it is '{word}': {clip(one.text)}")


RULE = Rule(
    code="C512",
    name="one-word",
    severity="warning",
    summary="Steps call a thing by its one word, which trade.yaml has under words.",
    reason="A second word makes the reader look for a second thing.",
    source="ASD-STE100 Issue 9 (2025), rules of section 1 (from memory); the corpus's own style",
    good="2. Look at the display.",
    bad="2. Look at the telly.",
    find=_find,
)
