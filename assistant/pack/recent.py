"""What was looked up lately, kept in memory up to so many bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Generic, TypeVar

    V = TypeVar("V")
else:
    V = object

    class Generic:
        """A class that holds values of one type."""

        def __class_getitem__(cls, kind):
            return cls


__all__ = ["NOTHING", "Recent"]

NOTHING = 120
"""Bytes that it takes to know that something is lacking, or one short text."""


class Recent(Generic[V]):
    """Values by key, in two halves: when the younger one is full, the older one is forgotten.

    Parameters
    ----------
    most
        Bytes of the whole.
    room
        Returns how many bytes a value takes.
    """

    def __init__(self, most: int, room: Callable[[V], int]) -> None:
        self._half = most // 2
        self._room = room
        self._size = 0
        self._young: dict[str, V] = {}
        self._old: dict[str, V] = {}

    def held(self, keys: Iterable[str]) -> tuple[dict[str, V], list[str]]:
        """Return what is held under ``keys``, and the keys under which nothing is."""
        wanted = dict.fromkeys(keys)
        young, old = self._young, self._old
        found = {key: young[key] for key in wanted if key in young}
        if len(found) == len(wanted):
            return found, []
        missing = [key for key in wanted if key not in found]
        again = {key: old[key] for key in missing if key in old}
        if again:
            self.keep(again)
            found |= again
            missing = [key for key in missing if key not in again]
        return found, missing

    def get(self, key: str) -> V | None:
        """Return what is held under ``key``, None where nothing is."""
        if key in self._young:
            return self._young[key]
        if key in self._old:
            self.keep({key: self._old[key]})
            return self._young[key]
        return None

    def keep(self, values: Mapping[str, V]) -> None:
        """Keep values, each for a while."""
        for key, value in values.items():
            self._size += self._room(value)
            if self._size > self._half:
                self._old, self._young = self._young, {}
                self._size = self._room(value)
            self._young[key] = value
