"""``assistant corpus readability``: how easily the steps are read."""

from __future__ import annotations

import argparse

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import ExitCode

__all__ = ["add_readability"]

_HARDEST = 10


def add_readability(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    reading = acts.add_parser(
        "readability",
        help="how easily the steps are read",
        description="Median words a step, Flesch reading ease (60 and more is plain English), and the hardest notes.",
    )
    add_places(reading, argparse.SUPPRESS)
    reading.add_argument("--most", type=int, default=_HARDEST, metavar="N", help="so many of the hardest notes")
    reading.add_argument("--format", choices=("text", "json"), default="text")
    reading.set_defaults(run=with_extra("reading ease", _readability))


def _readability(options: argparse.Namespace) -> int:
    from assistant.checking.readability import readability
    from assistant.notes.corpus import read_corpus

    found = readability(read_corpus(notes_folder(options)).notes)
    together, hardest = found.together, found.notes[: max(0, options.most)]
    if options.format == "json":
        rows = [
            {"note": one.note, "steps": one.steps, "words": one.words, "ease": round(one.ease, 1)} for one in hardest
        ]
        whole = {"steps": together.steps, "words": together.words, "ease": round(together.ease, 1)}
        print(json_line({**whole, "hardest": rows}))
        return ExitCode.DONE
    print(f"{together.steps} steps: median {together.words:g} words a step, Flesch reading ease {together.ease:.1f}")
    for one in hardest:
        print(printable(f"{one.note}: {one.ease:.1f}, median {one.words:g} words, {one.steps} steps"))
    return ExitCode.DONE
