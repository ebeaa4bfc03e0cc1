"""YAML that nobody has vouched for: no tags, aliases, deep nesting, control characters; every fault with its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import yaml
from yaml.constructor import SafeConstructor

from assistant.errors import Fault, NotesError
from assistant.notes.text import DEEPEST, forbidden_characters, nested_deeply

__all__ = ["BadYamlError", "Parsed", "are_texts", "entry_lines", "key_lines", "parsed", "read_mapping"]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The parser of libyaml where PyYAML was built with it: a folder of phrases is read in tenths of a second."""
_TAG = "tag:yaml.org,2002:"
_MERGE = "<<"
_BROKEN = (yaml.YAMLError, RecursionError, ValueError, TypeError, LookupError, AttributeError, ArithmeticError)
"""What parser and constructor raise; a value that is not what it looks like is told in any of these ways."""


class BadYamlError(ValueError):
    """A text that is not read; ``line`` counts from 1."""

    def __init__(self, line: int, message: str) -> None:
        self.line = line
        super().__init__(message)


class Parsed(NamedTuple):
    """What a text holds, its nodes, and the events that it is made of."""

    value: Any
    node: yaml.Node | None
    events: tuple[yaml.Event, ...]


def parsed(text: str) -> Parsed:
    """Read a text as YAML.

    Raises
    ------
    BadYamlError
        If it cannot be read safely.
    """
    if nested_deeply(text):
        raise BadYamlError(1, "is nested too deeply")
    try:
        events = tuple(_plain_events(text))
        node = yaml.compose(text, _LOADER)
    except _BROKEN as error:
        if isinstance(error, BadYamlError):
            raise
        raise _told(error, 1) from error
    if node is None:
        return Parsed(None, None, events)
    try:
        return Parsed(SafeConstructor().construct_document(node), node, events)
    except _BROKEN as error:
        raise _told(error, _line_of_bad_value(node)) from error


def _plain_events(text: str) -> Iterator[yaml.Event]:
    depth = 0
    for event in yaml.parse(text, _LOADER):
        line = event.start_mark.line + 1 if event.start_mark else 1
        if getattr(event, "anchor", None) is not None:
            raise BadYamlError(line, "must not use YAML aliases")
        if tag := getattr(event, "tag", None):
            raise BadYamlError(line, f"must not use YAML tags such as {tag.replace(_TAG, '!!')}")
        if isinstance(event, yaml.ScalarEvent) and event.value == _MERGE and event.implicit[0]:
            raise BadYamlError(line, f"must not use the YAML merge key {_MERGE}")
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        if depth > DEEPEST:
            raise BadYamlError(line, "is nested too deeply")
        yield event


def _told(error: Exception, line: int) -> BadYamlError:
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None) or "cannot be parsed"
    return BadYamlError(mark.line + 1 if mark else line, f"is not valid YAML: {problem}")


def _line_of_bad_value(node: yaml.Node) -> int:
    """Return the line of the first value that is not what it looks like, such as a 45th of the month."""
    for scalar in _scalars(node):
        try:
            SafeConstructor().construct_object(scalar)
        except _BROKEN:
            return int(scalar.start_mark.line + 1)
    return int(node.start_mark.line + 1)


def _scalars(node: yaml.Node) -> Iterator[yaml.ScalarNode]:
    if isinstance(node, yaml.ScalarNode):
        yield node
    elif isinstance(node, yaml.MappingNode):
        for pair in node.value:
            for part in pair:
                yield from _scalars(part)
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _scalars(item)


def read_mapping(
    text: str, shown: str, form: str, *, once: bool = False, begun: bool = False
) -> tuple[dict[Any, Any], dict[str, int]]:
    """Return the mapping that a file holds, and the line of each of its keys.

    Parameters
    ----------
    form
        What the file must be, for the message where it is no mapping.
    once
        Whether a key that stands twice is a fault; of two the first is lost.
    begun
        Whether a file of comments alone, to which nobody has added anything yet, is a mapping without keys.

    Raises
    ------
    NotesError
        If it is no mapping or cannot be read safely.
    """
    try:
        loaded, node, events = parsed(text)
    except BadYamlError as error:
        raise NotesError([Fault(shown, error.line, str(error))]) from error
    if begun and node is None:
        return {}, {}
    if not isinstance(loaded, dict) or not isinstance(node, yaml.MappingNode):
        raise NotesError([Fault(shown, 1, form)])
    faults = [*_hidden(events, shown), *(_twice(node, shown) if once else ())]
    if faults:
        raise NotesError(faults)
    return loaded, key_lines(node)


def key_lines(node: yaml.MappingNode) -> dict[str, int]:
    """Return the line on which each key of a mapping stands."""
    return {str(key.value): key.start_mark.line + 1 for key, _ in node.value}


def entry_lines(text: str, key: str) -> dict[Any, int]:
    """Return the line of each entry under a key of a mapping: of a list by the place from 0, of a mapping by its key.

    Raises
    ------
    BadYamlError
        If the text cannot be read safely.
    """
    node = parsed(text).node
    pairs = node.value if isinstance(node, yaml.MappingNode) else []
    below = next((value for name, value in pairs if name.value == key), None)
    if isinstance(below, yaml.SequenceNode):
        return {place: item.start_mark.line + 1 for place, item in enumerate(below.value)}
    if isinstance(below, yaml.MappingNode):
        made = SafeConstructor()
        return {made.construct_object(name, deep=True): name.start_mark.line + 1 for name, _ in below.value}
    return {}


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
