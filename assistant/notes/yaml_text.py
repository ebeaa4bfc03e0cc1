"""YAML that nobody has vouched for: no aliases, no deep nesting, every fault with its line."""

from __future__ import annotations

from typing import Any

import yaml

from assistant.errors import Fault, NotesError
from assistant.notes.text import nested_deeply

__all__ = ["key_lines", "read_mapping"]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The parser of libyaml where PyYAML was built with it: a folder of phrases is read in tenths of a second."""


def read_mapping(text: str, shown: str, form: str) -> tuple[dict[Any, Any], dict[str, int]]:
    """Return the mapping that a file holds, and the line of each of its keys.

    Parameters
    ----------
    form
        What the file must be, for the message where it is no mapping.

    Raises
    ------
    NotesError
        If it is no mapping or cannot be read safely.
    """
    if nested_deeply(text):
        raise NotesError([Fault(shown, 1, "is nested too deeply")])
    try:
        if any(isinstance(event, yaml.AliasEvent) for event in yaml.parse(text, _LOADER)):
            raise NotesError([Fault(shown, 1, "must not use YAML aliases")])
        loaded = yaml.load(text, _LOADER)  # noqa: S506
        node = yaml.compose(text, _LOADER)
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        mark = getattr(error, "problem_mark", None)
        message = getattr(error, "problem", None) or "cannot be parsed"
        raise NotesError([Fault(shown, mark.line + 1 if mark else 1, f"not valid YAML: {message}")]) from error
    if not isinstance(loaded, dict) or not isinstance(node, yaml.MappingNode):
        raise NotesError([Fault(shown, 1, form)])
    return loaded, key_lines(node)


def key_lines(node: yaml.MappingNode) -> dict[str, int]:
    """Return the line on which each key of a mapping stands."""
    return {str(key.value): key.start_mark.line + 1 for key, _ in node.value}
