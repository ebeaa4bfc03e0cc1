"""``assistant corpus``: write, check, watch and compile the notes."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.cli.authoring import add_authoring
from assistant.cli.common import add_places, places_of, say, with_extra
from assistant.cli.graph import add_graph
from assistant.cli.kit import add_kit
from assistant.cli.reading import add_readability
from assistant.cli.signing import add_sign
from assistant.compiling.fresh import compile_now
from assistant.errors import ExitCode, UsageError
from assistant.pack.reader import Pack

if TYPE_CHECKING:
    from assistant.checking.check import Found
    from assistant.checking.rule import Rule
    from assistant.notes.signing import SignOffs

__all__ = ["add_arguments"]

_FORMATS = ("text", "json", "sarif", "markdown")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    compiled = acts.add_parser("compile", help="compile the notes into a pack", description="Compile the notes.")
    add_places(compiled, argparse.SUPPRESS)
    compiled.set_defaults(run=_compile)
    checked = acts.add_parser(
        "check",
        help="check the notes against the rules for authors",
        description="Check the notes against the rules for authors. With --pack, also which note wins each question.",
    )
    add_places(checked, argparse.SUPPRESS)
    checked.add_argument("--format", choices=_FORMATS, default="text", help="form of what is printed")
    checked.add_argument("--fix", action="store_true", help="carry out the safe mends first")
    checked.add_argument("--rule", metavar="CODE", action="append", default=[], help="this rule alone; may be repeated")
    checked.add_argument("--list", action="store_true", help="print the rules and check nothing")
    checked.add_argument("paths", metavar="FILE", nargs="*", help="show findings in these files or folders alone")
    checked.set_defaults(run=with_extra("checking notes", _check))
    add_authoring(acts)
    add_readability(acts)
    add_sign(acts)
    add_kit(acts)
    add_graph(acts)


def _compile(options: argparse.Namespace) -> int:
    places = places_of(options)
    compile_now(places, say)
    with Pack(places.pack) as pack:
        print(
            f"{places.pack}: {pack.manifest['notes']} notes, {pack.manifest['lines']} lines learned from, {pack.digest}"
        )
    return ExitCode.DONE


def _check(options: argparse.Namespace) -> int:
    from assistant.checking.registry import all_rules

    rules = _chosen(all_rules(), options.rule)
    if options.list:
        print(_rules_as(options.format, rules))
        return ExitCode.DONE
    found, signatures = _found(options, rules)
    counts = Counter(one.rule.severity for one in found)
    told = ", ".join(f"{counts[level]} {level}s" for level in ("error", "warning", "note"))
    print(f"{len(rules)} rules: {told}\n{signatures}", file=sys.stderr)
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


def _found(options: argparse.Namespace, rules: Sequence[Rule]) -> tuple[list[Found], SignOffs]:
    """Check, mend where asked to, print the findings and return them, with how many notes are signed."""
    from assistant.checking.book import read_book
    from assistant.checking.check import check
    from assistant.checking.mend import mend_all
    from assistant.checking.output import findings_json, findings_sarif, findings_text
    from assistant.notes.signing import sign_offs

    named_root = places_of(options).corpus
    root = named_root or Path("corpus")
    if named_root is None and not root.is_dir():
        raise UsageError("no folder of notes to check; name one with --corpus")
    if options.format == "markdown":
        raise UsageError("findings have no form 'markdown': text, json, sarif")
    today = datetime.now().astimezone().date()
    named = {Path(path).resolve() for path in options.paths}

    def wanted(path: str) -> bool:
        file = (root / path).resolve()
        return not named or not named.isdisjoint((file, *file.parents))

    with _ranking(options.pack) as first_note:
        if options.fix:
            say(f"{mend_all(root, lambda: read_book(root, today), rules, wanted)} lines mended")
        book = read_book(root, today, first_note)
        found = [one for one in check(book, rules) if wanted(one.finding.path)]
    if options.format == "sarif":
        print(findings_sarif(found, root, rules, _version()))
    elif options.format == "json":
        print(findings_json(found, root))
    elif found:
        print(findings_text(found, root))
    return found, sign_offs(book.corpus.notes)


@contextmanager
def _ranking(pack: str | None) -> Iterator[Callable[[str], str | None] | None]:
    """Open the pack that was named, for the rule that asks which note wins a question; without one, that rule rests."""
    if pack is None:
        yield None
        return
    from assistant.checking.ranked import first_note_of

    with Pack(Path(pack)) as opened:
        yield first_note_of(opened)


def _version() -> str:
    try:
        return version("station-assistant")
    except PackageNotFoundError:
        return "0"
