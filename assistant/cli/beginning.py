"""``assistant corpus init``: a folder of notes to begin with."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.cli.common import with_extra
from assistant.errors import ExitCode
from assistant.wording import counted

__all__ = ["add_init"]


def add_init(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    init = acts.add_parser(
        "init",
        help="begin a folder of notes of a trade of your own",
        description="Begin a folder of notes: every file with its least content and a comment on what belongs into it, "
        "all of them or none. STYLE.md of the shipped notes tells the way from there to the first answer.",
    )
    init.add_argument("folder", metavar="DIR", help="a folder that is empty or not there yet")
    init.add_argument(
        "--example", action="store_true", help="a small worked example instead: coffee machines in offices, seven notes"
    )
    init.set_defaults(run=with_extra("a new folder of notes", _init))


def _init(options: argparse.Namespace) -> int:
    from assistant.desk.beginning import begin

    root = Path(options.folder)
    files = begin(root, example=options.example)
    shown = printable(str(root))
    print(f"{shown}: {counted(len(files), 'file')} written")
    if options.example:
        told = f'assistant --corpus {shown} corpus check, then: assistant --corpus {shown} ask "coffee is too weak"'
    else:
        told = f"put your trade into {printable(str(root / 'trade.yaml'))}, then: assistant --corpus {shown} corpus new"
    print(f"next: {told}", file=sys.stderr)
    return ExitCode.DONE
