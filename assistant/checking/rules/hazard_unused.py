"""C307: every hazard of the table is one of a note."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.notes.hazards import HAZARDS

__all__ = ["RULE"]

_WORD = re.compile(r"[\w-]+")


def _find(book: Book) -> Iterator[Finding]:
    """Yield the hazards of no note; what a note that could not be read names is of one."""
    used = {key for note in book.corpus.notes for key in note.hazards}
    unread = book.unread()
    if not unread <= book.texts.keys():
        return
    used.update(word for path in unread for line in book.texts[path] for word in _WORD.findall(line))
    lines = book.texts.get(HAZARDS, ())
    for hazard in book.corpus.hazards:
        if hazard.key not in used:
            line = next((n for n, text in enumerate(lines, start=1) if text.startswith(f"{hazard.key}:")), 1)
            yield Finding(HAZARDS, line, f"no note names the hazard '{hazard.key}'")


RULE = Rule(
    code="C307",
    name="hazard-used",
    severity="note",
    summary="Every hazard in hazards.yaml is named by a note.",
    reason="A message that nobody reads is looked after for nothing, or a note lacks it.",
    source="common practice",
    good="bare-wire:\n  signal: WARNING\n  hazard: A cut lead has bare wires.\n  consequence: They can burn a hand.\n"
    "  avoidance: Unplug it first.\n  source: common practice",
    bad="grit:\n  signal: NOTICE\n  hazard: Grit is sharp.\n  consequence: It scratches the shell.\n"
    "  avoidance: Shake the cloth out.\n  source: common practice",
    find=_find,
    place="hazards",
    across=True,
)
