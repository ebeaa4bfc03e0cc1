"""How much there is of a thing, as one says it."""

from __future__ import annotations

__all__ = ["counted"]


def counted(number: int, one: str, many: str = "") -> str:
    """Return how many of a thing there are.

    >>> counted(1, "picture"), counted(2, "story", "stories")
    ('1 picture', '2 stories')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
