"""The kinds of record that keeping a question needs; the others are in `assistant.journal.records`."""

from __future__ import annotations

from assistant.values import Literal, NamedTuple

__all__ = ["STANDS", "Closing", "Entry", "Question", "Signed", "Undo", "Visit", "kind_name"]

STANDS = "(entry IS NULL OR entry NOT IN (SELECT entry FROM undo))"
"""Holds of a record whose entry was not taken back."""
Signed = Literal["", "typed", "paper"]
"""How the store signed for a visit: a name typed, a line on paper, or not."""


class Entry(NamedTuple):
    """What was written together, in words; all of it can be taken back together."""

    says: str
    visit: int | None = None
    at: str = ""
    id: int = 0


class Undo(NamedTuple):
    """An entry was taken back."""

    entry: int
    at: str = ""
    id: int = 0


class Visit(NamedTuple):
    """A rep arrived in a shop."""

    store: str
    rep: str = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class Closing(NamedTuple):
    """A visit was closed."""

    visit: int
    remark: str = ""
    taken_by: str = ""
    signed: Signed = ""
    next_visit: str = ""
    entry: int | None = None
    at: str = ""
    id: int = 0


class Question(NamedTuple):
    """A question was asked, and this was answered."""

    text: str
    decision: str
    about: str
    note: str = ""
    options: str = ""
    read_as: str = ""
    confidence: float = 0.0
    pack: str = ""
    visit: int | None = None
    at: str = ""
    id: int = 0


def kind_name(kind: type[NamedTuple]) -> str:
    """Return the name of a kind, which is the name of its table.

    >>> kind_name(Visit)
    'visit'
    """
    return kind.__name__.lower()
