"""Where things are: folder of notes, pack, home folder of the program."""

from __future__ import annotations

import os
import sys
import zlib

from assistant.values import NamedTuple

TYPE_CHECKING = False
if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Named", "Places", "find_places", "name_places"]

_APPLICATION = "station-assistant"


class Named(NamedTuple):
    """The names of `Places`, as a question needs them; to load `pathlib` takes as long as to look one up."""

    home: str
    corpus: str | None
    pack: str

    @property
    def journal(self) -> str:
        """Name of the journal's file."""
        return os.path.join(self.home, "journal.db")


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
    """Settle the places as `name_places` does."""
    from pathlib import Path

    named = name_places(corpus, pack, home)
    return Places(Path(named.home), None if named.corpus is None else Path(named.corpus), Path(named.pack))


def name_places(corpus: str | None = None, pack: str | None = None, home: str | None = None) -> Named:
    """Settle the places from options, then environment variables, then defaults.

    ``ASSISTANT_CORPUS``, ``ASSISTANT_PACK`` and ``ASSISTANT_HOME`` are read where an option is None. Else the
    notes are the folder ``corpus`` here, if there is one; else the pack installed in the home folder serves.
    """
    home = _tidy(home or os.environ.get("ASSISTANT_HOME")) or _default_home()
    corpus = _tidy(corpus or os.environ.get("ASSISTANT_CORPUS"))
    pack = _tidy(pack or os.environ.get("ASSISTANT_PACK"))
    if not corpus and not pack and os.path.isdir("corpus"):
        corpus = "corpus"
    if pack:
        return Named(home, corpus, pack)
    if not corpus:
        return Named(home, None, os.path.join(home, "notes.pack"))
    name = zlib.crc32(os.path.realpath(corpus).encode("utf-8", "surrogateescape"))
    return Named(home, corpus, os.path.join(home, "compiled", f"{name:08x}.pack"))


def _tidy(name: str | None) -> str | None:
    """Return a name as `pathlib` writes it, None for none; most names are written so already."""
    if not name:
        return None
    if os.sep != "/" or "//" in name or "./" in name or name.endswith(("/", "/.")):
        from pathlib import Path

        return str(Path(name))
    return name


def _default_home() -> str:
    """Return the folder for data of the user; by hand where it is plain, since `platformdirs` takes long to load."""
    shared = os.environ.get("XDG_DATA_HOME") or os.path.join(os.environ.get("HOME", ""), ".local", "share")
    if sys.platform == "linux" and os.path.isabs(shared) and "ANDROID_ROOT" not in os.environ:
        return os.path.join(shared, _APPLICATION)
    import platformdirs

    return platformdirs.user_data_dir(_APPLICATION, appauthor=False)
