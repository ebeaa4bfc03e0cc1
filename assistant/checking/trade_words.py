"""``check.yaml``: the words of a trade by which rules read its notes; for what it has no words nothing is found."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from math import inf
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from assistant.checking.rule import Book
from assistant.errors import Fault, NotesError
from assistant.notes.text import read_text
from assistant.notes.yaml_text import are_texts, read_mapping

__all__ = ["WORDS", "Advice", "Limit", "PowerWords", "TradeWords", "read_words", "words_in", "words_of"]

WORDS = "check.yaml"
"""Name of the file at the top of the corpus folder."""
_NOTHING = r"(?!)"
_SECTIONS = ("notes", "power", "advice", "limits", "causes", "names", "verbs")
_POWER = ("takes", "gives", "opens", "inside", "test", "no_test")
_ADVICE = ("says", "finds", "unless")
_NUMBERS = ("least", "most")
_LIMIT = ("where", "unless", "unit", "one_of", "within", *_NUMBERS, "never")
_LONGEST = 1000


class PowerWords(NamedTuple):
    """What has mains power, as names, and expressions for what steps say of it; ``same`` are acts by their name."""

    devices: tuple[str, ...] = ()
    takes: str = _NOTHING
    gives: str = _NOTHING
    opens: str = _NOTHING
    inside: str = _NOTHING
    test: str = _NOTHING
    no_test: str = _NOTHING
    same: Mapping[str, str] = MappingProxyType({})


class Advice(NamedTuple):
    """Expressions for what no sentence says to do and for what is harmless of it, and what a finding says."""

    says: str
    finds: str
    unless: str = _NOTHING


class Limit(NamedTuple):
    """What figures of a unit may be in a sentence, or what it never says; see `check.yaml` of the shipped notes."""

    where: str = ""
    unless: str = _NOTHING
    unit: str = ""
    one_of: frozenset[float] = frozenset()
    within: tuple[tuple[float, float], ...] = ()
    never: str = ""


class TradeWords(NamedTuple):
    """All that the file holds.

    ``isolating`` and ``kit`` are ids of notes, empty for none. ``advice`` and ``limits`` are by the code of their rule,
    ``devices`` and ``between`` what may be at fault beside the parts of the trade.
    """

    isolating: str = ""
    kit: str = ""
    power: PowerWords | None = None
    advice: Mapping[str, Advice] = MappingProxyType({})
    limits: Mapping[str, tuple[Limit, ...]] = MappingProxyType({})
    devices: tuple[str, ...] = ()
    between: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    verbs: frozenset[str] = frozenset()

    def has(self, need: str) -> bool:
        """Tell whether there are words for a rule that needs ``power``, or ``advice`` or ``limits`` under its code."""
        section, _, code = need.partition(" ")
        return code in getattr(self, section) if code else bool(getattr(self, section))


def words_of(book: Book) -> TradeWords:
    """Return the words of a book's trade; what is at fault counts as not there."""
    return words_in(book.texts.get(WORDS, ()))[0]


def read_words(root: Path) -> TradeWords:
    """Return the words of a folder of notes.

    Raises
    ------
    NotesError
        If the file cannot be read, or with the line of what is not as it should be.
    """
    path = root / WORDS
    if not path.exists() and not path.is_symlink():
        return TradeWords()
    words, faults = words_in(tuple(read_text(path, WORDS).split("\n")))
    if faults:
        raise NotesError(list(faults))
    return words


@lru_cache(maxsize=8)
def words_in(lines: tuple[str, ...]) -> tuple[TradeWords, tuple[Fault, ...]]:
    """Return what the lines of the file hold, and what is wrong with them."""
    text = "\n".join(line.removesuffix("\r") for line in lines)
    form = f"must have the sections {', '.join(_SECTIONS)}"
    try:
        loaded, places = read_mapping(text, WORDS, form, once=True, begun=True)
    except NotesError as error:
        return TradeWords(), tuple(error.faults)
    values: dict[str, Any] = {}
    faults = []
    for name, section in loaded.items():
        try:
            if name not in _SECTIONS:
                raise ValueError(f"unknown section '{name}': {', '.join(_SECTIONS)}")
            values |= _READ[name](section)
        except ValueError as error:
            faults.append(Fault(WORDS, places.get(str(name), 1), f"{name}: {error}"))
    return TradeWords(**values), tuple(faults)


def _notes(section: Any) -> dict[str, Any]:
    _known(section, ("isolating", "kit"))
    if not are_texts(list(section.values())):
        raise ValueError("an id of a note each")
    return dict(section)


def _power(section: Any) -> dict[str, Any]:
    _known(section, ("devices", *_POWER, "same"))
    if not are_texts(section.get("devices", [])) or not section.get("devices"):
        raise ValueError("devices is a list of the names of what has mains power")
    same = section.get("same", {})
    if not isinstance(same, dict) or not all(isinstance(name, str) for name in same):
        raise ValueError("same are 'act: [expressions]' lines")
    return {
        "power": PowerWords(
            devices=tuple(name.lower() for name in section["devices"]),
            same={name: _expression(texts) for name, texts in same.items()},
            **{name: _expression(section.get(name, [])) for name in _POWER},
        )
    }


def _advice(section: Any) -> dict[str, Any]:
    return {"advice": {code: _one_advice(entry) for code, entry in _by_code(section).items()}}


def _one_advice(entry: Any) -> Advice:
    _known(entry, _ADVICE)
    if not isinstance(entry.get("says"), str) or not entry.get("finds"):
        raise ValueError("each has says, a text, and finds, expressions")
    return Advice(entry["says"], _expression(entry["finds"]), _expression(entry.get("unless", [])))


def _limits(section: Any) -> dict[str, Any]:
    rows = _by_code(section)
    if not all(isinstance(entries, list) for entries in rows.values()):
        raise ValueError("a list of limits under each code")
    return {"limits": {code: tuple(map(_limit, entries)) for code, entries in rows.items()}}


def _limit(entry: Any) -> Limit:
    _known(entry, _LIMIT)
    one_of, within = entry.get("one_of", []), entry.get("within", [])
    pairs = isinstance(within, list) and all(isinstance(pair, list) and len(pair) == 2 for pair in within)
    numbers = [entry[name] for name in _NUMBERS if name in entry]
    numbers += one_of if isinstance(one_of, list) else [None]
    numbers += [number for pair in within for number in pair] if pairs else [None]
    if not all(type(number) in (int, float) for number in numbers):
        raise ValueError("one_of is a list of numbers, within one of pairs, least and most are numbers")
    if ("never" in entry) == ("unit" in entry):
        raise ValueError("each limit has either unit or never")
    spans = [tuple(pair) for pair in within]
    if "least" in entry:
        spans.append((entry["least"], inf))
    if "most" in entry:
        spans.append((-inf, entry["most"]))
    texts = {name: _expression([entry[name]]) for name in ("where", "unless", "never") if name in entry}
    unit = _expression([entry["unit"]]) if "unit" in entry else ""
    return Limit(**texts, unit=unit, one_of=frozenset(one_of), within=tuple(spans))


def _causes(section: Any) -> dict[str, Any]:
    _known(section, ("devices", "between"))
    if not all(map(are_texts, section.values())):
        raise ValueError("devices and between are lists of texts")
    return {name: tuple(texts) for name, texts in section.items()}


def _names(section: Any) -> dict[str, Any]:
    if not are_texts(section):
        raise ValueError("a list of texts")
    return {"names": tuple(section)}


def _verbs(section: Any) -> dict[str, Any]:
    return {"verbs": frozenset(_names(section)["names"])}


def _known(section: Any, names: tuple[str, ...]) -> None:
    if not isinstance(section, dict) or set(section) - set(names):
        raise ValueError(f"may have {', '.join(names)}")


def _by_code(section: Any) -> dict[str, Any]:
    if not isinstance(section, dict) or not all(isinstance(code, str) for code in section):
        raise ValueError("must be by the code of a rule")
    return section


def _expression(texts: Any) -> str:
    """Return one expression for any of several; nothing where there are none."""
    if not are_texts(texts):
        raise ValueError("expressions are a list of texts")
    return "|".join(map(_alone, texts)) if texts else _NOTHING


def _alone(text: str) -> str:
    """Return an expression so that it may stand within another: no flags for the whole, no groups that are counted."""
    if len(text) > _LONGEST:
        raise ValueError(f"'{text[:60]}' is longer than {_LONGEST} characters")
    try:
        compiled = re.compile(f"(?:{text})", re.IGNORECASE)
        re.compile(text)
    except (re.error, OverflowError, RecursionError) as error:
        raise ValueError(f"'{text[:60]}' is no expression: {error}") from error
    if compiled.groups:
        raise ValueError(f"'{text[:60]}' has a group: begin it with '(?:' and not with '('")
    return f"(?:{text})"


_READ: Mapping[str, Any] = MappingProxyType(
    {
        "notes": _notes,
        "power": _power,
        "advice": _advice,
        "limits": _limits,
        "causes": _causes,
        "names": _names,
        "verbs": _verbs,
    }
)
