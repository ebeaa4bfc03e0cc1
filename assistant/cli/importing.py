"""``assistant corpus import``: old procedures and questions become draft notes."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path

from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import ExitCode
from assistant.wording import counted

__all__ = ["add_import"]

_GIVEN = ("area", "station", "action", "minutes")


def add_import(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    brought = acts.add_parser(
        "import",
        help="make draft notes of old procedures",
        description=(
            "Make draft notes of old procedures: Word (.docx), HTML, Markdown, and CSV of questions (question[,note]). "
            "A heading that names a section of a note (Symptoms, Cause, Procedure ...) begins that section, any other "
            "begins a note; numbered items become steps; paragraphs that begin with DANGER, WARNING, CAUTION or NOTICE "
            "become safety messages of the step that follows. What finds no place is told, line by line or, where no "
            "word is lost, by its count. All is written, or nothing."
        ),
    )
    brought.add_argument("files", metavar="FILE", nargs="+")
    brought.add_argument("--area", metavar="AREA", help="area of the new notes, the first part of their ids")
    brought.add_argument("--station", metavar="KINDS", help="their kinds of station, with commas")
    brought.add_argument("--action", metavar="ACTION", help="what they have done in the end")
    brought.add_argument("--minutes", metavar="N", help="minutes for a trained rep")
    brought.add_argument("--left", metavar="FILE", help="write what found no place into this new file, line by line")
    brought.add_argument(
        "--verbose", action="store_true", help="tell it line by line, and not what is alike by a count"
    )
    add_places(brought, argparse.SUPPRESS)
    brought.set_defaults(run=with_extra("importing", _import, extra="author"))


def _import(options: argparse.Namespace) -> int:
    from assistant.cli.output import write_out
    from assistant.desk.beginning import begin_trade
    from assistant.desk.importing.bring import bring
    from assistant.desk.importing.folding import folded
    from assistant.notes.trade import TRADE

    root = notes_folder(options)
    if begin_trade(root):
        print(f"{root / TRADE}: written, small, to begin with; name areas and stations in it", file=sys.stderr)
    if options.left and Path(options.left).exists():
        write_out("", options.left)
    given = {name: text for name in _GIVEN if (text := getattr(options, name)) is not None}
    brought = bring(root, [Path(file) for file in options.files], given, datetime.now().astimezone().date())
    for path in brought.notes:
        print(f"{path}: a draft; what is still to be written: assistant corpus check --rule C109")
    for path, count in brought.questions:
        print(f"{path}: {counted(count, 'example question')} added")
    each = [str(one) for one in brought.left]
    if options.left:
        write_out("".join(f"{line}\n" for line in each), options.left)
    else:
        for line in each if options.verbose else folded(brought.left):
            print(line, file=sys.stderr)
    drafts = counted(len(brought.notes), "draft")
    print(f"{drafts}; {counted(len(each), 'line')} on what found no place", file=sys.stderr)
    return ExitCode.DONE if brought.notes or brought.questions else ExitCode.NOTHING
