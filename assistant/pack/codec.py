"""A note as JSON and back; its phrases and example questions, which a rep does not need, stay behind."""

from __future__ import annotations

import json
from typing import Any

from assistant.model import Branch, Note, SafetyMessage, Step

__all__ = ["note_from_json", "note_to_json"]

_TUPLES = ("station", "tools", "parts", "see_also", "sources", "cause", "before_you_start", "links")


def note_to_json(note: Note) -> str:
    """Return the note as one JSON object."""
    data = note._asdict()
    data["safety"] = [message._asdict() for message in note.safety]
    del data["examples"], data["phrases"]
    data["steps"] = [
        {**step._asdict(), "branches": [branch._asdict() for branch in step.branches]} for step in note.steps
    ]
    return json.dumps(data, ensure_ascii=False, sort_keys=True)


def note_from_json(text: str) -> Note:
    """Return the note that `note_to_json` wrote.

    Raises
    ------
    ValueError, KeyError, TypeError
        If the text is something else.
    """
    data: dict[str, Any] = json.loads(text)
    for name in _TUPLES:
        data[name] = tuple(data[name])
    data["safety"] = tuple(SafetyMessage(**message) for message in data["safety"])
    data["steps"] = tuple(
        Step(
            step["n"],
            step["text"],
            tuple(Branch(**branch) for branch in step["branches"]),
            step["line"],
        )
        for step in data["steps"]
    )
    return Note(**data)
