"""``assistant corpus kit``: what the bag holds, what is asked for at the store, and what is ordered."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import ExitCode

if TYPE_CHECKING:
    from assistant.checking.tools import Packed

__all__ = ["add_kit"]

_HEADINGS = {
    "kit": "In the bag, at least",
    "store": "Asked for at the store",
    "station": "At the station already",
    "ordered": "Ordered",
}
_SHOWN_NOTES = 3
_COLUMNS = ("kind", "name", "from", "count", "notes")


def add_kit(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    kit = acts.add_parser(
        "kit",
        help="the packing list of the kit bag",
        description="Print what the bag holds, what is asked for at the store, what is ordered, and for which notes.",
    )
    add_places(kit, argparse.SUPPRESS)
    kit.add_argument("--format", choices=("text", "csv", "json"), default="text")
    kit.set_defaults(run=with_extra("the packing list", _kit))


def _kit(options: argparse.Namespace) -> int:
    from assistant.checking.tools import packing_list
    from assistant.checking.trade_words import read_words
    from assistant.notes.corpus import read_released

    root = notes_folder(options)
    rows = packing_list(read_released(root), read_words(root).kit)
    if options.format == "json":
        print(json_line([{**_row(row), "notes": list(row.notes)} for row in rows]))
    elif options.format == "csv":
        from assistant.journal.export import csv_table

        print(csv_table(_COLUMNS, [tuple(_row(row).values()) for row in rows]), end="")
    else:
        print("\n".join(_lines(rows)))
    return ExitCode.DONE


def _row(row: Packed) -> dict[str, Any]:
    item = row.item
    count = item.least if item.place == "kit" else None
    values = (row.kind.removesuffix("s"), item.name, item.place, count, " ".join(row.notes))
    return dict(zip(_COLUMNS, values, strict=True))


def _lines(rows: Sequence[Packed]) -> Iterator[str]:
    for place, heading in _HEADINGS.items():
        here = [row for row in rows if row.item.place == place]
        if here:
            yield f"{heading}:"
        for row in here:
            item = row.item
            name = f"{item.least} {item.plural if item.least > 1 else item.name}" if place == "kit" else item.name
            yield f"  {printable(name)} ({_used(row.notes)})"


def _used(notes: Sequence[str]) -> str:
    more = f" and {len(notes) - _SHOWN_NOTES} more" if len(notes) > _SHOWN_NOTES else ""
    return f"{', '.join(notes[:_SHOWN_NOTES])}{more}" if notes else "no note"
