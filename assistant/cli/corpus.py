"""``assistant corpus``: read and compile the notes."""

from __future__ import annotations

import argparse

from assistant.cli.common import add_places, places_of, say
from assistant.errors import ExitCode
from assistant.pack.fresh import compile_now
from assistant.pack.reader import Pack

__all__ = ["add_arguments"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    compiled = acts.add_parser("compile", help="compile the notes into a pack", description="Compile the notes.")
    add_places(compiled, argparse.SUPPRESS)
    compiled.set_defaults(run=_compile)


def _compile(options: argparse.Namespace) -> int:
    places = places_of(options)
    compile_now(places, say)
    with Pack(places.pack) as pack:
        print(
            f"{places.pack}: {pack.manifest['notes']} notes, {len(pack.example_note)} example questions, {pack.digest}"
        )
    return ExitCode.DONE
