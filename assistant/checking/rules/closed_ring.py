"""C104: no circle of notes that only lead to one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.checking.graph import has_another_way
from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]

_HEADING = "## If it still fails"


def _ways_on(book: Book) -> Mapping[str, tuple[str, ...]]:
    """Return the notes that each failed note leads to; none where one of its sentences is a way out without a link."""
    return {note.id: () if has_another_way(note) else note.on_failure for note in book.corpus.notes}


def _reached(ways: Mapping[str, tuple[str, ...]], start: str) -> set[str]:
    seen: set[str] = set()
    waiting = list(ways[start])
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += ways.get(name, ())
    return seen


def _find(book: Book) -> Iterator[Finding]:
    ways = _ways_on(book)
    reached = {name: _reached(ways, name) for name in ways}
    for note in book.corpus.notes:
        ring = reached[note.id]
        closed = note.id in ring and all(ways.get(name) and reached[name] == ring for name in ring)
        if closed and note.id == min(ring):
            line = book.line_of(note, _HEADING)
            yield Finding(note.path, line, f"{', '.join(sorted(ring))} only lead to one another when the work fails")


RULE = Rule(
    code="C104",
    name="no-closed-ring",
    severity="warning",
    summary="Notes do not lead in a circle when the work fails: one of them ends in a person, a part or a withdrawal.",
    reason="A rep who is sent round gives up, and the station stays on the floor.",
    source="IEC/IEEE 82079-1:2019, fault location ends in a remedy (restated)",
    good="Call the support desk. Go to [Spare goes back to the workshop](../pad/pad-other.md).",
    bad="Go to [Spare goes back to the workshop](../pad/pad-zero.md).",
    find=_find,
    place="fails",
    across=True,
)
