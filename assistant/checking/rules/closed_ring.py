"""C104: no circle of notes that only lead to one another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from assistant.checking.rule import Book, Finding, Rule
from assistant.model import Note
from assistant.notes.links import links_in

__all__ = ["RULE"]

_HEADING = "## If it still fails"
_STOP = re.compile(r"[.!?](?:\s|$)")


def _ways_on(book: Book, note: Note) -> tuple[str, ...]:
    """Return the notes that a failed note leads to; none where one of its sentences is a way out without a link."""
    lines = book.texts.get(note.path, ())
    start = book.line_of(note, _HEADING)
    section = []
    for line in lines[start:]:
        if line.startswith("## "):
            break
        section.append(line.strip())
    sentences = [part for part in _STOP.split(" ".join(section)) if part.strip()]
    targets = [[link.target for link in links_in([sentence])] for sentence in sentences]
    return tuple(dict.fromkeys(target for found in targets for target in found)) if all(targets) else ()


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
    ways = {note.id: _ways_on(book, note) for note in book.corpus.notes}
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
