"""``forbidden.yaml``: what no note may tell a rep to do."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.model import Act, Forbidden
from assistant.notes.text import read_text
from assistant.notes.yaml_text import are_texts, read_mapping

__all__ = ["FORBIDDEN", "read_forbidden"]

FORBIDDEN = "forbidden.yaml"

_FAMILIES = ("verbs", "things")
_LISTS = ("harmless", "idioms", "others")
_NAMED = {"verbs": "verbs", "things": "things", "of": "things", "marks": "things", "unless": "things"}
"""The lists of an act, and in which families their names stand."""
_TEXTS = ("why", "source")


def read_forbidden(root: Path) -> Forbidden:
    """Return the forbidden acts, each with the words of the families that it names; nothing where there is no file.

    Raises
    ------
    NotesError
        If something is missing, unknown or of the wrong kind.
    """
    path = root / FORBIDDEN
    if not path.exists() and not path.is_symlink():
        return Forbidden()
    return _forbidden_of(read_text(path, path.name), path.name)


@lru_cache(maxsize=8)
def _forbidden_of(text: str, shown: str) -> Forbidden:
    form = f"must have {', '.join((*_FAMILIES, *_LISTS, 'acts'))}"
    loaded, lines = read_mapping(text, shown, form, once=True, begun=True)
    try:
        return _acts_of(loaded)
    except ValueError as error:
        named = next((lines[key] for key in lines if f"'{key}'" in str(error)), 1)
        raise NotesError([Fault(shown, named, str(error))]) from error


def _acts_of(section: dict[Any, Any]) -> Forbidden:
    if unknown := set(section) - {*_FAMILIES, *_LISTS, "acts"}:
        raise ValueError(f"unknown section '{min(map(str, unknown))}'")
    families = {name: _families(name, section.get(name, {})) for name in _FAMILIES}
    lists = {name: section.get(name, []) for name in _LISTS}
    acts = section.get("acts", {})
    if not all(are_texts(words) for words in lists.values()) or not isinstance(acts, dict):
        raise ValueError("harmless, idioms and others are lists of texts, acts are 'key: {...}' lines")
    return Forbidden(
        acts=tuple(_act(key, entry, families) for key, entry in acts.items()),
        **{name: tuple(words) for name, words in lists.items()},
    )


def _families(name: str, section: Any) -> Mapping[str, tuple[str, ...]]:
    if not isinstance(section, dict) or not all(isinstance(key, str) and are_texts(v) for key, v in section.items()):
        raise ValueError(f"'{name}' are 'family: [words]' lines; quote yes, no, on and off")
    return {key: tuple(words) for key, words in section.items()}


def _act(key: Any, entry: Any, families: Mapping[str, Mapping[str, tuple[str, ...]]]) -> Act:
    if not isinstance(key, str) or not isinstance(entry, dict) or set(entry) - {*_NAMED, *_TEXTS}:
        raise ValueError(f"forbidden act '{key}' may have {', '.join([*_NAMED, *_TEXTS])}")
    if not all(isinstance(entry.get(name), str) and entry[name].strip() for name in _TEXTS) or not entry.get("verbs"):
        raise ValueError(f"forbidden act '{key}' must have verbs, why and source")
    words = {}
    for name, kind in _NAMED.items():
        named = entry.get(name, [])
        if not are_texts(named):
            raise ValueError(f"forbidden act '{key}': {name} is a list of families")
        if missing := next((family for family in named if family not in families[kind]), None):
            raise ValueError(f"forbidden act '{key}': there is no family '{missing}' under {kind}")
        words[name] = tuple(dict.fromkeys(word for family in named for word in families[kind][family]))
    return Act(key=key, why=entry["why"], source=entry["source"], **words)
