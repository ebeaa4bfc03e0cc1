"""``assistant show``: one note by its id."""

from __future__ import annotations

import argparse

from assistant.answering.assistant import Assistant
from assistant.cli.common import open_pack
from assistant.cli.output import answer_line, answer_text, terminal_width
from assistant.errors import ExitCode

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument("note", help="the id of a note, such as pad-stick-cap")
    parser.add_argument("--format", choices=("text", "json"), default="text")


def run(options: argparse.Namespace) -> int:
    """Show the note."""
    with open_pack(options) as pack:
        answer, _ = Assistant(pack).show(options.note)
    if options.format == "json":
        print(answer_line(answer))
    else:
        print(answer_text(answer, terminal_width()), end="")
    return ExitCode.DONE
