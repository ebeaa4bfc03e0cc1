"""``trade.yaml``: the kinds of station, areas, actions, tools, parts, contacts, words and publishers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.languages import CODES, DEFAULT
from assistant.model import MOST_DAYS, MOST_OF_ANY, Contact, Item, Note, Trade
from assistant.notes.text import read_text
from assistant.notes.yaml_text import are_texts, entry_lines, read_mapping

__all__ = ["PLACES", "TRADE", "UNSET", "foreign_faults", "language_in", "read_trade"]

TRADE = "trade.yaml"
PLACES = ("kit", "store", "station", "ordered")
UNSET = "unset"
"""What stands for a number that the company has not filled in."""
_KEYED = ("stations", "areas", "actions")
_ITEMS = ("tools", "parts")
_SECTIONS = (*_KEYED, *_ITEMS, "contacts", "words", "publishers", "countries")
_LANGUAGE = "language"


def read_trade(root: Path) -> Trade:
    """Return the trade.

    Raises
    ------
    NotesError
        If there is no such file, or with the line of every section that is not as it should be.
    """
    path = root / TRADE
    if not path.exists() and not path.is_symlink():
        raise NotesError([Fault(TRADE, 1, "is missing: it names the stations, areas, actions, tools and parts")])
    return _trade_of(read_text(path, path.name), path.name)


def language_in(root: Path) -> str:
    """Return the code of the language of the notes in a folder: the default where its file does not tell one."""
    try:
        return read_trade(root).language
    except NotesError:
        return DEFAULT


def foreign_faults(notes: Iterable[Note], lines: Mapping[str, tuple[str, ...]], trade: Trade) -> list[Fault]:
    """Return a fault for every station, area or action of a note that the trade does not have."""
    faults = []
    for note in notes:
        named = [
            *(("station", station, trade.stations) for station in note.station),
            ("id", note.id.split("-")[0], trade.areas),
            ("action", note.action, trade.actions),
        ]
        for field, value, known in named:
            if value not in known:
                line = _line_of(field, lines.get(note.path, ()))
                faults.append(Fault(note.path, line, f"'{value}' under '{field}' is none of {', '.join(known)}"))
    return faults


def _line_of(field: str, lines: tuple[str, ...]) -> int:
    return next((n for n, line in enumerate(lines, start=1) if line.startswith(f"{field}:")), 1)


class _BadEntryError(ValueError):
    """What is wrong with a section, and the key of the entry at fault; None where it is all of the section."""

    def __init__(self, message: str, entry: object = None) -> None:
        self.entry = entry
        super().__init__(message)


@lru_cache(maxsize=8)
def _trade_of(text: str, shown: str) -> Trade:
    loaded, lines = read_mapping(text, shown, f"must have the sections {', '.join(_SECTIONS)}", once=True)
    language = loaded.pop(_LANGUAGE, DEFAULT)
    faults = [
        Fault(shown, lines.get(str(name), 1), f"unknown section '{name}'") for name in loaded if name not in _SECTIONS
    ]
    values: dict[str, Any] = {_LANGUAGE: language}
    if not isinstance(language, str) or language not in CODES:
        faults.append(Fault(shown, lines.get(_LANGUAGE, 1), f"'{_LANGUAGE}' must be one of {', '.join(CODES)}"))
    for name in _SECTIONS:
        section = loaded.get(name, {})
        try:
            if not isinstance(section, dict) or (name in _KEYED and not section):
                raise _BadEntryError(f"'{name}' must be 'key: value' lines")
            values[name] = _READ[name](section)
        except _BadEntryError as error:
            at = entry_lines(text, name) if error.entry is not None else {}
            faults.append(Fault(shown, at.get(error.entry, lines.get(name, 1)), str(error)))
    if faults:
        raise NotesError(faults)
    return Trade(**values)


def _keyed(section: dict[Any, Any]) -> Mapping[str, str]:
    for key, words in section.items():
        if not are_texts([key, words]):
            raise _BadEntryError("keys and their words must be texts; quote yes, no, on and off", key)
    return MappingProxyType(dict(section))


def _items(section: dict[Any, Any]) -> tuple[Item, ...]:
    items = []
    for name, entry in section.items():
        entry = entry if isinstance(entry, dict) else {}
        count, plural, other = entry.get("count", 1), entry.get("plural", f"{name}s"), entry.get("other", [])
        if not isinstance(name, str) or set(entry) - {"from", "count", "plural", "other"}:
            raise _BadEntryError(f"'{name}' may have from, count, plural and other", name)
        if entry.get("from") not in PLACES:
            raise _BadEntryError(f"'{name}' must have 'from', one of {', '.join(PLACES)}", name)
        counted = type(count) is int and 1 <= count <= MOST_OF_ANY
        if not counted or not isinstance(plural, str) or not are_texts(other):
            message = f"'{name}': count is a whole number, plural a text, other a list of texts"
            raise _BadEntryError(message, name)
        items.append(Item(name, plural, entry["from"], count, tuple(other)))
    return tuple(items)


def _contacts(section: dict[Any, Any]) -> tuple[Contact, ...]:
    contacts = []
    for key, entry in section.items():
        told = dict(entry) if isinstance(entry, dict) else {}
        days = told.pop("days", UNSET)
        if not isinstance(key, str) or set(told) != {"name", "number"} or not are_texts(list(told.values())):
            message = f"contact '{key}' must have the texts name and number; quote the number, or say {UNSET}"
            raise _BadEntryError(message, key)
        if days != UNSET and (type(days) is not int or not 0 <= days <= MOST_DAYS):
            raise _BadEntryError(f"contact '{key}': days must be a whole number of 0 to {MOST_DAYS}, or {UNSET}", key)
        number = "" if told["number"] == UNSET else told["number"]
        contacts.append(Contact(key, told["name"], number, 0 if days == UNSET else days))
    return tuple(contacts)


def _lists(section: dict[Any, Any]) -> Mapping[str, tuple[str, ...]]:
    for word, others in section.items():
        if not isinstance(word, str) or not are_texts(others):
            raise _BadEntryError("must be 'word: [other, words]' lines", word)
    return MappingProxyType({word: tuple(others) for word, others in section.items()})


_READ: Mapping[str, Any] = MappingProxyType(
    {
        **dict.fromkeys(_KEYED, _keyed),
        **dict.fromkeys(_ITEMS, _items),
        "contacts": _contacts,
        **dict.fromkeys(("words", "countries"), _lists),
        "publishers": _keyed,
    }
)
