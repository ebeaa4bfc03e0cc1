"""``assistant show``: one note by its id."""

from __future__ import annotations

import argparse

from assistant.answering.assistant import Assistant
from assistant.cli.common import open_pack, with_extra
from assistant.cli.output import answer_line, answer_text, terminal_width
from assistant.errors import ExitCode

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument("note", help="the id of a note, such as pad-stick-cap")
    parser.add_argument(
        "--format",
        choices=("text", "json", "html"),
        default="text",
        help="html is a page with the pictures of the note",
    )


def run(options: argparse.Namespace) -> int:
    """Show the note."""
    if options.format == "html":
        return with_extra("a page", _page, extra="screen")(options)
    with open_pack(options) as pack:
        answer, _ = Assistant(pack).show(options.note)
    if options.format == "json":
        print(answer_line(answer))
    else:
        print(answer_text(answer, terminal_width()), end="")
    return ExitCode.DONE


def _page(options: argparse.Namespace) -> int:
    from assistant.cli.card_page import card_page

    with open_pack(options) as pack:
        answer, _ = Assistant(pack).show(options.note)
        print(card_page(answer, pack), end="")
    return ExitCode.DONE
