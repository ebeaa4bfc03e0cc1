"""``assistant corpus``: write, check, watch and compile the notes."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.analysis.tokens import printable
from assistant.cli.authoring import add_authoring
from assistant.cli.beginning import add_init
from assistant.cli.common import add_places, places_of, say, with_extra
from assistant.cli.graph import add_graph
from assistant.cli.history import add_history
from assistant.cli.importing import add_import
from assistant.cli.kit import add_kit
from assistant.cli.previewing import add_show
from assistant.cli.printing import add_print
from assistant.cli.reading import add_readability
from assistant.cli.release import add_compile, program_version
from assistant.cli.signing import add_sign
from assistant.errors import ExitCode, UsageError
from assistant.pack.reader import Pack
from assistant.wording import counted

if TYPE_CHECKING:
    from assistant.checking.check import Found
    from assistant.checking.rule import Book, Rule, Severity
    from assistant.model import Note

__all__ = ["add_arguments"]

_COMPARING = "C115"
"""Code of the rule that compares notes with what they were."""
_LEVELS: tuple[Severity, ...] = ("error", "warning", "note")
_FORMATS = ("text", "json", "sarif", "markdown")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    add_init(acts)
    add_compile(acts)
    checked = acts.add_parser(
        "check",
        help="check the notes against the rules for authors",
        description="Check the notes against the rules for authors. With --pack, also which note wins each question. "
        "Rules that rules.yaml switches off rest, but for one that is named.",
    )
    add_places(checked, argparse.SUPPRESS)
    checked.add_argument("--format", choices=_FORMATS, default="text", help="form of what is printed")
    checked.add_argument("--fix", action="store_true", help="carry out the safe mends first")
    checked.add_argument("--rule", metavar="CODE", action="append", default=[], help="this rule alone; may be repeated")
    checked.add_argument(
        "--since", metavar="PACK", help="revisions must have risen since this pack; without it, since the last commit"
    )
    checked.add_argument("--list", action="store_true", help="print the rules and check nothing")
    checked.add_argument("paths", metavar="FILE", nargs="*", help="show findings in these files or folders alone")
    checked.set_defaults(run=with_extra("checking notes", _check))
    add_authoring(acts)
    add_import(acts)
    add_print(acts)
    add_show(acts)
    add_readability(acts)
    add_history(acts)
    add_sign(acts)
    add_kit(acts)
    add_graph(acts)


def _check(options: argparse.Namespace) -> int:
    from assistant.checking.registry import all_rules

    rules = _chosen(all_rules(), options.rule)
    if options.list:
        print(_rules_as(options.format, rules))
        return ExitCode.DONE
    found, told = _found(options, rules)
    counts = Counter(one.rule.severity for one in found)
    print("\n".join(told), file=sys.stdout if options.format == "text" else sys.stderr)
    return ExitCode.NOTHING if counts["error"] + counts["warning"] else ExitCode.DONE


def _chosen(rules: Sequence[Rule], codes: Sequence[str]) -> tuple[Rule, ...]:
    """Return the rules with these codes, all where none is given."""
    unknown = sorted(set(codes) - {rule.code for rule in rules})
    if unknown:
        raise UsageError(f"no rule {', '.join(unknown)}; the rules: assistant corpus check --list")
    return tuple(rule for rule in rules if not codes or rule.code in codes)


def _rules_as(form: str, rules: Sequence[Rule]) -> str:
    from assistant.checking.output import rules_json, rules_markdown, rules_text

    forms = {"text": rules_text, "json": rules_json, "markdown": rules_markdown}
    if form not in forms:
        raise UsageError(f"the list of rules has no form '{form}': {', '.join(forms)}")
    return forms[form](rules)


def _named(paths: Sequence[str], root: Path) -> set[Path]:
    """Return the files and folders that are named, by path or by the id of a note; a note with what lies beside it."""
    notes = {path.stem: path for path in root.glob("*/*.md")} if paths else {}
    found: set[Path] = set()
    for named in paths:
        path = Path(named) if Path(named).exists() else notes.get(named)
        if path is None:
            raise UsageError(f"no file, folder or note '{printable(named)[:60]}'")
        beside = (".phrases.yaml", ".questions.txt") if path.suffix == ".md" else ()
        found |= {path.resolve(), *(path.with_suffix(ending).resolve() for ending in beside)}
    return found


def _found(options: argparse.Namespace, rules: Sequence[Rule]) -> tuple[list[Found], list[str]]:
    """Check, mend where asked to, print the findings and return them, with the lines that sum them up."""
    from assistant.checking.book import read_book
    from assistant.checking.by_language import readable
    from assistant.checking.check import check
    from assistant.checking.mend import mend_all
    from assistant.checking.output import findings_json, findings_sarif, findings_text
    from assistant.checking.switched import kept_rules
    from assistant.checking.trade_words import read_words

    named_root = places_of(options).corpus
    root = named_root or Path("corpus")
    if named_root is None and not root.is_dir():
        raise UsageError("no folder of notes to check; name one with --corpus")
    if options.format == "markdown":
        raise UsageError("findings have no form 'markdown': text, json, sarif")
    today = datetime.now().astimezone().date()
    named = _named(options.paths, root)

    def wanted(path: str) -> bool:
        file = (root / path).resolve()
        return not named or not named.isdisjoint((file, *file.parents))

    read_words(root)  # words that cannot be read would let rules rest
    book = read_book(root, today, progress=say)
    told = _left_out(book, () if options.rule else rules)
    rules = readable(book, rules if options.rule else kept_rules(book, rules))
    if options.fix:
        say(f"{counted(mend_all(root, lambda: read_book(root, today), rules, wanted), 'line')} mended")
        book = read_book(root, today)
    book = book._replace(earlier=_earlier(options.since, root, rules))
    if options.pack is not None:
        book = book._replace(first_note=_first_notes(Path(options.pack), book, rules))
    found = [one for one in check(book, rules, say) if wanted(one.finding.path)]
    if options.format == "sarif":
        print(findings_sarif(found, root, rules, program_version()))
    elif options.format == "json":
        print(findings_json(found, root))
    elif found:
        print(findings_text(found, root))
    return found, _sum(book, rules, found, told)


def _left_out(book: Book, rules: Sequence[Rule]) -> list[str]:
    """Return a line for each of these rules that is off, and one for those that rest."""
    from assistant.checking.switched import resting, switched_off

    off = {one.rule: one.reason for one in switched_off(book)} if rules else {}
    told = [printable(f"rule {rule} is off: {reason}") for rule, reason in off.items()]
    if idle := [rule.code for rule in resting(book, rules) if rule.code not in off]:
        told.append(f"{counted(len(idle), 'rule')} at rest for want of words in check.yaml: {', '.join(idle)}")
    return told


def _sum(book: Book, rules: Sequence[Rule], found: Sequence[Found], left_out: Sequence[str]) -> list[str]:
    from assistant.checking.by_language import unread
    from assistant.notes.drafts import drafts
    from assistant.notes.signing import sign_offs

    counts = Counter(one.rule.severity for one in found)
    told = [f"{counted(len(rules), 'rule')}: " + ", ".join(counted(counts[level], level) for level in _LEVELS)]
    told += left_out
    if unread(book):
        told.append(unread(book))
    begun = drafts(book.corpus)
    if begun:
        told.append(f"{counted(len(begun), 'draft')}, in no pack: {', '.join(note.id for note in begun)}")
    return [*told, str(sign_offs(book.corpus.notes))]


def _earlier(since: str | None, root: Path, rules: Sequence[Rule]) -> Mapping[str, Note] | None:
    """Return the notes as they were: in a pack, or else in the last commit, where a rule compares with them."""
    if not any(rule.code == _COMPARING for rule in rules):
        return None
    from assistant.desk.committed import changed_notes

    if since is None:
        return changed_notes(root)
    with Pack(Path(since)) as pack:
        return {name: note for name in pack.note_ids if (note := pack.note(name)) is not None}


def _first_notes(path: Path, book: Book, rules: Sequence[Rule]) -> Callable[[str], str | None]:
    """Let the pack be asked which note wins each example question, where a rule needs it, while other rules are kept.

    Who calls what is returned waits for all answers. Where the command is broken off nobody waits.
    """
    from concurrent.futures import Future
    from threading import Thread

    from assistant.answering.spread import first_notes
    from assistant.checking.asked import asked

    needed = tuple(dict.fromkeys(one.text for one in asked(book))) if any(rule.needs_pack for rule in rules) else ()
    notes: Future[dict[str, str | None]] = Future()

    def ask() -> None:
        try:
            with Pack(path) as pack:
                notes.set_result(first_notes(pack, needed))
        except Exception as error:
            notes.set_exception(error)

    with Pack(path):
        if needed:
            say(f"asking {len(needed)} questions")
    Thread(target=ask, daemon=True).start()
    return lambda question: notes.result().get(question)
