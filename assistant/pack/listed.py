"""Ids and titles of the notes by number, read a few hundred at a time: there may be a million."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

__all__ = ["Ids", "Titles"]


class Ids(Sequence[str]):
    """Ids by note number, sorted.

    Parameters
    ----------
    count
        How many there are.
    some
        Returns all ids that one entry holds, by its number.
    at_once
        How many ids an entry holds; the last may hold fewer.
    number
        Returns the number of an id, None where there is no such note.
    """

    def __init__(
        self,
        count: int,
        some: Callable[[int], Sequence[str]],
        at_once: int,
        number: Callable[[str], int | None],
    ) -> None:
        self._count = count
        self._some = some
        self._at_once = at_once
        self._number = number

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, number):  # type: ignore[no-untyped-def]
        if isinstance(number, slice):
            return [self[each] for each in range(self._count)[number]]
        entry, place = divmod(range(self._count)[number], self._at_once)
        return self._some(entry)[place]

    def __iter__(self) -> Iterator[str]:
        for entry in range(-(-self._count // self._at_once)):
            yield from self._some(entry)

    def __contains__(self, id: object) -> bool:
        return isinstance(id, str) and self._number(id) is not None

    def index(self, id: str, *_: int) -> int:
        """Return the number of an id.

        Raises
        ------
        ValueError
            If there is no such note.
        """
        number = self._number(id)
        if number is None:
            raise ValueError(f"no note {id}")
        return number

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and list(self) == list(other)

    __hash__ = None  # type: ignore[assignment]


class Titles(Mapping[str, str]):
    """Title by id, in the order of the note numbers.

    Parameters
    ----------
    ids
        All ids.
    title
        Returns the title of an id; raises what tells of a damaged pack where there is none.
    """

    def __init__(self, ids: Ids, title: Callable[[str], str]) -> None:
        self._ids = ids
        self._title = title

    def __getitem__(self, id: str) -> str:
        return self._title(id)

    def __contains__(self, id: object) -> bool:
        return id in self._ids

    def __iter__(self) -> Iterator[str]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)
