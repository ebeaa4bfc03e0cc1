"""``assistant desk``: what reps did not find, and what a change of the notes does."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from assistant.analysis.tokens import printable
from assistant.cli.common import add_eval, add_places, open_pack, places_of, say, with_extra
from assistant.cli.desk_groups import add_group, add_take, add_unanswered
from assistant.cli.scoring import questions_of
from assistant.errors import ExitCode, UsageError
from assistant.wording import counted

__all__ = ["add_arguments"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    groups = add_unanswered(acts), add_group(acts), add_take(acts)
    impact = acts.add_parser("impact", help="which questions change between two states of the notes")
    impact.add_argument("before", help="a pack, a folder of notes, or a git revision")
    impact.add_argument("after", nargs="?", help="the same; the notes as they are now where not given")
    add_eval(impact)
    impact.add_argument("--journal", action="append", default=[], metavar="PATH", help="also the questions of journals")
    impact.add_argument("--format", choices=("text", "json"), default="text")
    impact.set_defaults(run=_impact)
    for act in (*groups, impact):
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=with_extra("the desk", act.get_default("run")))


def _impact(options: argparse.Namespace) -> int:
    from assistant.desk.impact import impact
    from assistant.desk.sources import read_sources
    from assistant.desk.states import open_state
    from assistant.journal.records import Question
    from assistant.notes.corpus import read_corpus

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("impact needs the folder of notes: name it with --corpus")
    labelled = questions_of(options, "asked of both")
    sources = read_sources([Path(path) for path in options.journal]) if options.journal else []
    asked = [question.text for export in sources for question in export.all(Question)]
    with (
        open_state(options.before, places.corpus, say) as before,
        open_state(options.after, places.corpus, say) if options.after else open_pack(options) as after,
    ):
        notes = Path(options.after) if options.after else places.corpus
        found = impact(before, after, labelled, asked, say, read_corpus(notes) if notes.is_dir() else None)
    if options.format == "json":
        print(json.dumps(_impact_data(found), ensure_ascii=True, indent=1))
    else:
        _print_impact(found)
    return ExitCode.NOTHING if found.count("loss") or found.count("safety lost") else ExitCode.DONE


def _impact_data(found: Any) -> dict[str, Any]:
    return {
        "changes": [change._asdict() for change in found.changes],
        "right": [{"k": share.k, "n": share.n} for share in found.right],
        "p": found.p,
        "asked": found.asked,
        "thief": {"note": found.thief[0], "questions": found.thief[1]},
        "uncovered": [line._asdict() for line in found.lines],
    }


def _print_impact(found: Any) -> None:
    refused = [one for one in found.changes if one.kind == "changed" and one.before[0] == one.after[0] == "none"]
    for change in found.changes:
        if change in refused:
            continue
        before, after = (f"{decision} {note or '-'}" for decision, note, _ in (change.before, change.after))
        wanted = f" (wanted: {', '.join(change.wanted)})" if change.wanted else ""
        print(f"{change.kind}: {printable(change.question)}\n    {before} -> {after}{wanted}")
    for line in found.lines:
        print(f"uncovered.txt: {printable(line.line)}\n    {line.note}: {printable(line.why)}")
    if refused:
        print(f"{counted(len(refused), 'question')} refused before and after: other notes are named as the nearest")
    counts = ", ".join(
        f"{found.count(kind)} {kind}" for kind in ("gain", "loss", "safety gained", "safety lost", "changed")
    )
    print(f"\n{counts}")
    old = found.count("label to look at again")
    if old or found.lines:
        again = f"{counted(old, 'label')} and {counted(len(found.lines), 'line')} of uncovered.txt"
        print(f"{again} to look at again: assistant score relabel")
    print(f"labelled questions right before {found.right[0]}\nlabelled questions right after  {found.right[1]}")
    print(f"paired randomization test: p = {found.p:.4f}")
    if found.asked:
        print(f"{found.asked} questions of journals asked; nobody has labelled them")
    if found.thief[1]:
        print(f"the note that takes most first places from right ones: {found.thief[0]}, {found.thief[1]} questions")
    sys.stdout.flush()
