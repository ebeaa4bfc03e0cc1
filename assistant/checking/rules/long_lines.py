"""C709: few example questions are long stories."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from assistant.checking.asked import asked
from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]

_MOST_WORDS = 40
_ONE_IN = 10


def _find(book: Book) -> Iterator[Finding]:
    for path, lines in groupby(asked(book), key=lambda one: one.path):
        questions = list(lines)
        long = [one for one in questions if len(one.text.split()) > _MOST_WORDS]
        if len(long) * _ONE_IN > len(questions):
            told = f"{len(long)} of {len(questions)} example questions have over {_MOST_WORDS} words, this one first"
            yield Finding(path, long[0].line, told)


RULE = Rule(
    code="C709",
    name="few-long-questions",
    severity="warning",
    summary="At most a tenth of a note's example questions have over 40 words.",
    reason="A long story teaches the words of its teller, and the few that name the trouble are lost among them.",
    source="the corpus's own style",
    good="lamp of the pad is off",
    bad="I came in by bus this morning and had a chat with the manager about her garden and the rain, then I saw that "
    "the lamp of the pad on the left is off, and now I wonder whether that is a lead or not",
    find=_find,
    place="questions",
)
