"""``alarm.yaml``: words that always put their safety note first, and the line on whom to call."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.model import Alarm
from assistant.notes.text import read_text
from assistant.notes.yaml_text import are_texts, read_mapping

__all__ = ["read_alarms"]

_EMERGENCY = "emergency"
_FORM = f"must be '{_EMERGENCY}:' with a line of text, and 'note:' lines with the lists words and not below"


def read_alarms(root: Path, ids: Collection[str]) -> tuple[tuple[Alarm, ...], str]:
    """Return the alarms in the order of the file, and the emergency line; nothing where there is no file.

    Raises
    ------
    NotesError
        With the line of every entry that is not as it should be, or names a note that is not among ``ids``.
    """
    path = root / "alarm.yaml"
    if not path.exists() and not path.is_symlink():
        return (), ""
    alarms, emergency, lines = _alarms_of(read_text(path, path.name), path.name)
    unknown = [alarm.note for alarm in alarms if alarm.note not in ids]
    if unknown:
        raise NotesError(
            [Fault(path.name, lines.get(note, 1), f"names the note '{note}', which does not exist") for note in unknown]
        )
    return alarms, emergency


@lru_cache(maxsize=8)
def _alarms_of(text: str, shown: str) -> tuple[tuple[Alarm, ...], str, dict[str, int]]:
    loaded, lines = read_mapping(text, shown, _FORM, once=True, begun=True)
    faults = []
    alarms = []
    emergency = loaded.pop(_EMERGENCY, "")
    if not isinstance(emergency, str):
        faults.append(Fault(shown, lines.get(_EMERGENCY, 1), f"'{_EMERGENCY}' must be a line of text"))
    for note, entry in loaded.items():
        lists: list[Any] = [entry.get(name, []) for name in ("words", "not")] if isinstance(entry, dict) else []
        if not lists or set(entry) - {"words", "not"} or not all(map(are_texts, lists)):
            faults.append(Fault(shown, lines.get(str(note), 1), f"'{note}' must have the lists of texts words and not"))
        else:
            alarms.append(Alarm(str(note), tuple(lists[0]), tuple(lists[1])))
    if faults:
        raise NotesError(faults)
    return tuple(alarms), str(emergency), lines
