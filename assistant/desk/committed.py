"""Notes as git has them, read with one fixed program and nothing of a repository run."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from assistant.errors import AssistantError, Fault, NotesError, UsageError
from assistant.model import Note
from assistant.notes.figures import figure_path, with_figures
from assistant.notes.files import is_figure
from assistant.notes.reader import read_note
from assistant.notes.text import read_text
from assistant.notes.trade import language_in

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
    """Return the notes of a folder, by id, as they were last committed, those alone whose files have changed since.

    A note's files are its text and its pictures. None where the folder is in no repository, or git is not there.
    """
    try:
        told = _git(root, "diff", "--no-ext-diff", "--no-textconv", "--relative", "--name-only", "-z", _HEAD, "--", ".")
    except AssistantError:
        return None
    changed = [path for path in told.split("\0") if path]
    paths = {path for path in changed if path.endswith(".md")}
    paths |= {path for figure in changed if is_figure(figure) for path in _notes_beside(root, figure)}
    notes = (_note_at(root, _HEAD, path) for path in sorted(paths))
    return {note.id: note for note in notes if note is not None}


def versions(root: Path, path: str) -> Iterator[Version]:
    """Yield the versions of one note that were committed, the oldest first; a picture that it has now is part of it.

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
        told = _git(root, "log", "--reverse", "--format=%H%x1f%cs%x1f%s", "--", path, *_figures_now(root, path))
    except AssistantError as error:
        raise UsageError(f"{root}: no git repository tells of these notes") from error
    for line in told.splitlines():
        commit, day, subject = line.split("\x1f", 2)
        yield Version(day, subject, _note_at(root, commit, path))


def _notes_beside(root: Path, figure: str) -> Iterator[str]:
    """Yield the paths of the notes beside a picture that name it."""
    named, area = Path(figure).name, Path(figure).parent
    for path in sorted((root / area).glob("*.md")):
        with suppress(OSError):
            if named in path.read_text("utf-8", "replace"):
                yield Path(area, path.name).as_posix()


def _figures_now(root: Path, path: str) -> list[str]:
    try:
        note = read_note(read_text(root / path, path), path, language_in(root))
    except NotesError:
        return []
    return [figure_path(note, figure.name) for figure in note.figures]


def _note_at(root: Path, commit: str, path: str) -> Note | None:
    def shown(name: str) -> bytes:
        try:
            return _git_bytes(root, "show", f"{commit}:./{name}")
        except AssistantError as error:
            raise NotesError([Fault(name, 1, str(error))]) from error

    try:
        text = _git(root, "show", f"{commit}:./{path}").replace("\r\n", "\n").removeprefix("\ufeff")
        return with_figures(read_note(text, path, language_in(root)), text, shown)[0]
    except AssistantError:
        return None


def _git(root: Path, *arguments: str) -> str:
    """Return what git prints, as text."""
    return _git_bytes(root, *arguments).decode("utf-8", "replace")


def _git_bytes(root: Path, *arguments: str) -> bytes:
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
    return ran.stdout
