"""``<id>.phrases.yaml`` beside a note: what hurried people call its trouble."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import product
from pathlib import Path

from assistant.errors import Fault, NotesError
from assistant.model import Note, Phrases
from assistant.notes.text import read_text
from assistant.notes.yaml_text import read_mapping

__all__ = ["NOTHING", "phrase_lines", "phrases_path", "read_phrases", "stray_phrases"]

NOTHING = "none"
"""Stands in ``not_this`` for what no note covers."""
_LISTS = ("things", "troubles", "plain")


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


@lru_cache(maxsize=4096)
def _phrases_of(text: str, shown: str) -> Phrases:
    form = f"must be the lists {', '.join(_LISTS)} and the mapping not_this"
    loaded, lines = read_mapping(text, shown, form)
    faults = [Fault(shown, lines.get(str(key), 1), f"'{key}' is unknown: {form}") for key in loaded if key not in _KEYS]
    for name in _LISTS:
        values = loaded.get(name) or []
        if not isinstance(values, list) or not all(isinstance(value, str) and value.strip() for value in values):
            faults.append(Fault(shown, lines[name], f"'{name}' must be a list of texts; quote words such as no and on"))
    apart = loaded.get("not_this") or {}
    if not isinstance(apart, dict) or not all(isinstance(part, str) and part for row in apart.items() for part in row):
        faults.append(Fault(shown, lines["not_this"], f"'not_this' must map lines to ids of notes, or to {NOTHING}"))
    if faults:
        raise NotesError(faults)
    things, troubles, plain = (tuple(dict.fromkeys(v.strip() for v in loaded.get(name) or [])) for name in _LISTS)
    return Phrases(
        things, troubles, plain, tuple((line.strip(), "" if id == NOTHING else id) for line, id in apart.items())
    )


_KEYS = (*_LISTS, "not_this")


def phrase_lines(note: Note) -> list[str]:
    """Return every plain line and every pair of a thing and a trouble, as a person would type them."""
    phrases = note.phrases
    return [*phrases.plain, *(f"{thing} {trouble}" for thing, trouble in product(phrases.things, phrases.troubles))]


def stray_phrases(notes: Iterable[Note]) -> list[Fault]:
    """Return a fault for every ``not_this`` that names a note which does not exist."""
    notes = tuple(notes)
    known = {note.id for note in notes}
    return [
        Fault(phrases_path(Path(note.path)).as_posix(), 1, f"'{line}' names the note '{id}', which does not exist")
        for note in notes
        for line, id in note.phrases.not_this
        if id and id not in known
    ]
