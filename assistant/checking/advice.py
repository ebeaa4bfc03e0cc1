"""Telling a sentence that says to do a thing from one that forbids it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from assistant.checking.rule import Book, Finding
from assistant.checking.said import TELLING, clip, find_said, sentences
from assistant.checking.trade_words import words_of

__all__ = ["DOING", "NEGATION", "advises", "find_advice", "find_worded", "negated"]

DOING = ("before", "steps", "choices", "fails")
"""The sections whose sentences are done and not only known."""

NEGATION = re.compile(
    r"\b(?:never|not|don't|cannot|can't|no|none|nobody|nothing|neither|nor|without|instead of|rather than|"
    r"refuse|avoid|forbids?|bars|leave off)\b",
    re.IGNORECASE,
)
"""What turns a sentence that says to do a thing into one that says to leave it."""
_FRESH_START = re.compile(
    r"^(?:If|When|Where|While|Once|After|Before|With|Without|For|Since|As|Instead of|Rather than)\b[^,]*, |"
    r", and |, then |, so |; |: |\bbut\b"
)
_RULED_OUT = re.compile(
    r"^(?:(?!\b(?:until|till|while|when|if|because|that|so|as)\b)[^.,])*?"
    r"(?:\b(?:is|are|was) (?:no|not|never|wrong|forbidden|banned)\b|\bis for licensed\b)"
)


@lru_cache(maxsize=1 << 17)
def advises(text: str, pattern: str) -> bool:
    """Tell whether ``text`` says to do what ``pattern`` describes; a sentence that forbids it does not count."""
    return any(
        not NEGATION.search(match.group()) and not negated(sentence, match.start(), match.end())
        for sentence in sentences(text)
        for match in re.finditer(pattern, sentence, re.IGNORECASE)
    )


def negated(sentence: str, start: int, end: int) -> bool:
    """Tell whether what stands around ``sentence[start:end]`` forbids or rules out what stands there."""
    clause = _FRESH_START.split(sentence[:start])[-1]
    return bool(NEGATION.search(clause) or _RULED_OUT.match(sentence[end:]))


def find_worded(book: Book, *, code: str, sections: tuple[str, ...] = TELLING) -> Iterator[Finding]:
    """Yield a finding for every sentence that says to do what the trade's words under this code describe."""
    advice = words_of(book).advice.get(code)
    if advice is not None:
        yield from find_advice(book, pattern=advice.finds, message=advice.says, sections=sections)


def find_advice(book: Book, *, pattern: str, message: str, sections: tuple[str, ...] = TELLING) -> Iterator[Finding]:
    """Yield a finding for every sentence that says to do what ``pattern`` describes."""
    yield from find_said(book, sections, lambda text: advises(text, pattern), lambda text: f"{message}: {clip(text)}")
