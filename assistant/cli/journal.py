"""``assistant journal``: what was recorded, as data; and erasing what is old."""

from __future__ import annotations

import argparse
from datetime import date

from assistant.cli.common import add_places, open_journal
from assistant.cli.output import write_out
from assistant.errors import ExitCode, UsageError
from assistant.journal.export import csv_text, json_lines, schema_lines
from assistant.journal.records import KINDS, kind_name

__all__ = ["add_arguments"]

_KIND = {kind_name(kind): kind for kind in KINDS}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    where = acts.add_parser("show", help="where the journal lies and how much it holds")
    export = acts.add_parser("export", help="everything as JSON lines, or one kind of record as CSV")
    export.add_argument("--format", choices=("jsonl", "csv"), default="jsonl")
    export.add_argument("--kind", choices=tuple(_KIND), help="which records; needed for CSV")
    export.add_argument("--output", metavar="FILE", help="write to a file that is not there yet")
    schema = acts.add_parser("schema", help="the kinds of record, their fields and meanings")
    purge = acts.add_parser("purge", help="erase closed visits and questions from before a date")
    purge.add_argument("--before", required=True, metavar="DATE", type=date.fromisoformat, help="such as 2026-11-25")
    purge.add_argument("--yes", action="store_true", help="erase; without it the command only tells what it is for")
    for act, run in ((where, _show), (export, _export), (schema, _schema), (purge, _purge)):
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=run)


def _show(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        print(f"{journal.path}, journal {journal.uid}")
        for name, kind in _KIND.items():
            print(f"{name}: {len(journal.all(kind))}")
    return ExitCode.DONE


def _export(options: argparse.Namespace) -> int:
    if (options.format == "csv") != bool(options.kind):
        raise UsageError("CSV is written one kind at a time: give --format csv and --kind together")
    with open_journal(options) as journal:
        if options.kind:
            text = csv_text(journal, _KIND[options.kind])
        else:
            text = "".join(f"{line}\n" for line in json_lines(journal))
    write_out(text, options.output)
    return ExitCode.DONE


def _schema(options: argparse.Namespace) -> int:
    for line in schema_lines():
        print(line)
    return ExitCode.DONE


def _purge(options: argparse.Namespace) -> int:
    before = options.before.isoformat()
    if not options.yes:
        raise UsageError(f"this erases closed visits and questions from before {before} for good: add --yes")
    with open_journal(options) as journal:
        gone = {name: count for name, count in journal.purge(before).items() if count}
    print(f"Erased from before {before}: " + (", ".join(f"{n} {name}" for name, n in gone.items()) or "nothing") + ".")
    return ExitCode.DONE
