"""C111: notes do not send a rep round for the same findings."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.circles import closed_circles
from assistant.checking.graph import Way, build, circles
from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    """Yield one finding for each group of notes that a closed circle goes through; see `closed_circles`."""
    graph = build(book.corpus)
    seen: set[frozenset[str]] = set()
    for circle in closed_circles(graph, circles(graph)):
        group = frozenset(way.start.note for way in circle)
        if group in seen:
            continue
        seen.add(group)
        first = graph.notes[circle[0].start.note]
        step = first.steps[min(circle[0].start.step, len(first.steps)) - 1]
        told = ", then ".join(_told(way) for way in circle)
        yield Finding(first.path, step.line, f"a rep is sent round while the findings last: {told}")


def _told(way: Way) -> str:
    if way.kind == "fails":
        return f"{way.start.note} when it still fails"
    return f"{way.start.note} at step {way.start.step} ({way.condition})"


RULE = Rule(
    code="C111",
    name="no-circle-of-notes",
    severity="warning",
    summary="No two to four notes send a rep round by their choices for findings that last. Finds wording.",
    reason="A rep who has both faults at once goes from note to note, and neither is mended.",
    source="IEC/IEEE 82079-1:2019, fault location ends in a remedy (restated)",
    good="2. Look at the lamp.\n"
    "   - If the lamp is dark: do [Spare goes back to the workshop](../pad/pad-other.md), then go to step 3.\n"
    "   - If not: go to step 3.\n3. Look again.",
    bad="2. Look at the lamp.\n   - If the lamp is dark: go to [Pad does odd things](../pad/pad-zone.md).\n"
    "   - If not: go to step 3.\n3. Look again.",
    find=_find,
    across=True,
)
