"""``assistant desk unanswered``, ``group`` and ``take``: what reps did not find, sorted by hand, and into the notes."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import open_pack, places_of, say
from assistant.cli.desk_screen import show_groups
from assistant.errors import ExitCode, UsageError
from assistant.visiting.times import local_day

if TYPE_CHECKING:
    from assistant.desk.missed import Missed
    from assistant.desk.unanswered import Group
    from assistant.pack.reader import Pack

__all__ = ["add_group", "add_take", "add_unanswered"]

_SHOWN_WORDINGS = 5
_MASKED = "People's names are masked where words before them tell of a person ('ask for', 'mrs'); look for others."


def add_unanswered(acts: Any) -> argparse.ArgumentParser:
    """Add ``unanswered``."""
    missed: argparse.ArgumentParser = acts.add_parser(
        "unanswered",
        help="questions that did not find their answer, grouped by what would be one note",
        description=f"Questions without an answer, and answers that are likely to be wrong. {_MASKED}",
    )
    _add_journals(missed)
    missed.add_argument("--format", choices=("text", "json"), default="text")
    missed.add_argument("--all", action="store_true", help="every wording of each group")
    missed.add_argument("--ignored", action="store_true", help="also the groups that are ignored for good")
    missed.add_argument("--screen", action="store_true", help="look through them and take them on the terminal")
    missed.set_defaults(run=_unanswered)
    return missed


def add_group(acts: Any) -> argparse.ArgumentParser:
    """Add ``group``."""
    group: argparse.ArgumentParser = acts.add_parser("group", help="part, join or ignore groups, for good")
    group.add_argument("group", nargs="?", default="", help="the name of the group, as 'desk unanswered' shows it")
    _add_journals(group)
    deed = group.add_mutually_exclusive_group(required=True)
    deed.add_argument("--apart", metavar="N,M", help="make these wordings a group of their own")
    deed.add_argument("--join", metavar="GROUP", help="make it one with another group")
    deed.add_argument("--ignore", action="store_true", help="leave it out from now on")
    deed.add_argument("--take-up", action="store_true", help="ignore it no longer")
    deed.add_argument("--undo", action="store_true", help="take back what was done last to any group")
    group.set_defaults(run=_group)
    return group


def add_take(acts: Any) -> argparse.ArgumentParser:
    """Add ``take``."""
    take: argparse.ArgumentParser = acts.add_parser(
        "take", help="a group of unanswered questions into the notes", description=_MASKED
    )
    take.add_argument("group", help="the name of the group, as 'desk unanswered' shows it")
    _add_journals(take)
    into = take.add_mutually_exclusive_group(required=True)
    into.add_argument("--example-of", metavar="NOTE", help="add its questions to the phrases and examples of a note")
    into.add_argument("--word", metavar="FORM=WORD", help="let a form that reps type stand for a word of the notes")
    into.add_argument("--new-note", metavar="ID", help="write the skeleton of a new note with its questions")
    into.add_argument("--uncovered", action="store_true", help="add its questions to those that no note covers")
    take.add_argument("--only", metavar="N,M", help="take these wordings alone")
    take.add_argument(
        "--take-over",
        metavar="N,M",
        help="of --example-of and --new-note: move these near lines of uncovered.txt to the note as well, or 'all'",
    )
    take.add_argument("--weight", type=float, default=0.8, help="of a word: how surely the form means it, 0 to 1")
    take.add_argument("--title", help="of a new note")
    take.add_argument("--station", default="all", help="of a new note: kinds of station, with commas")
    take.add_argument("--action", default="inform", help="of a new note")
    take.add_argument("--minutes", default="10", help="of a new note")
    take.add_argument("--things", default="", help="of a new note: what people call it, with commas")
    take.add_argument("--troubles", default="", help="of a new note: what they say of it, with commas")
    take.set_defaults(run=_take)
    return take


def _add_journals(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--journal", action="append", default=[], metavar="PATH", help="a journal, an export, or a folder of exports"
    )


def _missed(options: argparse.Namespace) -> list[Missed]:
    from assistant.desk.missed import missed_questions
    from assistant.desk.sources import read_sources

    return missed_questions(read_sources([Path(path) for path in options.journal] or [places_of(options).journal]))


def _groups(options: argparse.Namespace, missed: list[Missed], pack: Pack) -> list[Group]:
    from functools import partial

    from assistant.answering.assistant import Assistant
    from assistant.desk.by_hand import ByHand, sorted_by_hand
    from assistant.desk.unanswered import answered_now, group_missed

    deeds = ByHand(places_of(options).home).read()
    groups = group_missed(missed, pack, say)
    return sorted_by_hand(groups, deeds, partial(answered_now, Assistant(pack).ask))


def _named(groups: list[Group], key: str) -> Group:
    from assistant.desk.unanswered import named

    group = named(groups, key)
    if group is None:
        raise UsageError(f"no group '{printable(key)[:40]}'; 'assistant desk unanswered' shows them")
    return group


def _unanswered(options: argparse.Namespace) -> int:
    if options.screen:
        return show_groups(options)
    missed = _missed(options)
    with open_pack(options) as pack:
        found = _groups(options, missed, pack)
    groups = [group for group in found if options.ignored or not group.ignored]
    if options.format == "json":
        print(json_line([{name: v for name, v in group._asdict().items() if name != "missed"} for group in groups]))
        return ExitCode.DONE
    if not groups:
        print("Every question found its answer." if not found else "All groups are ignored; --ignored shows them.")
    for group in groups:
        _print_group(group, whole=options.all)
    return ExitCode.DONE


def _print_group(group: Group, *, whole: bool) -> None:
    kinds = ", ".join(f"{count} {miss}" for miss, count in group.misses)
    days = f"{local_day(group.first_at)} to {local_day(group.last_at)}"
    ignored = ", ignored" if group.ignored else ""
    print(f"{group.key}  {group.askings} x, {group.where}, {days} ({kinds}){ignored}")
    shown = group.wordings if whole else group.wordings[:_SHOWN_WORDINGS]
    for number, (text, count) in enumerate(shown, start=1):
        print(f"  {number:2}. {count} x {printable(text)}")
    if len(shown) < len(group.wordings):
        print(f"      and {len(group.wordings) - len(shown)} more wordings (--all)")
    if group.given:
        given = ", ".join(f"{note} ({count} x)" for note, count in group.given)
        print(f"    was answered, and likely wrongly: {given}")
    now = {"answer": "would be answered with", "choose": "would be offered", "none": "nearest, does not match"}
    print(f"    now {now[group.decision]}: {group.note} {printable(group.title)}\n")


def _group(options: argparse.Namespace) -> int:
    from assistant.desk.by_hand import ByHand, apart, deed_of, together

    by_hand = ByHand(places_of(options).home)
    if options.undo:
        print(f"taken back: {printable(str(by_hand.undo()))}")
        return ExitCode.DONE
    missed = _missed(options)
    with open_pack(options) as pack:
        groups = _groups(options, missed, pack)
    group = _named(groups, options.group)
    if options.apart:
        deed = apart(group, options.apart)
    elif options.join:
        other = _named(groups, options.join)
        if other is group:
            raise UsageError("a group is one with itself already; name another one")
        deed = together(group, other)
    else:
        deed = deed_of("ignored" if options.ignore else "taken up", group)
    by_hand.add(deed)
    print(f"{printable(str(deed))}\nkept in {by_hand.path}; to take it back: assistant desk group --undo")
    return ExitCode.DONE


def _take(options: argparse.Namespace) -> int:
    from assistant.desk.by_hand import picked_wordings
    from assistant.desk.taking import UNCOVERED, add_uncovered, add_vocabulary

    corpus = places_of(options).corpus
    if corpus is None:
        raise UsageError("taking questions into the notes needs the folder of notes: name it with --corpus")
    if options.take_over and not (options.example_of or options.new_note):
        raise UsageError("--take-over goes with --example-of or --new-note")
    missed = _missed(options)
    with open_pack(options) as pack:
        group = _named(_groups(options, missed, pack), options.group)
        questions = picked_wordings(group, options.only) if options.only else [text for text, _ in group.wordings]
        if options.word:
            form, equals, word = options.word.partition("=")
            if not equals:
                raise UsageError("--word reads FORM=WORD: the form that reps type, and the word of the notes")
            add_vocabulary(corpus, form, word, options.weight)
            print(f"vocabulary.yaml: '{printable(form)}' stands for '{printable(word)}' at {options.weight}.")
        elif options.uncovered:
            print(f"{UNCOVERED}: {add_uncovered(corpus, questions)} new lines, of {len(questions)} questions:")
            for question in questions:
                print(f"    {printable(question)}")
        else:
            _beside_a_note(options, corpus, pack, questions, group.text if group.text in questions else questions[0])
    return ExitCode.DONE


def _beside_a_note(options: argparse.Namespace, corpus: Path, pack: Pack, questions: list[str], middle: str) -> None:
    from assistant.desk.skeleton import draft_of, example_line, new_note
    from assistant.desk.taking import add_questions, near_uncovered, take_over
    from assistant.journal.store import now
    from assistant.notes.corpus import read_corpus
    from assistant.notes.trade import read_trade

    near = near_uncovered(corpus, questions, pack)
    wanted = _wanted(near, options.take_over or "")
    if options.new_note:
        answers = {
            "id": options.new_note,
            "title": options.title or " ".join(example_line(middle).rstrip(".").split()[:9]),
            "station": options.station,
            "action": options.action,
            "minutes": options.minutes,
            "things": options.things,
            "troubles": options.troubles,
        }
        path = new_note(corpus, draft_of(answers, read_trade(corpus)), now().date())
        taken = add_questions(corpus, path, questions)
        print(f"{path}: written, with {taken}. Fill it in, take out 'status: draft', then: assistant corpus check")
    else:
        notes = read_corpus(corpus).notes
        note = next((note for note in notes if note.id == options.example_of), None)
        if note is None:
            raise UsageError(f"no note '{printable(options.example_of)[:60]}'")
        path = corpus / note.path
        print(f"{path.stem}: {add_questions(corpus, path, questions)}, of {len(questions)} questions.")
    if wanted:
        print(f"taken over from uncovered.txt: {take_over(corpus, path, wanted)}.")
    elif near:
        print(f"uncovered.txt says of {len(near)} near lines that no note covers them:")
        for number, line in enumerate(near, start=1):
            print(f"  {number:2}. {printable(line)}")
        print(f"To move them to the note: desk take {options.group} --example-of {path.stem} --take-over N,M (or all)")


def _wanted(near: list[str], numbers: str) -> list[str]:
    if numbers in ("", "all"):
        return near if numbers else []
    parts = numbers.replace(",", " ").split()
    if not near or not all(part.isascii() and part.isdecimal() and 1 <= int(part[:9]) <= len(near) for part in parts):
        raise UsageError(f"--take-over names near lines of uncovered.txt by number, of which there are {len(near)}")
    return [near[int(part) - 1] for part in dict.fromkeys(parts)]
