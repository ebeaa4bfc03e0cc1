"""Where things are: folder of notes, pack, home folder of the program."""

from __future__ import annotations

import os
import zlib
from pathlib import Path
from typing import NamedTuple

__all__ = ["Places", "find_places"]


class Places(NamedTuple):
    """``corpus`` is None where a pack is used as it is; ``pack`` is where the pack is or will be."""

    home: Path
    corpus: Path | None
    pack: Path

    @property
    def journal(self) -> Path:
        """Where the journal is or will be."""
        return self.home / "journal.db"


def find_places(corpus: str | None = None, pack: str | None = None, home: str | None = None) -> Places:
    """Settle the places from options, then environment variables, then defaults.

    ``ASSISTANT_CORPUS``, ``ASSISTANT_PACK`` and ``ASSISTANT_HOME`` are read where an option is None. Else the
    notes are the folder ``corpus`` here, if there is one; else the pack installed in the home folder serves.
    """
    home = home or os.environ.get("ASSISTANT_HOME")
    corpus = corpus or os.environ.get("ASSISTANT_CORPUS")
    pack = pack or os.environ.get("ASSISTANT_PACK")
    home_path = Path(home) if home else _default_home()
    if corpus:
        corpus_path: Path | None = Path(corpus)
    elif pack or not Path("corpus").is_dir():
        corpus_path = None
    else:
        corpus_path = Path("corpus")
    if pack:
        return Places(home_path, corpus_path, Path(pack))
    if corpus_path is None:
        return Places(home_path, None, home_path / "notes.pack")
    name = zlib.crc32(str(corpus_path.resolve()).encode("utf-8", "surrogateescape"))
    return Places(home_path, corpus_path, home_path / "compiled" / f"{name:08x}.pack")


def _default_home() -> Path:
    import platformdirs

    return Path(platformdirs.user_data_dir("station-assistant", appauthor=False))
