"""Small notes with one fault each, read by the same reader as the real ones."""

from __future__ import annotations

from assistant.model import Note
from assistant.notes.reader import read_note

_FRONT = {
    "title": "Something is wrong",
    "station": "[all]",
    "action": "adjust",
    "minutes": "10",
    "tools": "[]",
    "parts": "[]",
    "see_also": "[]",
    "revision": "1",
    "reviewed": "2026-11-02",
    "sources": "[common practice]",
}
_SECTIONS = {
    "condition": ("Condition", "The lamp is dark. Nothing moves."),
    "cause": ("Cause", ""),
    "before": ("Before you start", ""),
    "steps": ("Steps", "Look at the lamp."),
    "result": ("Result", "The lamp is lit."),
    "fails": ("If it still fails", "Call the support desk."),
    "why": ("Why", ""),
}


def broken_note(**changes: str) -> Note:
    """Read a note that is plain but for ``changes``.

    Parameters
    ----------
    **changes
        ``id``, any field of the front matter, or a section. ``steps`` holds one line a step; a line that begins with
        ``-`` is a choice, one that begins with ``>`` a safety message before the next step.
    """
    note_id = changes.get("id", "pad-broken")
    lines = ["---", f"id: {note_id}"]
    lines += [f"{name}: {changes.get(name, value)}" for name, value in _FRONT.items()]
    lines += ["---", ""]
    for name, (heading, value) in _SECTIONS.items():
        text = changes.get(name, value)
        if not text:
            continue
        bullets = name in {"cause", "before"}
        body = _steps(text) if name == "steps" else [f"- {text}" if bullets else text]
        lines += [f"## {heading}", "", *body, ""]
    return read_note("\n".join(lines), f"{note_id.split('-')[0]}/{note_id}.md")


def _steps(text: str) -> list[str]:
    lines, number = [], 0
    for line in text.split("\n"):
        if line.startswith("- "):
            lines.append(f"   {line}")
        elif line.startswith("> "):
            lines += ["", line, ""]
        else:
            number += 1
            lines.append(f"{number}. {line}")
    return lines
