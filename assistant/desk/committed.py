"""Notes as git has them, read with one fixed program and nothing of a repository run."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from assistant.errors import AssistantError, NotesError, UsageError
from assistant.model import Note
from assistant.notes.reader import read_note

__all__ = ["Version", "changed_notes", "versions"]

_PLAIN = ("-c", "core.fsmonitor=false", "-c", "core.quotepath=false")
_HEAD = "HEAD"


class Version(NamedTuple):
    """A note as it was committed on a day; ``subject`` is what the author said of the change.

    ``note`` is None where it could not be read then, or was gone.
    """

    day: str
    subject: str
    note: Note | None


def changed_notes(root: Path) -> Mapping[str, Note] | None:
    """Return the notes of a folder, by id, as they were last committed, those alone whose file has changed since.

    None where the folder is in no repository, or git is not there.
    """
    try:
        told = _git(root, "diff", "--no-ext-diff", "--no-textconv", "--relative", "--name-only", "-z", _HEAD, "--", ".")
    except AssistantError:
        return None
    paths = [path for path in told.split("\0") if path.endswith(".md")]
    notes = (_note_at(root, _HEAD, path) for path in paths)
    return {note.id: note for note in notes if note is not None}


def versions(root: Path, path: str) -> Iterator[Version]:
    """Yield the versions of one note that were committed, the oldest first.

    Parameters
    ----------
    path
        The file of the note below ``root``.

    Raises
    ------
    UsageError
        If the folder is in no repository, or git is not there.
    """
    try:
        told = _git(root, "log", "--reverse", "--format=%H%x1f%cs%x1f%s", "--", path)
    except AssistantError as error:
        raise UsageError(f"{root}: no git repository tells of these notes") from error
    for line in told.splitlines():
        commit, day, subject = line.split("\x1f", 2)
        yield Version(day, subject, _note_at(root, commit, path))


def _note_at(root: Path, commit: str, path: str) -> Note | None:
    try:
        return read_note(_git(root, "show", f"{commit}:./{path}").replace("\r\n", "\n").removeprefix("\ufeff"), path)
    except (AssistantError, NotesError):
        return None


def _git(root: Path, *arguments: str) -> str:
    """Return what git prints.

    Raises
    ------
    AssistantError
        If it cannot be run, or refuses.
    """
    try:
        ran = subprocess.run(  # noqa: S603 - a fixed program, with arguments that are no options
            ["git", "-C", str(root), *_PLAIN, *arguments],  # noqa: S607
            capture_output=True,
            check=False,
        )
    except OSError as error:
        raise AssistantError(f"git cannot be run: {error.strerror}") from error
    if ran.returncode:
        raise AssistantError(ran.stderr.decode("utf-8", "replace").strip())
    return ran.stdout.decode("utf-8", "replace")
