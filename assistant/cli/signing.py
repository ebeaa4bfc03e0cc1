"""``assistant corpus sign``: a person signs that notes are safe, as they stand now."""

from __future__ import annotations

import argparse
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import AssistantError, ExitCode, UsageError

if TYPE_CHECKING:
    from assistant.checking.rule import Book
    from assistant.model import Note

__all__ = ["add_sign"]

_LONGEST_NAME = 60


def add_sign(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    sign = acts.add_parser(
        "sign",
        help="sign that notes are safe, or list who signed",
        description="Sign notes with a hazard as they stand now: a safety officer has read them and judges them safe. "
        "A later change of a note makes its signature stale.",
    )
    add_places(sign, argparse.SUPPRESS)
    sign.add_argument("notes", metavar="ID", nargs="*", help="the notes to sign")
    sign.add_argument("--by", metavar="NAME", help="who has judged them")
    sign.add_argument("--on", metavar="DATE", help="the day, such as 2026-11-27; today where it is not given")
    sign.add_argument("--list", action="store_true", help="print who signed each note with a hazard, and sign nothing")
    sign.add_argument("--format", choices=("text", "json"), default="text", help="form of the list")
    sign.set_defaults(run=with_extra("signing notes", _sign))


def _sign(options: argparse.Namespace) -> int:
    from assistant.checking.book import read_book

    root = notes_folder(options)
    today = datetime.now().astimezone().date()
    if options.list == bool(options.notes):
        raise UsageError("name the notes to sign, or --list alone")
    if options.list:
        _print_list(read_book(root, today), options.format)
        return ExitCode.DONE
    by, on = _name(options.by), _day(options.on, today)
    book = read_book(root, today)
    notes = [_known(book, name) for name in dict.fromkeys(options.notes)]
    _refuse(book, notes)
    for note in notes:
        _write(root, book, note, by, on)
        print(f"{note.id}: revision {note.revision} signed by {by}, {on}")
    return ExitCode.DONE


def _name(by: str | None) -> str:
    name = " ".join((by or "").split())
    if not name or len(name) > _LONGEST_NAME or printable(name) != name:
        raise UsageError(f"name who signs with --by, in {_LONGEST_NAME} characters at most")
    return name


def _day(on: str | None, today: date) -> date:
    try:
        day = date.fromisoformat(on) if on else today
    except ValueError as error:
        raise UsageError(f"'{on}' is no day; write it as 2026-11-27") from error
    if day > today:
        raise UsageError(f"{day} lies in the future")
    return day


def _known(book: Book, id: str) -> Note:
    from assistant.notes.signing import has_hazard

    note = next((note for note in book.corpus.notes if note.id == id), None)
    if note is None:
        raise UsageError(f"no note '{printable(id)}' that can be read")
    if not has_hazard(note):
        raise UsageError(f"{id}: has no hazard, so that there is nothing to sign")
    return note


def _refuse(book: Book, notes: list[Note]) -> None:
    """Raise where a rule finds an error in one of the notes: nobody signs what is known to be wrong."""
    from assistant.checking.check import check
    from assistant.checking.output import findings_text
    from assistant.checking.registry import all_rules

    paths = {note.path for note in notes}
    errors = [rule for rule in all_rules() if rule.severity == "error"]
    found = [one for one in check(book, errors) if one.finding.path in paths]
    if found:
        raise AssistantError(f"nothing is signed: mend these first\n{findings_text(found, Path())}")


def _write(root: Path, book: Book, note: Note, by: str, on: date) -> None:
    from assistant.notes.figures import figures_in, with_figures
    from assistant.notes.reader import read_note
    from assistant.notes.signing import note_digest, signed, state_of
    from assistant.notes.text import read_text
    from assistant.notes.writing import write_read_back

    path = root / note.path
    if path.is_symlink():
        raise AssistantError(f"{path}: is a link to another file, which is left alone")

    text, language = read_text(path, note.path), book.corpus.trade.language

    def read() -> None:
        text = read_text(path, note.path)
        if state_of(with_figures(read_note(text, note.path, language), text, figures_in(root))[0]) != "signed":
            raise AssistantError(f"{path}: cannot be signed: its front matter is not of the usual form")

    if note_digest(text) != note_digest("\n".join(book.texts[note.path])):
        raise AssistantError(f"{path}: was changed in between, and is not signed")
    figures = [figure.digest for figure in note.figures]
    write_read_back(path, signed(text, by, on.isoformat(), note.revision, figures), read)


def _print_list(book: Book, form: str) -> None:
    from assistant.notes.signing import has_hazard, sign_offs, state_of

    notes = [note for note in book.corpus.notes if has_hazard(note)]
    counts = sign_offs(notes)
    if form == "json":
        rows = [
            {
                "id": note.id,
                "state": state_of(note),
                **{name: getattr(note.safety_review, name, "") or None for name in ("by", "on", "revision")},
            }
            for note in notes
        ]
        print(json_line({**counts._asdict(), "list": rows}))
        return
    for note in notes:
        review, state = note.safety_review, state_of(note)
        who = f" by {review.by}, {review.on}, revision {review.revision}" if review and review.by else ""
        print(printable(f"{note.id}: {state}{who}"))
    print(counts)
