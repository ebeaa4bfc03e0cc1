"""``<id>.phrases.yaml`` beside a note: what hurried people call its trouble."""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import product
from pathlib import Path
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.model import Note, Phrases
from assistant.notes.kept import Kept
from assistant.notes.text import read_text
from assistant.notes.yaml_text import are_texts, entry_lines, read_mapping

__all__ = ["NOTHING", "phrase_lines", "phrase_pairs", "phrases_path", "phrases_text", "read_phrases"]

NOTHING = "none"
"""Stands in ``not_this`` for what no note covers."""
_LISTS = ("things", "troubles", "plain")
_KEYS = (*_LISTS, "not_this")
_WIDEST = 120


def phrases_path(note: Path) -> Path:
    """Return where the phrases of the note at ``note`` lie."""
    return note.with_name(f"{note.stem}.phrases.yaml")


def read_phrases(note: Path, root: Path) -> Phrases:
    """Return the phrases beside a note, empty where there is no file.

    Raises
    ------
    NotesError
        With the line of every list or text that is not as it should be.
    """
    path = phrases_path(note)
    if not path.exists() and not path.is_symlink():
        return Phrases()
    shown = path.relative_to(root).as_posix()
    return _phrases_of(read_text(path, shown), shown)


@Kept
def _phrases_of(text: str, shown: str) -> Phrases:
    form = f"must be the lists {', '.join(_LISTS)} and the mapping not_this"
    loaded, lines = read_mapping(text, shown, form, once=True)
    faults = [Fault(shown, lines.get(str(key), 1), f"'{key}' is unknown: {form}") for key in loaded if key not in _KEYS]
    held = {key: value for key, value in loaded.items() if value is not None}
    for name in _LISTS:
        if not are_texts(held.get(name, [])):
            faults += _faults_of_list(name, held[name], text, Fault(shown, lines.get(name, 1), ""))
    apart = held.get("not_this", {})
    if not isinstance(apart, dict) or not are_texts([*apart, *apart.values()]):
        message = f"'not_this' must map lines to ids of notes, or to {NOTHING}"
        faults.append(Fault(shown, lines.get("not_this", 1), message))
    if faults:
        raise NotesError(faults)
    things, troubles, plain = (tuple(dict.fromkeys(v.strip() for v in held.get(name, []))) for name in _LISTS)
    led = {line.strip(): "" if other == NOTHING else other for line, other in apart.items()}
    return Phrases(things, troubles, plain, tuple(led.items()))


def _faults_of_list(name: str, value: object, text: str, head: Fault) -> list[Fault]:
    """Return a fault for each item that is no text, at its line; one at the ``head`` of what is no list at all."""
    quote = f"'{name}' must be a list of texts; quote words such as no and on"
    if not isinstance(value, list):
        return [head._replace(message=quote)]
    at: dict[Any, int] = entry_lines(text, name)
    colon = f"'{name}' must be a list of texts; quote a text that holds a colon"
    return [
        head._replace(line=at.get(place, head.line), message=colon if isinstance(item, dict) else quote)
        for place, item in enumerate(value)
        if not are_texts([item])
    ]


def phrases_text(phrases: Phrases) -> str:
    """Return a file of phrases, from which the same value is read."""
    rows = [
        *_flow("things", phrases.things),
        *_flow("troubles", phrases.troubles),
        *_block("plain", [f"- {_quoted(line)}" for line in phrases.plain], "[]"),
        *_block(
            "not_this", [f"{_quoted(line)}: {_quoted(other or NOTHING)}" for line, other in phrases.not_this], "{}"
        ),
    ]
    return "\n".join(rows) + "\n"


def _flow(name: str, texts: Sequence[str]) -> list[str]:
    rows = [f"{name}: ["]
    for number, text in enumerate(texts, start=1):
        item = _quoted(text) + ("," if number < len(texts) else "]")
        if number > 1 and len(rows[-1]) + len(item) >= _WIDEST:
            rows.append(f"  {item}")
        else:
            rows[-1] += f" {item}" if number > 1 else item
    return rows if texts else [f"{name}: []"]


def _block(name: str, rows: Sequence[str], nothing: str) -> list[str]:
    return [f"{name}:", *(f"  {row}" for row in rows)] if rows else [f"{name}: {nothing}"]


def _quoted(text: str) -> str:
    """Return a text in double quotes; what YAML takes for something else in them is written as an escape of YAML."""
    quoted = json.dumps(text, ensure_ascii=False)
    return "".join(c if c.isprintable() and c not in "[{" else f"\\U{ord(c):08x}" for c in quoted)


def phrase_lines(note: Note) -> list[str]:
    """Return every plain line, then every pair of a thing and a trouble."""
    return [*note.phrases.plain, *phrase_pairs(note.phrases)]


def phrase_pairs(phrases: Phrases) -> list[str]:
    """Return every pair of a thing and a trouble, as a person would type it."""
    return [f"{thing} {trouble}" for thing, trouble in product(phrases.things, phrases.troubles)]
