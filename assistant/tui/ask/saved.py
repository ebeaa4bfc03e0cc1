"""An answer into the folder of saved files, and that folder as it is typed; each tells the rep how it went."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from assistant.errors import UsageError
from assistant.languages import said, to_say
from assistant.tui.common.saving import save_text

__all__ = ["folder_typed", "saved"]


def saved(folder: Path, names: tuple[str, ...], moment: datetime, text: str) -> str:
    """Save a text as `save_text` does, and return what to say: where it is, or why it could not be saved."""
    try:
        path = save_text(folder, names, moment, text)
    except OSError as error:
        told = to_say("Not saved in {folder}: {why}. To save elsewhere: save in FOLDER")
        return said(told, folder=folder, why=error.strerror or error)
    return said("Saved: {name} in {folder}", name=path.name, folder=path.parent)


def folder_typed(typed: str) -> Path:
    """Return a folder by its name, made where it is not there.

    Raises
    ------
    UsageError
        If nothing can be saved in it.
    """
    try:
        path = Path(typed).expanduser().resolve()
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, RuntimeError) as error:
        why = getattr(error, "strerror", None) or error
        raise UsageError(said("{folder} cannot be saved in: {why}", folder=typed, why=why)) from error
    return path
