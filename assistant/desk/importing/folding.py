"""What found no place, told shortly: what lost no word of the procedure is counted, what did stands line by line."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.desk.importing.blocks import Left

__all__ = ["folded"]

_FEW = 2
"""So many alike stand by themselves."""
_NAMED = 3
"""So many lines are named of those that are counted."""
_LOSE_NO_WORD = {
    "bold is kept": "bold is kept as plain text",
    "a link is kept": "a link is kept as its text",
    "a heading was read": "a heading was read as a section of a note",
    "the number before": "the number before a heading is left out",
    "was step": "a step has another number now: look at what names steps",
    "was no numbered step": "an item without a number is a step of its own now: look at what names steps",
}


def folded(left: Iterable[Left]) -> list[str]:
    """Return the lines to show: of a kind that loses no word, more than two in a file become one with their count."""
    alike: dict[tuple[str, str], list[Left]] = {}
    for number, one in enumerate(left):
        kind = next((told for begins, told in _LOSE_NO_WORD.items() if one.what.startswith(begins)), str(number))
        alike.setdefault((one.place, kind), []).append(one)
    lines: list[str] = []
    for (place, kind), ones in alike.items():
        if len(ones) <= _FEW:
            lines += map(str, ones)
            continue
        named = ", ".join(str(one.line) for one in ones[:_NAMED])
        more = f" and {len(ones) - _NAMED} more" if len(ones) > _NAMED else ""
        lines.append(f"{place}: {kind}: {len(ones)} times, in lines {named}{more} (--verbose tells each)")
    return lines
