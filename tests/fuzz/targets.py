"""What is attacked, and what must hold whatever it is handed.

An input is refused by an `AssistantError`, or the result is right; there is never another exception. What is shown,
messages too, has no character that a terminal acts on.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.fuzz import of_pictures, of_stores, of_texts

__all__ = ["FOUND", "TARGETS", "kept_inputs"]

FOUND = Path(__file__).parent / "found"
"""Inputs that were found once and are tried for ever: one JSON file each, with ``target`` and ``input``."""
TARGETS = (*of_texts.TARGETS, *of_pictures.TARGETS, *of_stores.TARGETS)


def kept_inputs(target: str) -> list[Any]:
    """Return the inputs of a target that were found once."""
    held = [json.loads(path.read_text("utf-8")) for path in sorted(FOUND.glob("*.json"))]
    return [one["input"] for one in held if one["target"] == target]
