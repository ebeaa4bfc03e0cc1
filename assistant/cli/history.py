"""``assistant corpus history`` and ``diff``: what has changed in the notes, as a rep sees it."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable
from pathlib import Path

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import ExitCode, UsageError
from assistant.wording import counted

__all__ = ["add_history"]


def add_history(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-commands."""
    history = acts.add_parser(
        "history",
        help="what has changed in one note, commit by commit",
        description="Print each version of a note that git has: its revision, the day, and what a rep sees otherwise.",
    )
    history.add_argument("note", metavar="NOTE", help="the id of a note")
    differing = acts.add_parser(
        "diff",
        help="what a rep sees otherwise in one state of the notes than in another",
        description="Compare two states of the notes as a rep sees them. A state is a pack, a folder of notes, or "
        "a git revision. Exit code 1 where nothing differs.",
    )
    differing.add_argument("before", metavar="A")
    differing.add_argument("after", metavar="B")
    differing.add_argument("note", metavar="NOTE", nargs="?", default="", help="this note alone")
    for act, what, run in ((history, "the history", _history), (differing, "comparing", _diff)):
        act.add_argument("--format", choices=("text", "json"), default="text")
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=with_extra(what, run))


def _history(options: argparse.Namespace) -> int:
    from assistant.checking.as_seen import seen_lines
    from assistant.desk.committed import versions
    from assistant.desk.differing import changes_of
    from assistant.notes.trade import read_trade

    root = notes_folder(options)
    trade = read_trade(root)
    if not re.fullmatch(r"[a-z0-9-]+", options.note):
        raise UsageError(f"'{printable(options.note)[:60]}' is no id of a note")
    rows = []
    path = f"{options.note.partition('-')[0]}/{options.note}.md"
    seen: tuple[str, ...] = ()
    for version in versions(root, path):
        now = seen_lines(version.note, trade) if version.note else ()
        changed = tuple(changes_of(seen, now)) if now != seen else ()
        revision = version.note.revision if version.note else 0
        rows.append((version.day, revision, printable(version.subject), changed))
        seen = now
    if not rows:
        raise UsageError(f"git knows of no note '{printable(options.note)[:60]}'")
    if options.format == "json":
        print(json_line([dict(zip(("day", "revision", "subject", "changes"), row, strict=True)) for row in rows]))
        return ExitCode.DONE
    for day, revision, subject, changed in rows:
        print(f"{day}  {f'revision {revision}' if revision else 'gone, or not to be read'}  {subject}")
        _print_lines(changed or ("(a rep sees no change)",))
    return ExitCode.DONE


def _diff(options: argparse.Namespace) -> int:
    from assistant.desk.differing import differing, seen_in
    from assistant.notes.drafts import refuse_drafts

    folder = notes_folder(options) if not all(map(_stands, (options.before, options.after))) else Path()
    before, after = (seen_in(state, folder) for state in (options.before, options.after))
    if options.note and options.note not in before.notes and options.note not in after.notes:
        refuse_drafts([*before.drafts, *after.drafts], (options.note,))
        raise UsageError(f"no note '{printable(options.note)[:60]}' in either")
    rows = list(differing(before, after, options.note))
    if options.format == "json":
        print(json_line([{"note": name, "what": what, "changes": lines} for name, what, lines in rows]))
    else:
        for name, what, lines in rows:
            print(printable(f"{name}: {what}"))
            _print_lines(lines)
        print(f"{counted(len(rows), 'note differs', 'notes differ')} as a rep sees them")
    return ExitCode.DONE if rows else ExitCode.NOTHING


def _stands(state: str) -> bool:
    return Path(state).exists()


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(f"  {printable(line)}")
