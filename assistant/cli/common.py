"""What several commands share: opening the pack with words on progress."""

from __future__ import annotations

import os
import sys

from assistant.errors import MissingExtraError, UsageError
from assistant.pack.places import find_places, name_places
from assistant.pack.reader import Pack

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable
    from pathlib import Path

    from assistant.cli.plain import Plain
    from assistant.journal.store import Journal
    from assistant.pack.places import Places
    from assistant.progress import Progress

__all__ = [
    "add_eval",
    "add_places",
    "has_terminal",
    "needs_terminal",
    "notes_folder",
    "open_journal",
    "open_pack",
    "places_of",
    "say",
    "with_extra",
]

_LEAST_BAR = 5
_MOST_BAR = 30


def add_places(parser: argparse.ArgumentParser, default: str | None) -> None:
    """Add the options that say where things are; a sub-command's default is `argparse.SUPPRESS`."""
    parser.add_argument("--corpus", metavar="DIR", default=default, help="folder of notes (ASSISTANT_CORPUS)")
    parser.add_argument("--pack", metavar="FILE", default=default, help="compiled notes (ASSISTANT_PACK)")
    parser.add_argument("--home", metavar="DIR", default=default, help="folder for own files (ASSISTANT_HOME)")


def add_eval(parser: argparse.ArgumentParser) -> None:
    """Add the option that names the folder of labelled questions; `with_extra` fills in which it is without it."""
    told = "folder of labelled questions; else 'eval' in the folder of notes, or here"
    parser.add_argument("--eval", metavar="DIR", help=told)


def _labels_folder(options: argparse.Namespace) -> str:
    """Return the folder of labelled questions: ``eval`` in the folder of notes where there is one, else here."""
    corpus = places_of(options).corpus
    return str(corpus / "eval") if corpus is not None and (corpus / "eval").is_dir() else "eval"


def places_of(options: argparse.Namespace | Plain) -> Places:
    """Return the places that the options name."""
    return find_places(options.corpus, options.pack, options.home)


def notes_folder(options: argparse.Namespace) -> Path:
    """Return the folder of notes that the options name, the one of this folder where they name none.

    Raises
    ------
    UsageError
        If there is no such folder.
    """
    from pathlib import Path

    root = places_of(options).corpus or Path("corpus")
    if not root.is_dir():
        raise UsageError("no folder of notes; name one with --corpus")
    return root


def say(message: str, done: int = 0, total: int = 0) -> None:
    """Tell on stderr what is being done; of counted work a terminal sees a bar that fills, a file the first line."""
    if not total or not sys.stderr.isatty():
        if not done:
            print(f"{message} ...", file=sys.stderr)
        return
    from shutil import get_terminal_size

    columns = get_terminal_size().columns - len(f" [] {total}/{total}") - 1
    shown = message[: max(0, columns - _LEAST_BAR)]
    width = max(_LEAST_BAR, min(_MOST_BAR, columns - len(shown)))
    filled = done * width // total
    if done in (0, total) or filled != (done - 1) * width // total:
        bar = "#" * filled + "." * (width - filled)
        end = "\n" if done == total else ""
        print(f"\r{shown} [{bar}] {done}/{total}", end=end, file=sys.stderr, flush=True)


def open_pack(options: argparse.Namespace | Plain) -> Pack:
    """Open the pack that the options name, compiled anew where the notes have changed."""
    named = name_places(options.corpus, options.pack, options.home)
    if named.corpus is None:
        return Pack(named.pack)
    from assistant.compiling.fresh import fresh_pack, unchanged_pack

    pack = unchanged_pack(named)
    if pack is not None:
        return pack
    from contextlib import suppress

    places = places_of(options)
    first = not places.pack.exists()
    if first and places.corpus and places.home in places.pack.parents:
        from assistant.journal.opening import private_folder

        with suppress(FileExistsError):
            private_folder(places.home)
    return fresh_pack(places, _reading(first=first))


def _reading(*, first: bool) -> Progress:
    """Return what tells whoever only wants an answer how far the notes are read: in one line, whatever is done."""
    message = "Reading the notes for the first time, once" if first else "Reading the notes, which have changed"
    told = False

    def tell(_: str, done: int = 0, total: int = 0) -> None:
        nonlocal told
        if not told or (total and sys.stderr.isatty()):
            say(message, done, total)
        told = True

    return tell


def open_journal(options: argparse.Namespace | Plain, *, readonly: bool = False) -> Journal:
    """Open the journal in the home folder, made where there is none; or for looking alone, as it lies there."""
    from assistant.journal.store import Journal

    return Journal(name_places(options.corpus, options.pack, options.home).journal, readonly=readonly)


def has_terminal() -> bool:
    """Tell whether a screen can be drawn."""
    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM", "dumb") != "dumb"


def needs_terminal(instead: str) -> None:
    """Raise `UsageError`, which says what to do ``instead``, where no screen can be drawn."""
    if not has_terminal():
        raise UsageError(f"the screen needs a terminal; {instead}")


def with_extra(
    what: str, function: Callable[[argparse.Namespace], int], extra: str = "desk"
) -> Callable[[argparse.Namespace], int]:
    """Return a command that says which package ``what`` needs, where one of those of an extra is missing.

    It is handed the folder of labelled questions where it asks for one and none is named.
    """

    def run(options: argparse.Namespace) -> int:
        if "eval" in options and options.eval is None:
            options.eval = _labels_folder(options)
        try:
            return function(options)
        except ModuleNotFoundError as error:
            raise MissingExtraError(
                f"{what} needs the package '{error.name}': pip install \".[{extra}]\" in the folder of the program"
            ) from error

    return run
