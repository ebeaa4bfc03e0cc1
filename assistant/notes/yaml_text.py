"""YAML that nobody has vouched for: no aliases, no deep nesting, no control characters, every fault with its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import yaml

from assistant.errors import Fault, NotesError
from assistant.notes.text import forbidden_characters, nested_deeply

__all__ = ["are_texts", "key_lines", "read_mapping"]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The parser of libyaml where PyYAML was built with it: a folder of phrases is read in tenths of a second."""
_BROKEN = (yaml.YAMLError, RecursionError, ValueError, TypeError, LookupError, AttributeError)
"""What the parser raises; a value that does not fit its explicit tag is told in any of these ways."""


def read_mapping(text: str, shown: str, form: str, *, once: bool = False) -> tuple[dict[Any, Any], dict[str, int]]:
    """Return the mapping that a file holds, and the line of each of its keys.

    Parameters
    ----------
    form
        What the file must be, for the message where it is no mapping.
    once
        Whether a key that stands twice is a fault; of two the first is lost.

    Raises
    ------
    NotesError
        If it is no mapping or cannot be read safely.
    """
    if nested_deeply(text):
        raise NotesError([Fault(shown, 1, "is nested too deeply")])
    try:
        events = list(yaml.parse(text, _LOADER))
        if any(isinstance(event, yaml.AliasEvent) for event in events):
            raise NotesError([Fault(shown, 1, "must not use YAML aliases")])
        loaded = yaml.load(text, _LOADER)  # noqa: S506
        node = yaml.compose(text, _LOADER)
    except _BROKEN as error:
        mark = getattr(error, "problem_mark", None)
        message = getattr(error, "problem", None) or "cannot be parsed"
        raise NotesError([Fault(shown, mark.line + 1 if mark else 1, f"not valid YAML: {message}")]) from error
    if not isinstance(loaded, dict) or not isinstance(node, yaml.MappingNode):
        raise NotesError([Fault(shown, 1, form)])
    faults = [*_hidden(events, shown), *(_twice(node, shown) if once else ())]
    if faults:
        raise NotesError(faults)
    return loaded, key_lines(node)


def key_lines(node: yaml.MappingNode) -> dict[str, int]:
    """Return the line on which each key of a mapping stands."""
    return {str(key.value): key.start_mark.line + 1 for key, _ in node.value}


def are_texts(value: object) -> bool:
    """Tell whether a value is a list of texts, none of them empty."""
    return isinstance(value, list) and all(isinstance(text, str) and text.strip() for text in value)


def _hidden(events: Iterable[yaml.Event], shown: str) -> Iterator[Fault]:
    """Yield a fault for every character that an escape of YAML let in."""
    for event in events:
        if isinstance(event, yaml.ScalarEvent):
            number = event.start_mark.line + 1 if event.start_mark else 1
            for line in event.value.split("\n"):
                yield from (Fault(shown, number, problem) for problem in forbidden_characters(line))


def _twice(node: yaml.MappingNode, shown: str) -> Iterator[Fault]:
    seen = set()
    for key, _ in node.value:
        if str(key.value) in seen:
            yield Fault(shown, key.start_mark.line + 1, f"'{key.value}' stands twice")
        seen.add(str(key.value))
