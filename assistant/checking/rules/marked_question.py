"""C713: an example question stands alone on its line."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.asked import asked
from assistant.checking.rule import Book, Edit, Finding, Rule

__all__ = ["RULE"]

_MARK = re.compile(r"((?:\[[\d, ]+\]\s*)?)((?:\d{1,3}[.)]|[-*\u2022])\s+)+")


def _find(book: Book) -> Iterator[Finding]:
    for one in asked(book):
        line = book.texts[one.path][one.line - 1]
        match = _MARK.match(line)
        if match:
            told = f"begins with '{match[2].strip()}', which is read as part of the question: leave it out"
            yield Finding(one.path, one.line, told, Edit(one.path, one.line, line, match[1] + line[match.end() :]))


RULE = Rule(
    code="C713",
    name="question-without-mark",
    severity="warning",
    summary="A line of example questions begins with its question, or with the steps in square brackets before it.",
    reason="The number or dash of a pasted list would be learned as a word.",
    source="common practice",
    good="lamp of the pad is off",
    bad="1. lamp of the pad is off",
    find=_find,
    place="questions",
)
