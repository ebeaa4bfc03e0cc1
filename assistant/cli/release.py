"""``assistant corpus compile``: the notes as a pack, for oneself or as a release for reps."""

from __future__ import annotations

import argparse
import json
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.analysis.tokens import printable
from assistant.cli.common import add_places, notes_folder, places_of, say
from assistant.compiling.fresh import compile_now
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.pack.reader import Pack
from assistant.wording import counted

if TYPE_CHECKING:
    from assistant.checking.rule import Book
    from assistant.notes.signing import SignOffs

__all__ = ["add_compile", "program_version"]

_LONGEST_REASON = 200


def add_compile(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    compiled = acts.add_parser(
        "compile",
        help="compile the notes into a pack",
        description="Compile the notes into a pack, without the drafts. A release is refused where the check finds an "
        "error in a note that is ready, or where a note with a hazard is not signed; what it was made of is written "
        "beside the pack, as FILE.release.json.",
    )
    compiled.add_argument("--release", action="store_true", help="for reps: refuse what is not fit to be used")
    compiled.add_argument("--full", action="store_true", help="learn all anew, though no line has changed")
    compiled.add_argument("--unsigned", metavar="REASON", help="release notes that no safety officer signed, and why")
    compiled.add_argument(
        "--settings",
        metavar="FILE",
        default="",
        help="bars and table as 'score tune' writes them; else those of "
        "settings.json in the folder of notes, else those that ship",
    )
    add_places(compiled, argparse.SUPPRESS)
    compiled.set_defaults(run=_compile)


def program_version() -> str:
    """Return the version of the program that is installed, 0 where none is."""
    try:
        return version("station-assistant")
    except PackageNotFoundError:
        return "0"


def _compile(options: argparse.Namespace) -> int:
    if not options.release and options.unsigned is not None:
        raise UsageError("--unsigned goes with --release")
    facts = _facts(options) if options.release else None
    places = places_of(options)
    if places.corpus is None and Path("corpus").is_dir():
        places = places._replace(corpus=Path("corpus"))
    left_out = compile_now(places, say, full=options.full or options.release, settings=options.settings)
    for note in left_out:
        print(printable(f"{note.path}: left out, a draft: {note.draft}"))
    with Pack(places.pack) as pack:
        drafts = f", {counted(len(left_out), 'draft')} left out" if left_out else ""
        print(
            f"{places.pack}: {counted(int(pack.manifest['notes']), 'note')}{drafts}, "
            f"{counted(int(pack.manifest['lines']), 'line')} learned from, "
            f"{pack.digest}"
        )
        if facts:
            _write(
                places.pack, {"corpus": pack.manifest["corpus"], "compiled_by": pack.manifest["compiled_by"], **facts}
            )
    return ExitCode.DONE


def _facts(options: argparse.Namespace) -> dict[str, object]:
    """Return what the release is made of.

    Raises
    ------
    UsageError
        If no pack is named, or the reason will not do.
    AssistantError
        If the notes are not fit to be released.
    """
    from assistant.checking.book import read_book
    from assistant.checking.switched import switched_off
    from assistant.notes.drafts import drafts, silenced
    from assistant.notes.signing import sign_offs

    if options.pack is None:
        raise UsageError("name the file of the release with --pack")
    reason = " ".join((options.unsigned or "").split())
    if options.unsigned is not None and not 0 < len(reason) <= _LONGEST_REASON:
        raise UsageError(f"--unsigned takes a reason, of {_LONGEST_REASON} characters at most")
    today = datetime.now().astimezone().date()
    book = read_book(notes_folder(options), today)
    if silent := silenced(book.corpus):
        raise AssistantError(
            f"nothing is released: alarms or sentences of harm lead to a draft: {', '.join(silent)}: finish it, or "
            "take it out of alarm.yaml and danger.txt"
        )
    warnings = _checked(book, Path(notes_folder(options)))
    ready = [note for note in book.corpus.notes if not note.draft]
    signed = sign_offs(ready)
    _refuse_unsigned(signed, reason)
    return {
        "day": today.isoformat(),
        "program": program_version(),
        "notes": {note.id: note.revision for note in ready},
        "drafts": [note.id for note in drafts(book.corpus)],
        "signatures": {**signed._asdict(), "reason": reason},
        "warnings": warnings,
        "rules_off": {one.rule: one.reason for one in switched_off(book)},
    }


def _checked(book: Book, root: Path) -> int:
    """Return how many warnings the check has; raise where it finds an error in anything but a draft."""
    from assistant.checking.check import check
    from assistant.checking.output import findings_text
    from assistant.checking.registry import all_rules
    from assistant.checking.switched import kept_rules
    from assistant.checking.trade_words import read_words

    read_words(root)  # words that cannot be read would let rules rest
    begun = {note.path for note in book.corpus.notes if note.draft}
    found = [one for one in check(book, kept_rules(book, all_rules()), say) if one.finding.path not in begun]
    errors = [one for one in found if one.rule.severity == "error"]
    if errors:
        raise AssistantError(f"nothing is released: mend these first\n{findings_text(errors, root)}")
    return sum(one.rule.severity == "warning" for one in found)


def _refuse_unsigned(signed: SignOffs, reason: str) -> None:
    if signed.unsigned + signed.stale and not reason:
        raise AssistantError(f"nothing is released: {signed}. Have them signed, or say why with --unsigned REASON")


def _write(pack: Path, facts: dict[str, object]) -> None:
    from assistant.notes.writing import write_whole

    path = pack.with_name(f"{pack.name}.release.json")
    write_whole(path, json.dumps(facts, ensure_ascii=False, indent=1) + "\n")
    print(f"{path}: what the release is made of")
