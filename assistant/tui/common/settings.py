"""What the screen remembers from one start to the next: dark or light, and the folder of saved files."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from assistant.errors import AssistantError
from assistant.journal.opening import private_folder
from assistant.notes.text import regular
from assistant.notes.writing import write_whole

__all__ = ["Settings"]

_FILE = "screen.json"
_SAVED = "saved"


class Settings:
    """Read when made, written when changed; a file that is damaged or cannot be written changes nothing but that.

    Parameters
    ----------
    home
        The program's own folder; None where nothing is remembered.
    """

    def __init__(self, home: Path | None = None) -> None:
        self._path = home / _FILE if home else None
        self.dark = True
        self.folder = (home or Path.cwd()) / _SAVED
        told = self._read()
        if isinstance(told.get("dark"), bool):
            self.dark = bool(told["dark"])
        if isinstance(told.get("folder"), str) and told["folder"]:
            self.folder = Path(str(told["folder"]))

    def turn(self) -> None:
        """Change between dark and light."""
        self.dark = not self.dark
        self._write()

    def save_in(self, folder: Path) -> None:
        """Save in another folder from now on."""
        self.folder = folder
        self._write()

    def _read(self) -> dict[str, object]:
        with suppress(OSError, ValueError, RecursionError):
            told = json.loads(regular(self._path).read_text("utf-8")) if self._path else {}
            if isinstance(told, dict):
                return told
        return {}

    def _write(self) -> None:
        if self._path is None:
            return
        told = json.dumps({"dark": self.dark, "folder": str(self.folder)})
        with suppress(OSError, ValueError, AssistantError):
            private_folder(self._path.parent)
            write_whole(self._path, told, private=True)
