"""``assistant corpus print``: notes as a booklet."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from functools import partial
from pathlib import Path

from assistant.cli.common import add_places, notes_folder, say, with_extra
from assistant.errors import AssistantError, ExitCode, MissingExtraError, UsageError
from assistant.wording import counted

__all__ = ["add_print"]


def add_print(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    printed = acts.add_parser(
        "print",
        help="make a booklet of notes",
        description=(
            "Make a booklet of notes on A4, black on white, with contents, an index of things and troubles, and a "
            "square code with the id of each note. Steps are set in 14 pt, to be read from an arm's length. A safety "
            "message is on the page of its step. Contents and index name pages in a PDF, the numbers of notes in HTML."
        ),
    )
    printed.add_argument("notes", metavar="NOTE", nargs="*", help="ids of notes; all where none is named")
    printed.add_argument("--area", metavar="AREA", action="append", default=[], help="notes of this area; repeatable")
    printed.add_argument(
        "--station", metavar="KIND", action="append", default=[], help="notes for this kind of station; repeatable"
    )
    printed.add_argument("--per-page", type=int, choices=(1, 2), default=1, help="begin a page at every N-th note")
    printed.add_argument("--title", default="Procedure notes", help="what the first page is headed with")
    printed.add_argument("--output", metavar="FILE", required=True, help="a new file, .html or .pdf")
    add_places(printed, argparse.SUPPRESS)
    printed.set_defaults(run=with_extra("printing", _print, extra="author"))


def _print(options: argparse.Namespace) -> int:
    from assistant.desk.booklet.page import anchors_of, booklet_page
    from assistant.desk.booklet.pdf import numbered_pdf
    from assistant.desk.booklet.sheets import chosen_notes, sheets_of
    from assistant.notes.corpus import read_corpus
    from assistant.notes.drafts import refuse_drafts, released

    output = Path(options.output)
    if output.suffix not in (".html", ".pdf"):
        raise UsageError(f"{output}: a booklet is a file .html or .pdf")
    if output.exists():
        raise _there(output)
    whole = read_corpus(notes_folder(options))
    refuse_drafts(whole.notes, options.notes)
    corpus = released(whole)
    notes = chosen_notes(corpus, options.notes, options.area, options.station)
    sheets = sheets_of(notes, corpus, options.per_page)
    today = datetime.now().astimezone().date()
    page = partial(booklet_page, sheets, corpus, today, title=options.title, per_page=options.per_page)
    if output.suffix == ".html":
        _write(output, page(), len(notes))
        return ExitCode.DONE
    try:
        say(f"Drawing {counted(len(notes), 'note')}")
        drawn = numbered_pdf(lambda pages: page(pages=pages), anchors_of(sheets), say)
        _write(output, drawn, len(notes))
    except MissingExtraError as error:
        print(f"{error}; written as HTML instead", file=sys.stderr)
        _write(output.with_suffix(".html"), page(), len(notes))
        return ExitCode.NOTHING
    return ExitCode.DONE


def _write(output: Path, raw: str | bytes, count: int) -> None:
    from assistant.notes.writing import write_new

    try:
        write_new(output, raw)
    except FileExistsError as error:
        raise _there(output) from error
    print(f"{output}: {counted(count, 'note')}")


def _there(output: Path) -> AssistantError:
    return AssistantError(f"{output}: is there already; name another file")
