"""``assistant desk``: what reps did not find, and what a change of the notes does."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, open_pack, places_of, say, with_extra
from assistant.cli.desk_screen import show_groups
from assistant.errors import ExitCode, UsageError
from assistant.visiting.times import local_day

__all__ = ["add_arguments"]

Run = Callable[[argparse.Namespace], int]
_SHOWN_WORDINGS = 5


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    missed = acts.add_parser("unanswered", help="questions that did not find their answer, grouped by meaning")
    _add_journals(missed)
    missed.add_argument("--format", choices=("text", "json"), default="text")
    missed.add_argument("--all", action="store_true", help="every wording of each group")
    missed.add_argument("--screen", action="store_true", help="look through them and take them on the terminal")
    take = acts.add_parser("take", help="a group of unanswered questions into the notes")
    take.add_argument("group", help="the name of the group, as 'desk unanswered' shows it")
    _add_journals(take)
    into = take.add_mutually_exclusive_group(required=True)
    into.add_argument("--example-of", metavar="NOTE", help="add its questions to the phrases and examples of a note")
    into.add_argument("--word", metavar="FORM=WORD", help="let a form that reps type stand for a word of the notes")
    into.add_argument("--new-note", metavar="ID", help="write the skeleton of a new note with its questions")
    take.add_argument("--weight", type=float, default=0.8, help="of a word: how surely the form means it, 0 to 1")
    take.add_argument("--title", help="of a new note")
    take.add_argument("--station", default="all", help="of a new note: kinds of station, with commas")
    take.add_argument("--action", default="inform", help="of a new note")
    take.add_argument("--minutes", default="10", help="of a new note")
    take.add_argument("--things", default="", help="of a new note: what people call it, with commas")
    take.add_argument("--troubles", default="", help="of a new note: what they say of it, with commas")
    impact = acts.add_parser("impact", help="which questions change between two states of the notes")
    impact.add_argument("before", help="a pack, a folder of notes, or a git revision")
    impact.add_argument("after", nargs="?", help="the same; the notes as they are now where not given")
    impact.add_argument("--eval", metavar="DIR", default="eval", help="folder of labelled questions")
    impact.add_argument("--journal", action="append", default=[], metavar="PATH", help="also the questions of journals")
    impact.add_argument("--format", choices=("text", "json"), default="text")
    for act, run in ((missed, _unanswered), (take, _take), (impact, _impact)):
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=with_extra("the desk", run))


def _add_journals(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--journal", action="append", default=[], metavar="PATH", help="a journal, an export, or a folder of exports"
    )


def _groups(options: argparse.Namespace) -> list[Any]:
    from assistant.answering.assistant import Assistant
    from assistant.desk.sources import read_sources
    from assistant.desk.unanswered import group_missed, missed_questions

    paths = [Path(path) for path in options.journal] or [places_of(options).journal]
    missed = missed_questions(read_sources(paths))
    with open_pack(options) as pack:
        return group_missed(missed, Assistant(pack))


def _unanswered(options: argparse.Namespace) -> int:
    if options.screen:
        return show_groups(options)
    groups = _groups(options)
    if options.format == "json":
        print(json_line([group._asdict() for group in groups]))
        return ExitCode.DONE
    if not groups:
        print("Every question found its answer.")
    for group in groups:
        shops = f"{len(group.stores)} shops" if group.stores else "shop not known"
        kinds = ", ".join(f"{count} {miss}" for miss, count in group.misses)
        days = f"{local_day(group.first_at)} to {local_day(group.last_at)}"
        print(f"{group.key}  {group.askings} x, {shops}, {days} ({kinds})")
        shown = group.wordings if options.all else group.wordings[:_SHOWN_WORDINGS]
        for text, count in shown:
            print(f"    {count} x {printable(text)}")
        if len(shown) < len(group.wordings):
            print(f"    and {len(group.wordings) - len(shown)} more wordings (--all)")
        now = {"answer": "would be answered with", "choose": "would be offered", "none": "nearest, does not match"}
        print(f"    now {now[group.decision]}: {group.note} {printable(group.title)}\n")
    return ExitCode.DONE


def _take(options: argparse.Namespace) -> int:
    from assistant.desk.skeleton import draft_of, example_line, new_note
    from assistant.desk.taking import add_questions, add_vocabulary
    from assistant.journal.store import now
    from assistant.notes.trade import read_trade

    corpus = places_of(options).corpus
    if corpus is None:
        raise UsageError("taking questions into the notes needs the folder of notes: name it with --corpus")
    group = next((group for group in _groups(options) if group.key == options.group), None)
    if group is None:
        raise UsageError(f"no group '{printable(options.group)[:40]}'; 'assistant desk unanswered' shows them")
    questions = [text for text, _ in group.wordings]
    if options.example_of:
        with open_pack(options) as pack:
            note = pack.note(options.example_of)
        if note is None:
            raise UsageError(f"no note '{printable(options.example_of)[:60]}'")
        print(f"{note.id}: {add_questions(corpus, corpus / note.path, questions)}, of {len(questions)} questions.")
    elif options.word:
        form, equals, word = options.word.partition("=")
        if not equals:
            raise UsageError("--word reads FORM=WORD, such as gamepad=pad")
        add_vocabulary(corpus, form, word, options.weight)
        print(f"vocabulary.yaml: '{printable(form)}' stands for '{printable(word)}' at {options.weight}.")
    else:
        answers = {
            "id": options.new_note,
            "title": options.title or " ".join(example_line(group.text).rstrip(".").split()[:9]),
            "station": options.station,
            "action": options.action,
            "minutes": options.minutes,
            "things": options.things,
            "troubles": options.troubles,
        }
        path = new_note(corpus, draft_of(answers, read_trade(corpus)), now().date())
        taken = add_questions(corpus, path, questions)
        print(f"{path}: written, with {taken}. Fill it in, then: assistant corpus check")
    return ExitCode.DONE


def _impact(options: argparse.Namespace) -> int:
    from assistant.desk.impact import impact
    from assistant.desk.sources import read_sources
    from assistant.desk.states import open_state
    from assistant.evaluation.labels import read_questions
    from assistant.journal.records import Question

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("impact needs the folder of notes: name it with --corpus")
    labelled = read_questions(Path(options.eval) / "questions.jsonl")
    sources = read_sources([Path(path) for path in options.journal]) if options.journal else []
    asked = [question.text for export in sources for question in export.all(Question)]
    with (
        open_state(options.before, places.corpus, say) as before,
        open_state(options.after or str(places.corpus), places.corpus, say) as after,
    ):
        found = impact(before, after, labelled, asked, say)
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
    }


def _print_impact(found: Any) -> None:
    for change in found.changes:
        before, after = (f"{decision} {note or '-'}" for decision, note, _ in (change.before, change.after))
        wanted = f" (wanted: {', '.join(change.wanted)})" if change.wanted else ""
        print(f"{change.kind}: {printable(change.question)}\n    {before} -> {after}{wanted}")
    counts = ", ".join(
        f"{found.count(kind)} {kind}" for kind in ("gain", "loss", "safety gained", "safety lost", "changed")
    )
    print(f"\n{counts}")
    print(f"labelled questions right before {found.right[0]}\nlabelled questions right after  {found.right[1]}")
    print(f"paired randomization test: p = {found.p:.4f}")
    if found.asked:
        print(f"{found.asked} questions of journals asked; nobody has labelled them")
    if found.thief[1]:
        print(f"the note that takes most first places from right ones: {found.thief[0]}, {found.thief[1]} questions")
    sys.stdout.flush()
