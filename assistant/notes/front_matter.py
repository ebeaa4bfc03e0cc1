"""Front matter of a note: YAML mapping -> checked values with their lines."""

from __future__ import annotations

import datetime
import json
import re
from dataclasses import dataclass
from typing import Any

import yaml

from assistant.errors import Fault
from assistant.model import MOST_OF_ANY, Review
from assistant.notes.drafts import STATES
from assistant.notes.text import forbidden_characters
from assistant.notes.yaml_text import BadYamlError, parsed

__all__ = ["FIELDS", "MOST_MINUTES", "UNSIGNED", "FrontMatter", "parse_front_matter"]

FIELDS = (
    "id",
    "title",
    "station",
    "action",
    "minutes",
    "tools",
    "parts",
    "see_also",
    "revision",
    "reviewed",
    "sources",
    "hazards",
    "safety_review",
    "status",
)
MOST_MINUTES = 90
"""What a note may take at most; the check tells of more."""
UNSIGNED = "unsigned"
_MAY_BE_MISSING = frozenset({"hazards", "safety_review", "status"})
_LISTS = ("station", "tools", "parts", "see_also", "sources", "hazards")
_NEEDED_LISTS = frozenset({"station", "sources"})
_ON = "on"
"""A key that YAML 1.1 reads as true where it is not quoted."""
_DIGEST = re.compile(r"[0-9a-f]{12}\Z")
_ID = re.compile(r"[a-z]+(?:-[a-z0-9]+)+\Z")


@dataclass(frozen=True, slots=True)
class FrontMatter:
    """Checked values and, for messages, the line of each field."""

    values: dict[str, Any]
    lines: dict[str, int]


def parse_front_matter(text: str, shown: str, first_line: int) -> tuple[FrontMatter, list[Fault]]:
    """Parse YAML ``text`` whose first line is line ``first_line`` of the file.

    Returns
    -------
    tuple
        The values that could be read, and the faults found. With faults the values may be incomplete.
    """
    empty = FrontMatter({}, {})
    try:
        loaded, node, _ = parsed(text)
    except BadYamlError as error:
        return empty, [Fault(shown, first_line + error.line - 1, f"front matter {error}{_remedy(text, error.line)}")]
    if not isinstance(node, yaml.MappingNode):
        return empty, [Fault(shown, first_line, "front matter is not a list of 'field: value' lines")]

    lines, faults = _lines_of(node, shown, first_line)
    values: dict[str, Any] = {}
    for name in FIELDS:
        if name not in lines and name in _MAY_BE_MISSING:
            continue
        if name not in lines:
            faults.append(Fault(shown, first_line, f"field '{name}' is missing"))
            continue
        value, message = _check(name, loaded[name])
        message = message or _hidden(name, value)
        if message:
            faults.append(Fault(shown, lines[name], message))
        else:
            values[name] = value
    return FrontMatter(values, lines), faults


def _remedy(text: str, number: int) -> str:
    """Say what to do about a line that YAML does not take, where that is one of the common slips."""
    line = text.split("\n")[number - 1] if number <= text.count("\n") + 1 else ""
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "; use blanks, not a tab, at the beginning of a line"
    field, _, value = line.partition(": ")
    if ": " in value or value.endswith(":"):
        return f"; put a value that holds a colon in quotes: {field}: {json.dumps(value, ensure_ascii=False)}"
    if value[:1] in tuple("'\"@`%&*!|>[{"):
        return f"; a value that begins with {value[:1]} must be in quotes and be closed"
    return ""


def _lines_of(node: yaml.MappingNode, shown: str, first_line: int) -> tuple[dict[str, int], list[Fault]]:
    """Return the line of each field, and a fault for every field that is unknown or stands twice."""
    faults: list[Fault] = []
    lines: dict[str, int] = {}
    for key, _ in node.value:
        line = first_line + key.start_mark.line
        name = str(key.value)
        if name not in FIELDS:
            faults.append(Fault(shown, line, f"unknown field '{name}'"))
        elif name in lines:
            faults.append(Fault(shown, line, f"field '{name}' stands twice"))
        else:
            lines[name] = line
    return lines, faults


def _hidden(name: str, value: object) -> str:
    """Name a character that an escape of YAML let in."""
    for text in value if isinstance(value, tuple) else (value,):
        for problem in forbidden_characters(text) if isinstance(text, str) else ():
            return f"'{name}' {problem}"
    return ""


def _check(name: str, value: object) -> tuple[object, str]:
    if name in _LISTS:
        return _check_list(name, value)
    if name in ("minutes", "revision"):
        if not _is_number(value):
            return (
                None,
                f"'{name}' must be a whole number from 1 to {MOST_OF_ANY if name == 'revision' else MOST_MINUTES}",
            )
        return value, ""
    if name == "reviewed":
        if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
            return None, f"'reviewed' must be a date such as 2026-11-02{_unquoted(value)}"
        return value.isoformat(), ""
    if name == "safety_review":
        return _check_review(value)
    if name == "status":
        return (value, "") if value in STATES else (None, f"'status' must be {' or '.join(STATES)}")
    if not isinstance(value, str) or not value.strip():
        return None, f"'{name}' must be text"
    if name == "id" and not _ID.match(value):
        return None, "'id' must be lower-case words joined by hyphens, area first"
    return value.strip(), ""


def _unquoted(value: object) -> str:
    try:
        datetime.date.fromisoformat(str(value))
    except ValueError:
        return ""
    return ", without quotation marks" if isinstance(value, str) else ""


def _is_number(value: object) -> bool:
    return type(value) is int and 1 <= value <= MOST_OF_ANY


def _check_list(name: str, value: object) -> tuple[object, str]:
    if not isinstance(value, list) or not all(isinstance(item, str) and item.strip() for item in value):
        return None, f"'{name}' must be a list of texts"
    if name in _NEEDED_LISTS and not value:
        return None, f"'{name}' must name at least one"
    return tuple(item.strip() for item in value), ""


def _check_review(value: object) -> tuple[object, str]:
    if value == UNSIGNED:
        return Review(), ""
    form = f"'safety_review' must be '{UNSIGNED}', or by, on, revision and digest as 'corpus sign' writes them"
    fields = {_ON if key is True else key: field for key, field in value.items()} if isinstance(value, dict) else {}
    if set(fields) != {"by", _ON, "revision", "digest"}:
        return None, form
    by, on, revision, digest = (fields[key] for key in ("by", _ON, "revision", "digest"))
    signed = isinstance(by, str) and by.strip() and type(on) is datetime.date and _is_number(revision)
    if not signed or not isinstance(digest, str) or not _DIGEST.match(digest):
        return None, form
    return Review(by.strip(), on.isoformat(), revision, digest), ""
