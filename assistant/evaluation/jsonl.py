"""Lines of JSON that nobody has vouched for."""

from __future__ import annotations

import json
from typing import Any

__all__ = ["json_object"]


def json_object(line: str | bytes) -> dict[str, Any] | None:
    """Return the object that a line holds; None where it is not UTF-8, no JSON, nested too deeply, or no object."""
    try:
        value = json.loads(line.decode("utf-8") if isinstance(line, bytes) else line)
    except (ValueError, RecursionError):
        return None
    return value if isinstance(value, dict) else None
