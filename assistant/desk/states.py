"""A state of the notes as an open pack: a pack file, a folder of notes, or the notes at a git revision."""

from __future__ import annotations

import io
import subprocess
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import corpus_settings
from assistant.errors import AssistantError, UsageError
from assistant.notes.corpus import read_released
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["notes_of", "open_state"]


@contextmanager
def open_state(state: str, corpus: Path, progress: Progress = silent) -> Iterator[Pack]:
    """Open a state of the notes.

    Parameters
    ----------
    state
        Path of a pack, path of a folder of notes, or else a git revision of the repository that holds ``corpus``.
    corpus
        The folder of notes as it is now.

    Raises
    ------
    PackError, NotesError
        If the pack or the notes are refused.
    UsageError
        If it is none of the three.
    """
    path = Path(state)
    if path.is_file():
        with Pack(path) as pack:
            yield pack
        return
    with notes_of(state, corpus) as notes, TemporaryDirectory() as folder:
        progress(f"reading the notes of {state}")
        made = Path(folder, "state.pack")
        compile_corpus(read_released(notes), corpus_settings(notes), made, progress=progress)
        with Pack(made) as pack:
            yield pack


@contextmanager
def notes_of(state: str, corpus: Path) -> Iterator[Path]:
    """Give the folder that holds the notes of a state which is no pack: a folder, or else a git revision.

    Raises
    ------
    UsageError
        If it is neither.
    """
    if Path(state).is_dir():
        yield Path(state)
        return
    with TemporaryDirectory() as temporary:
        yield _checked_out(state, corpus, Path(temporary))


def _checked_out(revision: str, corpus: Path, folder: Path) -> Path:
    """Write the notes as they were at a git revision into a folder of their own and return it.

    Raises
    ------
    UsageError
        If there is no such revision, or none of these notes in it.
    """
    if revision.startswith("-"):
        raise UsageError(f"'{revision}' is no pack, no folder and no git revision")
    try:
        ran = subprocess.run(  # noqa: S603 - a fixed program, the revision is one argument
            ["git", "-C", str(corpus), "archive", "--format=tar", revision, "--", "."],  # noqa: S607
            capture_output=True,
            check=False,
        )
    except OSError as error:
        raise AssistantError(f"git cannot be run: {error.strerror}") from error
    if ran.returncode:
        raise UsageError(f"'{revision}' is no pack, no folder and no git revision that holds these notes")
    with tarfile.open(fileobj=io.BytesIO(ran.stdout)) as archive:
        archive.extractall(folder / "notes", filter="data")
    return folder / "notes"
