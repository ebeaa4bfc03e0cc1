"""Journals as the desk reads them: one's own, a file, or a folder of exported ones."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.errors import JournalError
from assistant.journal.export import Export, read_json_lines
from assistant.journal.records import KINDS
from assistant.journal.store import Journal
from assistant.notes.text import regular

__all__ = ["read_sources"]


def read_sources(paths: Iterable[Path]) -> list[Export]:
    """Read journals (``.db``), exported ones (JSON lines) and folders of exported ones (``*.jsonl``).

    Of several exports of one journal the one with the most records counts.

    Raises
    ------
    JournalError
        If there is nothing to read, or something cannot be read.
    """
    found: dict[str, Export] = {}
    for path in paths:
        for file in sorted(path.glob("*.jsonl")) if path.is_dir() else [path]:
            export = _read(file)
            if export.uid not in found or _size(export) > _size(found[export.uid]):
                found[export.uid] = export
    if not found:
        raise JournalError(
            "no journal to read: name a journal, an exported one, or a folder of exported ones (*.jsonl)"
        )
    return [found[uid] for uid in sorted(found)]


def _read(path: Path) -> Export:
    if path.suffix == ".db":
        if not path.is_file():
            raise JournalError(f"{path}:1: no journal here")
        with Journal(path, readonly=True, whole=True) as journal:
            return Export(journal.uid, {kind: journal.every(kind) for kind in KINDS})
    try:
        with regular(path).open(encoding="utf-8", errors="surrogateescape") as lines:
            return read_json_lines(lines, str(path))
    except OSError as error:
        raise JournalError(f"{path}:1: cannot be read: {error.strerror}") from error


def _size(export: Export) -> int:
    return sum(len(records) for records in export.records.values())
