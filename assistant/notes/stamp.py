"""Which files make up a corpus, and whether they have changed; the standard library alone."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from assistant.errors import Fault, NotesError

__all__ = ["corpus_digest", "corpus_files", "corpus_stamp"]

_KINDS = (".md", ".txt", ".yaml")
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


def corpus_files(root: Path) -> Iterator[Path]:
    """Yield every file that makes up the corpus below ``root``, in a fixed order."""
    for folder, folders, files in os.walk(root):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            path = Path(folder, name)
            is_note = name.endswith((".md", ".questions.txt", ".phrases.yaml")) and path.parent != root
            if is_note or (path.parent == root and name in _AT_THE_TOP):
                yield path


def corpus_stamp(root: Path) -> str:
    """Return names, sizes and times of all files: equal stamps mean unchanged notes. Every question asks it.

    Of a link it is those of the file that it leads to, with the time of the link itself.
    """
    lines: list[str] = []
    folders = [str(root)]
    while folders:
        with os.scandir(folders.pop()) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append(entry.path)
                elif entry.name.endswith(_KINDS):
                    status = entry.stat(follow_symlinks=False)
                    lines.append(f"{entry.path} {_state(status)}")
                    if entry.is_symlink():
                        lines[-1] += f" {_target(entry.path)}"
    return "\n".join(sorted(lines))


def _state(status: os.stat_result) -> str:
    return f"{status.st_size} {status.st_mtime_ns} {status.st_ctime_ns} {status.st_ino}"


def _target(link: str) -> str:
    try:
        return _state(Path(link).stat())
    except OSError:
        return "nowhere"


def corpus_digest(root: Path) -> str:
    """Return the SHA-256 over names and contents, the same on every machine."""
    import hashlib

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
