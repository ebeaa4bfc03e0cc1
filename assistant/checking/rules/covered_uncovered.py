"""C711: what a note covers is not told to be uncovered."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from assistant.analysis.tokens import tokenize
from assistant.checking.asked import asked, phrased
from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]

_UNCOVERED = "uncovered.txt"


def _find(book: Book) -> Iterator[Finding]:
    covered = {same: where for same, where in _covered(book) if same}
    for number, line in enumerate(book.texts.get(_UNCOVERED, ()), start=1):
        where = covered.get(" ".join(tokenize(line)))
        if where and not line.startswith("#"):
            yield Finding(_UNCOVERED, number, f"is covered: the same text stands in {where}")
    for one in phrased(book, "not_this"):
        if dict(one.note.phrases.not_this).get(one.text) == "" and one.same in covered:
            yield Finding(one.path, one.line, f"is covered and not 'none': the same text stands in {covered[one.same]}")


def _covered(book: Book) -> Iterator[tuple[str, str]]:
    """Yield every text that leads to a note, and where it stands."""
    for one in (*asked(book), *phrased(book, "plain")):
        yield one.same, f"{one.path}:{one.line}"
    for note, troubles in groupby(phrased(book, "troubles"), key=lambda one: one.note):
        things = [" ".join(tokenize(thing)) for thing in note.phrases.things]
        for trouble in troubles:
            yield from ((f"{thing} {trouble.same}", f"{trouble.path}:{trouble.line}") for thing in things)
    for one in phrased(book, "not_this"):
        if dict(one.note.phrases.not_this).get(one.text):
            yield one.same, f"{one.path}:{one.line}"
    for _, text in book.corpus.dangers:
        yield " ".join(tokenize(text)), "danger.txt"
    for _, text in book.corpus.ambiguous:
        yield " ".join(tokenize(text)), "ambiguous.txt"


RULE = Rule(
    code="C711",
    name="covered-or-not",
    severity="error",
    summary="What leads to a note stands neither in uncovered.txt nor under not_this with none.",
    reason="The same words cannot be answered and refused; whichever is learned, the other is wrong.",
    source="common practice",
    good="where does the bus stop",
    bad="Is the other pad dead?",
    find=_find,
    place="uncovered",
    across=True,
)
