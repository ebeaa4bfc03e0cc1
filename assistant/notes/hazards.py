"""``hazards.yaml``: one hazard, one message, from which every note takes its own."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from assistant.errors import Fault, NotesError
from assistant.languages import language_of
from assistant.model import Hazard
from assistant.notes.text import read_text
from assistant.notes.trade import language_in
from assistant.notes.yaml_text import are_texts, read_mapping

__all__ = ["HAZARDS", "message_of", "read_hazards"]

HAZARDS = "hazards.yaml"
_FIELDS = ("signal", "hazard", "consequence", "avoidance", "source")
_BEFORE = "before"


def message_of(hazard: Hazard) -> str:
    """Return the three sentences with which every message on this hazard begins."""
    return f"{hazard.hazard} {hazard.consequence} {hazard.avoidance}"


def read_hazards(root: Path) -> tuple[Hazard, ...]:
    """Return the hazards in the order of the file; nothing where there is no file.

    Raises
    ------
    NotesError
        With the line of every entry that is not as it should be.
    """
    path = root / HAZARDS
    if not path.exists() and not path.is_symlink():
        return ()
    return _hazards_of(read_text(path, path.name), path.name, language_of(language_in(root)).signals)


@lru_cache(maxsize=8)
def _hazards_of(text: str, shown: str, signals: tuple[str, ...]) -> tuple[Hazard, ...]:
    form = f"must be 'key:' lines with {', '.join(_FIELDS)} below"
    loaded, lines = read_mapping(text, shown, form, once=True, begun=True)
    faults = []
    hazards = []
    for key, entry in loaded.items():
        line = lines.get(str(key), 1)
        texts = [entry.get(name) for name in _FIELDS] if isinstance(entry, dict) else []
        if not texts or set(entry) - {*_FIELDS, _BEFORE} or not are_texts(texts):
            faults.append(Fault(shown, line, f"'{key}' must have the texts {', '.join(_FIELDS)}"))
        elif not are_texts(entry.get(_BEFORE, [])):
            faults.append(Fault(shown, line, f"'{_BEFORE}' of '{key}' must be a list of the words of steps"))
        elif entry["signal"] not in signals:
            faults.append(Fault(shown, line, f"signal of '{key}' must be one of {', '.join(signals)}"))
        else:
            before = tuple(" ".join(words.split()) for words in entry.get(_BEFORE, []))
            hazards.append(Hazard(key=str(key), before=before, **{n: " ".join(entry[n].split()) for n in _FIELDS}))
    if faults:
        raise NotesError(faults)
    return tuple(hazards)
