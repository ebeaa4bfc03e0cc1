"""Which files make up a corpus, and the digest of what is in them; the standard library alone."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from assistant.errors import Fault, NotesError

__all__ = ["corpus_digest", "corpus_files", "is_figure"]

_AT_THE_TOP = frozenset(
    {
        "uncovered.txt",
        "followups.txt",
        "danger.txt",
        "ambiguous.txt",
        "vocabulary.yaml",
        "alarm.yaml",
        "trade.yaml",
        "hazards.yaml",
        "forbidden.yaml",
    }
)


_OF_A_NOTE = (".md", ".questions.txt", ".phrases.yaml")
_FIGURES = (".svg", ".png", ".jpg", ".jpeg")


def is_figure(name: str) -> bool:
    """Tell by its name whether a file is a picture of a note."""
    return name.endswith(_FIGURES)


def corpus_files(root: Path) -> Iterator[Path]:
    """Yield every file that makes up the corpus below ``root``, in a fixed order."""
    for folder, folders, files in os.walk(root):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            path = Path(folder, name)
            is_note = name.endswith((*_OF_A_NOTE, *_FIGURES)) and path.parent != root
            if is_note or (path.parent == root and name in _AT_THE_TOP):
                yield path


def corpus_digest(root: Path) -> str:
    """Return the SHA-256 over names and contents, the same on every machine."""
    digest = hashlib.sha256()
    for path in corpus_files(root):
        name = path.relative_to(root).as_posix()
        if path.exists() and not path.is_file():
            raise NotesError([Fault(name, 1, "not a file that can be read")])
        try:
            raw = path.read_bytes()
        except OSError as error:
            raise NotesError([Fault(name, 1, f"cannot be read: {error.strerror}")]) from error
        header = f"{name}\0{len(raw)}\0".encode("utf-8", "surrogateescape")
        digest.update(header + raw)
    return digest.hexdigest()
