"""C608: tools and parts that steps name are listed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, has

__all__ = ["RULE"]

_THERE = (
    "wired pad, asset label, outlet strip, headset lead, video lead, audio lead, network lead, pad lead, light strip, "
    "fixing screws, face cushion, head strap, face cover, display lead, demo disc, plain water, distilled water, "
    "soapy water, kit bag, disc case, update stick, storage box, cleaning wipe, clear bag"
)
_ALREADY_THERE = frozenset(_THERE.split(", "))
_SINGLE_WORDS = frozenset({"torch", "screwdriver", "spanner", "barrier"})
_SORT = re.compile(r"^(?:soft|dry|known-good|clear|step) ")


def _known(book: Book) -> list[str]:
    """Return what any note lists and what is not at every station anyway."""
    items = {item for note in book.corpus.notes for item in (*note.tools, *note.parts)} - _ALREADY_THERE
    return sorted(item for item in items | _SINGLE_WORDS if " " in item or item in _SINGLE_WORDS)


def _find(book: Book) -> Iterator[Finding]:
    known = _known(book)
    for note in book.corpus.notes:
        listed = " ".join((*note.tools, *note.parts))
        for step in note.steps:
            text = step.text.lower()
            for item in (item for item in known if item.lower() in text):
                own = _SORT.sub("", item)
                if has(step.text, rf"\b{re.escape(item)}\b") and not has(listed, rf"\b{re.escape(own)}"):
                    yield at_step(note, step, f"names '{item}', which stands neither in tools nor in parts")


RULE = Rule(
    code="C608",
    name="tools-listed",
    severity="warning",
    summary="A tool or part that a step names stands in the lists of the note.",
    reason="The bag is packed from the lists.",
    source="schema.org HowTo, tools and supplies (restated); the corpus's own style",
    good="2. Open the cabinet with the cabinet key.",
    bad="2. Look at the port with the torch.",
    find=_find,
    across=True,
)
