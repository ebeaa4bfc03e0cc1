"""Whether the program that compiles is still the one that compiled; every question asks it, so that it loads little."""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterator

__all__ = ["program_digest", "program_stamp"]

_ROOMS = ("", "analysis", "compiling", "languages", "notes", "pack", "ranking")
"""Where the modules lie that notes go through on their way into a pack; of the first, those of `_ABOVE` alone."""
_ABOVE = ("model.py", "values.py")
_KINDS = (".py", ".json")
_PROGRAM = os.path.dirname(os.path.dirname(__file__))


def program_stamp(program: str = _PROGRAM) -> str:
    """Return a number for names, sizes and times of the modules; equal stamps mean that none of them has changed."""
    told = "\n".join(sorted(f"{name} {status.st_size} {status.st_mtime_ns}" for name, status in _modules(program)))
    return f"{zlib.crc32(told.encode()):08x}"


def program_digest(program: str = _PROGRAM) -> str:
    """Return the SHA-256 over names and contents of the modules, the same wherever the program lies."""
    import hashlib

    digest = hashlib.sha256()
    for name in sorted(name for name, _ in _modules(program)):
        with open(os.path.join(program, name), "rb") as file:
            raw = file.read()
        digest.update(f"{name}\0{len(raw)}\0".encode() + raw)
    return digest.hexdigest()


def _modules(program: str) -> Iterator[tuple[str, os.stat_result]]:
    """Yield the modules below a folder with their state; none where the program does not lie in folders."""
    for room in _ROOMS:
        try:
            with os.scandir(os.path.join(program, room)) as entries:
                for entry in entries:
                    if entry.name in _ABOVE if not room else entry.name.endswith(_KINDS):
                        yield f"{room}/{entry.name}" if room else entry.name, entry.stat()
        except OSError:
            continue
