"""Waivers: findings that the author has looked at and keeps, each with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import yaml

from assistant.errors import Fault
from assistant.notes.text import nested_deeply

__all__ = ["WAIVERS", "Waiver", "read_waivers"]

WAIVERS = "waivers.yaml"
"""Name of the file at the top of the corpus folder."""
_NOTHING = "tag:yaml.org,2002:null"
_NEEDED = ("rule", "note", "reason")
_KNOWN = frozenset({*_NEEDED, "words"})


class Waiver(NamedTuple):
    """One entry: findings of ``rule`` in ``note`` are kept, those alone whose message holds ``words``.

    ``note`` is a note's id, which covers its questions and phrases too, or the path of a file below the corpus folder.
    """

    rule: str
    note: str
    reason: str
    words: str
    line: int

    def covers(self, code: str, path: str, message: str) -> bool:
        """Tell whether a finding is waived."""
        name = path.rpartition("/")[2]
        for ending in (".md", ".questions.txt", ".phrases.yaml"):
            name = name.removesuffix(ending)
        return code == self.rule and self.note in {path, name} and self.words in message


def read_waivers(lines: Sequence[str], shown: str = WAIVERS) -> tuple[list[Waiver], list[Fault]]:
    """Read the list ``- {rule: C105, note: pad-clean, reason: ...}``; entries at fault waive nothing."""
    text = "\n".join(lines)
    if not text.strip():
        return [], []
    if nested_deeply(text):
        return [], [Fault(shown, 1, "is nested too deeply")]
    try:
        root = yaml.compose(text, yaml.SafeLoader)
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        mark = getattr(error, "problem_mark", None)
        return [], [Fault(shown, mark.line + 1 if mark else 1, "is not valid YAML")]
    if root is None or root.tag == _NOTHING:
        return [], []
    if not isinstance(root, yaml.SequenceNode):
        return [], [Fault(shown, 1, "must be a list of {rule, note, reason}")]
    waivers: list[Waiver] = []
    faults: list[Fault] = []
    for node in root.value:
        line = node.start_mark.line + 1
        values = _values(node)
        if set(values) - _KNOWN or any(not values.get(key, "").strip() for key in _NEEDED):
            faults.append(Fault(shown, line, "a waiver needs rule, note and reason as texts, and may have words"))
        else:
            waivers.append(
                Waiver(values["rule"], values["note"], values["reason"].strip(), values.get("words", ""), line)
            )
    return waivers, faults


def _values(node: yaml.Node) -> dict[str, str]:
    """Return a mapping of texts; empty where the node is anything else."""
    if not isinstance(node, yaml.MappingNode):
        return {}
    pairs = [(key, value) for key, value in node.value if isinstance(value, yaml.ScalarNode)]
    return {str(key.value): str(value.value) for key, value in pairs} if len(pairs) == len(node.value) else {}
