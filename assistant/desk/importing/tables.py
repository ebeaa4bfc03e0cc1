"""What a table of an old procedure holds, by the words of its head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from assistant.desk.importing.sections import signal_of

__all__ = ["Cell", "table_cells", "told_row"]

_NUMBER = ("no", "nr", "number", "#", "step", "")
_COLUMNS = {
    "step": ("what to do", "action", "instruction", "instructions", "task", "do", "step", "steps"),
    "part": ("part", "parts", "spare part", "material", "parts needed", "part name"),
    "tool": ("tool", "tools", "tools needed"),
}


class Cell(NamedTuple):
    """A step or a safety message with its number, a part, a tool, the head, or what no place was found for.

    Of the last, ``beside`` is the step, part or tool of its row.
    """

    kind: Literal["step", "part", "tool", "message", "head", "left"]
    text: str
    number: int = 0
    beside: str = ""


def table_cells(rows: Sequence[Sequence[str]]) -> Iterator[Cell]:
    """Yield what the cells of a table are, in their order; the message of a row before its step.

    A row that begins with a signal word is a safety message in any table. Other rows are steps, parts or tools where a
    cell of the first row says so; of a row of them, what stands in another column is left.
    """
    head = [cell.casefold().strip(" :.") for cell in rows[0]] if rows else []
    kind, column = _column(head, rows)
    numbers = _number_column(head, rows, column)
    if column is not None:
        yield Cell("head", told_row(rows[0]))
    for row in rows[column is not None :]:
        if signal_of(next(filter(None, row)))[0]:
            yield Cell("message", " ".join(filter(None, row)))
        elif column is None or column >= len(row) or not row[column]:
            yield Cell("left", told_row(row))
        else:
            yield from _row(row, kind, column, numbers)


def told_row(row: Sequence[str]) -> str:
    """Return the cells of a row on one line."""
    return " | ".join(row)


def _row(row: Sequence[str], kind: Literal["step", "part", "tool"], column: int, numbers: int | None) -> Iterator[Cell]:
    number = int(row[numbers].strip(" .)")) if numbers is not None and numbers < len(row) else 0
    others = [cell for place, cell in enumerate(row) if cell and place not in (column, numbers)]
    yield from (Cell("message", cell) for cell in others if signal_of(cell)[0])
    yield Cell("message" if signal_of(row[column])[0] else kind, row[column], number)
    rest = [cell for cell in others if not signal_of(cell)[0]]
    if rest:
        yield Cell("left", told_row(rest), beside=row[column])


def _column(head: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[Literal["step", "part", "tool"], int | None]:
    for kind in ("step", "part", "tool"):
        for name in _COLUMNS[kind]:
            for place, cell in enumerate(head):
                if cell == name and not _are_numbers(rows, place):
                    return kind, place
    return "step", None


def _number_column(head: Sequence[str], rows: Sequence[Sequence[str]], column: int | None) -> int | None:
    places = (place for place, cell in enumerate(head) if cell in _NUMBER and place != column)
    return next((place for place in places if column is not None and _are_numbers(rows, place)), None)


def _are_numbers(rows: Sequence[Sequence[str]], place: int) -> bool:
    cells = [row[place].strip(" .)") if place < len(row) else "" for row in rows[1:]]
    return bool(cells) and all(cell.isascii() and cell.isdecimal() and len(cell) <= len("999") for cell in cells)
