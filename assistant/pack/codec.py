"""Notes and the trade as JSON and back; what a rep does not need, such as example questions, stays behind."""

from __future__ import annotations

import json
from types import MappingProxyType
from typing import Any

from assistant.model import Branch, Contact, Item, Note, Review, SafetyMessage, Step, Trade

__all__ = ["note_from_json", "note_to_json", "trade_from_json", "trade_to_json"]

_TUPLES = (
    "station",
    "tools",
    "parts",
    "see_also",
    "sources",
    "cause",
    "before_you_start",
    "links",
    "on_failure",
    "hazards",
)
_KEYED = ("stations", "areas", "actions")
_LISTED = ("tools", "parts")


def note_to_json(note: Note) -> str:
    """Return the note as one JSON object."""
    data = note._asdict()
    data["safety"] = [message._asdict() for message in note.safety]
    data["safety_review"] = note.safety_review._asdict() if note.safety_review else None
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
    review = data["safety_review"]
    data["safety_review"] = None if review is None else Review(**review)
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


def trade_to_json(trade: Trade) -> str:
    """Return the trade as one JSON object, without what the check of the notes alone reads."""
    data: dict[str, Any] = {name: dict(getattr(trade, name)) for name in _KEYED}
    data |= {name: [item._asdict() for item in getattr(trade, name)] for name in _LISTED}
    return json.dumps({**data, "contacts": [contact._asdict() for contact in trade.contacts]}, ensure_ascii=False)


def trade_from_json(text: str) -> Trade:
    """Return the trade that `trade_to_json` wrote.

    Raises
    ------
    ValueError, KeyError, TypeError
        If the text is something else.
    """
    data: dict[str, Any] = json.loads(text)
    values: dict[str, Any] = {name: MappingProxyType(_texts(data[name])) for name in _KEYED}
    for name in _LISTED:
        values[name] = tuple(Item(**{**item, "other": tuple(item["other"])}) for item in data[name])
    return Trade(**values, contacts=tuple(Contact(**_texts(contact)) for contact in data["contacts"]))


def _texts(data: dict[str, Any]) -> dict[str, str]:
    if not all(isinstance(text, str) for text in data.values()):
        raise TypeError("the trade holds what is no text")
    return dict(data)
