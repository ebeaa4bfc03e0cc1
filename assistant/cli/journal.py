"""``assistant journal``: what was recorded, as data; whether it is whole; and erasing what is old."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from datetime import datetime

from assistant.analysis.tokens import printable
from assistant.cli.common import add_places, open_journal, places_of, say
from assistant.cli.output import write_out
from assistant.cli.visit_options import gone_day
from assistant.errors import ExitCode, JournalError, UsageError
from assistant.journal.export import csv_text, json_lines, schema_lines
from assistant.journal.records import KINDS, kind_name
from assistant.journal.store import Journal, stamp
from assistant.progress import counted as told_of
from assistant.visiting.erasing import erase, would_erase
from assistant.visiting.times import shown_day
from assistant.wording import counted

__all__ = ["add_arguments"]

_KIND = {kind_name(kind): kind for kind in KINDS}
_WORDS = {
    "visit": ("visit", ""),
    "closing": ("closing of a visit", "closings of visits"),
    "arrival": ("permission", ""),
    "switchedoff": ("station switched off by the staff", "stations switched off by the staff"),
    "sighting": ("pass or fault", "passes and faults"),
    "question": ("question", ""),
    "feedback": ("judgement of an answer", "judgements of answers"),
    "work": ("work through a note", "works through notes"),
    "act": ("step of a work", "steps of works"),
    "outcome": ("end of a work", "ends of works"),
    "part": ("part used or wanted", "parts used or wanted"),
    "escalation": ("hand-over", ""),
    "release": ("release", ""),
    "arrangement": ("arrangement", ""),
    "swap": ("exchanged unit", ""),
    "incident": ("incident", ""),
    "count": ("count of the bag", "counts of the bag"),
    "photo": ("picture", ""),
    "remark": ("remark", ""),
    "entry": ("entry", "entries"),
    "undo": ("entry taken back", "entries taken back"),
}

_ELSEWHERE = (
    "Words from it may still be in exports, reports and saved answers that were written, in copies of this folder, and "
    "in the notes and packs of the desk where it took questions as examples: those are not erased here."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    where = acts.add_parser("show", help="where the journal lies and how much it holds")
    export = acts.add_parser("export", help="everything as JSON lines, or one kind of record as CSV")
    export.add_argument("--format", choices=("jsonl", "csv"), default="jsonl")
    export.add_argument("--kind", choices=tuple(_KIND), help="which records; needed for CSV")
    export.add_argument("--output", metavar="FILE", help="write to a file that is not there yet")
    schema = acts.add_parser("schema", help="the kinds of record, their fields and meanings")
    check = acts.add_parser("check", help="read all of it and tell what is wrong; exit code 3 where anything is")
    erase = acts.add_parser("erase", help="erase closed visits and questions from before a day")
    erase.add_argument("--before", required=True, metavar="DAY", type=gone_day, help="such as 2026-11-25")
    erase.add_argument("--yes", action="store_true", help="erase; without it the command tells what would go")
    for act, run in ((where, _show), (export, _export), (schema, _schema), (check, _check), (erase, _erase)):
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=run)


def _show(options: argparse.Namespace) -> int:
    path = places_of(options).journal
    if not path.exists():
        print(f"{path}: nothing was recorded yet")
        return ExitCode.NOTHING
    with open_journal(options, readonly=True) as journal:
        print(f"{path}, journal {journal.uid}")
        for name, kind in _KIND.items():
            print(f"{name}: {len(journal.all(kind))}")
    return ExitCode.DONE


def _export(options: argparse.Namespace) -> int:
    if (options.format == "csv") != bool(options.kind):
        raise UsageError("CSV is written one kind at a time: give --format csv and --kind together")
    with Journal(places_of(options).journal, readonly=True, whole=True) as journal:
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


def _check(options: argparse.Namespace) -> int:
    path = places_of(options).journal
    if not path.exists():
        print(f"{path}: nothing was recorded yet")
        return ExitCode.NOTHING
    found: list[str] = []
    with open_journal(options, readonly=True) as journal:
        for kind in told_of(KINDS, say, "Reading the journal"):
            try:
                found += [f"{path}:1: damaged journal: {printable(fault)}" for fault in journal.faults(kind)]
            except JournalError as error:
                found.append(str(error))
    if found:
        remedy = f"{path}:1: it was left as it is: move it away and keep it for the desk"
        raise JournalError("\n".join(dict.fromkeys([*found, remedy])))
    print(f"{path}: whole")
    return ExitCode.DONE


def _erase(options: argparse.Namespace) -> int:
    before = stamp(datetime.fromisoformat(options.before).astimezone())
    since = f"from before {shown_day(options.before)}"
    with open_journal(options) as journal:
        if options.yes:
            print(f"Erased {since}: {_told(erase(journal, before))}.")
            print(_ELSEWHERE)
            return ExitCode.DONE
        would_go = _told(would_erase(journal, before))
    print(f"Would be erased for good, {since}: {would_go}. Nothing is erased yet.")
    print("Whether it was ever exported is not known. Export it first: assistant journal export --output journal.jsonl")
    print(f"Then erase it: assistant journal erase --before {options.before} --yes")
    print(_ELSEWHERE)
    return ExitCode.NOTHING


def _told(gone: Mapping[str, int]) -> str:
    return ", ".join(counted(gone[name], *_WORDS[name]) for name in _WORDS if gone.get(name)) or "nothing"
