"""What is looked up in a journal that is open; every row is checked as it is read."""

from __future__ import annotations

from types import MappingProxyType

from assistant.journal.checked import fault_of
from assistant.journal.faults import damaged, told
from assistant.journal.first import STANDS, Entry, Undo, kind_name
from assistant.values import Literal

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from contextlib import AbstractContextManager
    from pathlib import Path
    from types import TracebackType
    from typing import Any, TypeVar

    from assistant.journal.records import Record
    from assistant.pack.sqlite import sqlite3

    R = TypeVar("R", bound=Record)

__all__ = ["Reads", "Through"]

_MOST_ID = 2**63 - 1
"""The greatest number that SQLite gives."""
Through = Literal["visit", "work"]
_VISITS_OF_SHOP = f"SELECT id FROM visit WHERE store = ? AND {STANDS}"
_OF_SHOP: Mapping[Through, str] = MappingProxyType(
    {
        "visit": _VISITS_OF_SHOP,
        "work": f"SELECT id FROM work WHERE visit IN ({_VISITS_OF_SHOP}) AND {STANDS}",
    }
)
_NOWHERE: Mapping[str, object] = MappingProxyType({})


class Reads:
    """Looks records up in one journal."""

    _name: str
    _db: sqlite3.Connection

    @property
    def path(self) -> Path:
        """The file."""
        from pathlib import Path

        return Path(self._name)

    @property
    def uid(self) -> str:
        """What tells this journal from all others."""
        return str(self._rows("SELECT value FROM about WHERE key = 'uid'")[0][0])

    def all(self, kind: type[R], **where: object) -> list[R]:
        """Return the records of a kind, oldest first, whose fields have the given values.

        An entry that was taken back is left out, with all that was written with it.
        """
        return self._found(kind, [_standing(kind)], where)

    def every(self, kind: type[R]) -> list[R]:
        """Return all records of a kind, oldest first, also those that were taken back."""
        return self._found(kind, [])

    def last(self, kind: type[R], **where: object) -> R | None:
        """Return the newest of the records that `all` returns, None where there is none."""
        return next(iter(self._found(kind, [_standing(kind)], where, order="id DESC LIMIT 1")), None)

    def last_of_each(self, kind: type[R], field: str) -> list[R]:
        """Return the newest of the records that `all` returns for each value of a field, the newest first."""
        newest = f"id IN (SELECT max(id) FROM {kind_name(kind)} WHERE {_standing(kind)} GROUP BY {field})"
        return self._found(kind, [newest], order="id DESC")

    def at_shop(self, kind: type[R], store: str, *, through: Through = "visit", **where: object) -> list[R]:
        """Return those of the records that `all` returns which name a visit to a shop, or a work begun at such a visit.

        Parameters
        ----------
        through
            Whether it is their ``visit`` or their ``work`` that is asked for.
        """
        return self._found(kind, [f"{through} IN ({_OF_SHOP[through]})", _standing(kind)], where, values=(store,))

    def unnamed(self, kind: type[R], by: type[Record]) -> list[R]:
        """Return those of the records that `all` returns which no record ``by`` names that stands, the newest first."""
        name = kind_name(kind)
        named = f"SELECT 1 FROM {kind_name(by)} WHERE {kind_name(by)}.{name} = {name}.id AND {_standing(by)}"
        return self._found(kind, [_standing(kind), f"NOT EXISTS ({named})"], order="id DESC")

    def last_before(self, kind: type[Record], at: str) -> int:
        """Return the number of the last record of a kind up to a time, also of one that was taken back; 0 for none."""
        sql = f"SELECT id FROM {kind_name(kind)} WHERE at <= ? ORDER BY at DESC, id DESC LIMIT 1"
        return next((int(row[0]) for row in self._rows(sql, (at,))), 0)

    def faults(self, kind: type[Record]) -> Iterator[str]:
        """Yield what is wrong with the table of a kind, its indexes, what its records name and what they hold.

        Raises
        ------
        JournalError
            If it is so damaged that nothing more can be read of it.
        """
        name = kind_name(kind)
        for (found,) in self._rows(f"PRAGMA integrity_check({name})"):
            if found != "ok":
                yield str(found)
        for _, number, parent, _ in self._rows(f"PRAGMA foreign_key_check({name})"):
            yield f"{name} {number}: its {parent} is not there"
        with told(self._name):
            for row in self._db.execute(f"SELECT {', '.join(kind._fields)} FROM {name}"):
                if wrong := fault_of(kind, row):
                    yield f"{name} {row[kind._fields.index('id')]}: {wrong}"

    def _found(
        self,
        kind: type[R],
        conditions: list[str],
        where: Mapping[str, object] = _NOWHERE,
        *,
        values: tuple[object, ...] = (),
        order: str = "id",
    ) -> list[R]:
        """Return the records for which conditions with ``values`` hold, and fields have the values of ``where``."""
        conditions = [*conditions, *(f"{field} IS ?" for field in where)] or ["1"]
        sql = (
            f"SELECT {', '.join(kind._fields)} FROM {kind_name(kind)} WHERE {' AND '.join(conditions)} ORDER BY {order}"
        )
        rows = self._rows(sql, (*values, *where.values()))
        for row in rows:
            wrong = fault_of(kind, row)
            if wrong:
                raise damaged(self._name, f"{kind_name(kind)} {row[kind._fields.index('id')]}: {wrong}")
        return [kind(*row) for row in rows]

    def get(self, kind: type[R], id: int) -> R | None:
        """Return one record by its number; None where there is none."""
        return next(iter(self.all(kind, id=id)), None) if 0 < id <= _MOST_ID else None

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        with told(self._name):
            return self._db.execute(sql, tuple(values)).fetchall()

    def snapshot(self) -> AbstractContextManager[None]:
        """Return that inside of which everything is read as of one moment, whatever others write meanwhile."""
        return _Snapshot(self._name, self._db)


class _Snapshot:
    def __init__(self, name: str, db: sqlite3.Connection) -> None:
        self._name = name
        self._db = db

    def __enter__(self) -> None:
        with told(self._name):
            self._db.execute("BEGIN")

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with told(self._name):
            self._db.execute("ROLLBACK")


def _standing(kind: Any) -> str:
    """Return the condition under which a record of a kind was not taken back."""
    if kind is Entry:
        return "id NOT IN (SELECT entry FROM undo)"
    return STANDS if "entry" in kind._fields and kind is not Undo else "1"
