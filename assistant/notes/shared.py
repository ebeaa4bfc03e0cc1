"""What belongs to all notes of a folder, in files of its own: trade, hazards, alarms, vocabulary, short turns ..."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from assistant.errors import Fault, NotesError
from assistant.model import ABOUTS, Corpus, Vocabulary
from assistant.notes.alarms import read_alarms
from assistant.notes.forbidden import FORBIDDEN, read_forbidden
from assistant.notes.hazards import HAZARDS, read_hazards
from assistant.notes.text import read_text
from assistant.notes.trade import TRADE, read_trade
from assistant.notes.yaml_text import read_mapping

__all__ = ["READ_SHARED", "numbered_lines"]

_FEW = 20
_LEAST_FITTING = 2


def _read_lines(path: Path, root: Path) -> tuple[str, ...]:
    return tuple(line for _, line in numbered_lines(path, root))


def numbered_lines(path: Path, root: Path) -> list[tuple[int, str]]:
    """Return (line number, text) of the lines that are neither empty nor comments."""
    if not path.exists() and not path.is_symlink():
        return []
    lines = enumerate(read_text(path, path.relative_to(root).as_posix()).split("\n"), start=1)
    return [(number, line.strip()) for number, line in lines if line.strip() and not line.startswith("#")]


def _with_uncovered(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(uncovered=_read_lines(root / "uncovered.txt", root))


def _with_followups(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(followups=_read_pairs(root / "followups.txt", (*ABOUTS, "new"), "about"))


def _with_dangers(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(dangers=_read_pairs(root / "danger.txt", ids, "note"))


def _with_ambiguous(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    pairs = []
    faults = []
    for number, line in numbered_lines(root / "ambiguous.txt", root):
        keys, colon, question = (part.strip() for part in line.partition(":"))
        notes = tuple(keys.split())
        if not colon or not question or len(notes) < _LEAST_FITTING:
            faults.append(Fault("ambiguous.txt", number, "must read 'note note: question', two notes at least"))
        faults += [
            Fault("ambiguous.txt", number, f"names the note '{note}', which does not exist")
            for note in notes
            if note not in ids
        ]
        pairs.append((notes, question))
    if faults:
        raise NotesError(faults)
    return corpus._replace(ambiguous=tuple(pairs))


def _with_alarms(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    alarms, emergency = read_alarms(root, ids)
    return corpus._replace(alarms=alarms, emergency=emergency)


def _with_vocabulary(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(vocabulary=_read_vocabulary(root))


def _with_trade(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(trade=read_trade(root))


def _with_forbidden(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(forbidden=read_forbidden(root))


def _with_hazards(corpus: Corpus, root: Path, ids: Collection[str]) -> Corpus:
    return corpus._replace(hazards=read_hazards(root))


READ_SHARED = MappingProxyType(
    {
        TRADE: _with_trade,
        HAZARDS: _with_hazards,
        FORBIDDEN: _with_forbidden,
        "uncovered.txt": _with_uncovered,
        "followups.txt": _with_followups,
        "danger.txt": _with_dangers,
        "ambiguous.txt": _with_ambiguous,
        "alarm.yaml": _with_alarms,
        "vocabulary.yaml": _with_vocabulary,
    }
)
"""By the name of each file what takes it into a corpus, told the folder and the ids of all notes."""


def _read_pairs(path: Path, allowed: Collection[str], kind: str) -> tuple[tuple[str, str], ...]:
    """Read lines ``key: text``; the key must be one of ``allowed``."""
    pairs, faults = [], []
    for number, line in numbered_lines(path, path.parent):
        key, colon, text = (part.strip() for part in line.partition(":"))
        if not colon or not text:
            faults.append(Fault(path.name, number, f"must read '{kind}: text'"))
        elif key not in allowed:
            known = f", which is none of {', '.join(allowed)}" if len(allowed) <= _FEW else ", which does not exist"
            faults.append(Fault(path.name, number, f"names the {kind} '{key}'{known}"))
        else:
            pairs.append((key, text))
    if faults:
        raise NotesError(faults)
    return tuple(pairs)


def _read_vocabulary(root: Path) -> Vocabulary:
    path = root / "vocabulary.yaml"
    if not path.exists():
        return Vocabulary()
    return _vocabulary_of(read_text(path, path.name), path.name)


@lru_cache(maxsize=8)
def _vocabulary_of(text: str, shown: str) -> Vocabulary:
    form = "must be 'word:' lines with a mapping of form to weight below"
    loaded, lines = read_mapping(text, shown, form, begun=True)
    faults: list[Fault] = []
    forms: dict[str, list[tuple[str, int]]] = {}
    for word, entries in loaded.items():
        line = lines.get(str(word), 1)
        if not isinstance(word, str) or not isinstance(entries, dict):
            faults.append(Fault(shown, line, f"'{word}' must have a mapping of form to weight"))
            continue
        for form, weight in entries.items():
            if not isinstance(form, str):
                faults.append(
                    Fault(shown, line, f"form '{form}' of '{word}' must be quoted text, and a weight read 1.0, not 1,0")
                )
            elif type(weight) not in (int, float) or not 0 < weight <= 1:
                faults.append(Fault(shown, line, f"weight of '{form}' must be above 0 and at most 1"))
            else:
                forms.setdefault(form.lower(), []).append((word, round(100 * weight)))
    if faults:
        raise NotesError(faults)
    return Vocabulary({form: tuple(sorted(words)) for form, words in sorted(forms.items())})
