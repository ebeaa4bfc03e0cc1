"""``assistant corpus new``, ``similar`` and ``watch``: what an author does before the check."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_eval, add_places, notes_folder, places_of, say, with_extra
from assistant.cli.previewing import card_text
from assistant.errors import ExitCode, UsageError
from assistant.wording import counted

if TYPE_CHECKING:
    from assistant.desk.similar import Alike, Apart, Similar
    from assistant.desk.watching import Look
    from assistant.model import Note, Trade

__all__ = ["add_authoring", "look_lines"]

_POLL = 0.1
"""Seconds between two looks at the times of the files."""
_REST = 4
"""So many times as long as a look took comes the next one, where that is longer: of many notes it takes a while."""
_SHOWN = 12
_ALWAYS = ("P@1", "answered outright and right", "answered outright and wrong", "safety note first", "false answers")


def add_authoring(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-commands."""
    new = acts.add_parser(
        "new",
        help="write the skeleton of a new note",
        description="Write the skeleton of a new note; asks what is not given.",
    )
    for field in ("id", "title", "station", "action", "minutes"):
        new.add_argument(f"--{field}", metavar=field.upper())
    new.add_argument("--things", metavar="TEXTS", help="what people call it, with commas")
    new.add_argument("--troubles", metavar="TEXTS", help="what they say of it, with commas; each pair is a phrase")
    new.add_argument(
        "--question", action="append", default=[], metavar="TEXT", help="an example question; may be repeated"
    )
    near = acts.add_parser("similar", help="what a note has in common with the others")
    near.add_argument("note", metavar="NOTE", help="the id of a note, or the file of one that is not in the folder yet")
    near.add_argument("--most", type=int, default=5, metavar="N", help="so many of each kind")
    near.add_argument("--format", choices=("text", "json"), default="text")
    watch = acts.add_parser("watch", help="check and score the notes at every save, until Ctrl+C")
    add_eval(watch)
    watch.add_argument("--card", action="store_true", help="draw each saved note as a rep would see it, too")
    for act, what, run in ((new, "a new note", _new), (near, "comparing", _similar), (watch, "watching", _watch)):
        add_places(act, argparse.SUPPRESS)
        act.set_defaults(run=with_extra(what, run))


def _new(options: argparse.Namespace) -> int:
    from assistant.desk.beginning import begin_trade
    from assistant.desk.skeleton import FIELDS, draft_of, new_note
    from assistant.notes.trade import TRADE, read_trade

    root = notes_folder(options)
    if begin_trade(root):
        say(f"{root / TRADE}: written, small, to begin with; put the stations, tools and parts of the trade into it")
    trade = read_trade(root)
    answers = {field: text for field in FIELDS if (text := getattr(options, field)) is not None}
    lacking = [field for field in FIELDS if field not in answers]
    if sys.stdin.isatty():
        answers |= {field: _answer(field, trade) for field in lacking}
        lacking = []
    path = new_note(root, draft_of(answers, trade), datetime.now().astimezone().date(), options.question)
    if lacking:
        named = ", ".join(f"--{field}" for field in lacking)
        print(f"not asked for, as the input is no terminal: {named}", file=sys.stderr)
    print(f"{path}: written, a draft. Fill it in, take out 'status: draft', then: assistant corpus check")
    return ExitCode.DONE


def _answer(field: str, trade: Trade) -> str:
    """Ask on the terminal until the answer will do."""
    from assistant.desk.skeleton import question_of, take_answer

    asked = question_of(field, trade)
    while True:
        print(f"{asked}: ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise UsageError("nothing was written: the input ended")
        text = printable(line).strip()
        try:
            take_answer(field, text, trade)
        except UsageError as error:
            print(error, file=sys.stderr)
        else:
            return text


def _similar(options: argparse.Namespace) -> int:
    from assistant.desk.similar import similar
    from assistant.notes.corpus import read_corpus

    corpus = read_corpus(notes_folder(options))
    found = similar(_note(options.note, corpus.notes), corpus.notes, max(0, options.most))
    if options.format == "json":
        print(json_line({kind: [one._asdict() for one in part] for kind, part in found._asdict().items()}))
    else:
        print("\n".join(_similar_lines(found)))
    return ExitCode.DONE


def _note(name: str, notes: Iterable[Note]) -> Note:
    """Return the note of that id, or read the file of that name."""
    from assistant.notes.corpus import beside

    known = next((note for note in notes if note.id == name), None)
    if known is not None:
        return known
    path = Path(name)
    if path.suffix != ".md" or not path.is_file():
        raise UsageError(f"no note '{printable(name)[:60]}', and no file of a note")
    return beside(path)[0]


def _similar_lines(found: Similar) -> Iterator[str]:
    yield "Nearest notes"
    for one in found.near:
        yield f"  {one.cosine:.2f}  {one.note}  {printable(one.title)}  ({', '.join(one.words)})"
    yield from _alike_lines("Steps that another note has nearly alike", found.steps)
    yield from _alike_lines("Example questions that another note has nearly alike", found.questions)
    yield from _alike_lines("Plain lines that another note has nearly alike", found.plain)
    yield from _alike_lines("Things with their troubles that another note has nearly alike", found.pairs)
    yield from _apart_lines("Lines that lead from it to another note", found.leads_away)
    yield from _apart_lines("Lines of other notes that lead to it", found.leads_here)


def _alike_lines(title: str, rows: Sequence[Alike]) -> Iterator[str]:
    yield title if rows else f"{title}: none"
    for one in rows:
        yield f"  {one.cosine:.2f}  {printable(one.text)}"
        yield f"        {one.place}: {printable(one.other)}"


def _apart_lines(title: str, rows: Sequence[Apart]) -> Iterator[str]:
    yield title if rows else f"{title}: none"
    for one in rows:
        yield f"  {printable(one.text)}: {one.note} -> {one.other or 'no note'}"


def _watch(options: argparse.Namespace) -> int:
    from assistant.checking.output import findings_text
    from assistant.checking.registry import all_rules
    from assistant.compiling.linear import ended_whole
    from assistant.compiling.settings import corpus_settings
    from assistant.desk.watching import Watch
    from assistant.evaluation.labels import read_questions

    root = notes_folder(options)
    path = Path(options.eval, "questions.jsonl")
    if not path.exists():
        say(f"{path}: not there, so that the rules are kept and nothing is scored")
    questions = read_questions(path) if path.exists() else []
    today = datetime.now().astimezone().date()
    pack = places_of(options).pack
    with ended_whole(), closing(Watch(root, questions, corpus_settings(root), all_rules(), today, say, pack)) as watch:
        say(f"watching {root}: {counted(len(questions), 'question')}; Ctrl+C ends")
        while True:
            began = time.monotonic()
            if not watch.changed():
                time.sleep(max(_POLL, _REST * (time.monotonic() - began)))
                continue
            look = watch.look()
            print("\n".join(look_lines(look, datetime.now().astimezone().strftime("%H:%M:%S"))), flush=True)
            if options.card:
                for note in filter(None, map(watch.note, look.notes)):
                    print(card_text(note, watch.trade), flush=True)
            if look.refused:
                continue
            if look.found:
                print(findings_text(look.found, root), flush=True)
            across = watch.across(look.notes)
            if across is None:
                print("  saved again before all rules were checked", flush=True)
                continue
            if across:
                print(findings_text(across, root))
            print(f"  rules checked: {len(look.found) + len(across) or 'nothing'} found", flush=True)


def look_lines(look: Look, clock: str) -> Iterator[str]:
    """Yield the lines that tell what a save did to the figures."""
    if look.refused:
        yield f"{clock}  cannot be read, the figures stand as they were:"
        yield from (f"  {line}" for line in look.refused.splitlines())
        return
    notes = ", ".join(look.notes) or ("all notes compiled anew" if look.anew else "no note has changed")
    yield f"{clock}  {notes}: {look.seconds:.2f} s, {counted(look.asked, 'question')} asked anew"
    before, own = look.own
    if own.n:
        yield f"  questions of {notes}: {own.k} of {own.n} right, {_was(before.k, own.k)}"
    elif look.notes:
        yield "  no labelled question of these notes among them"
    for name, (old, new) in look.shares.items():
        if name in _ALWAYS or old != new:
            was = _was(old.k, new.k) if old.n == new.n else f"was {old}"
            yield f"  {name}: {new.k}/{new.n} = {new.value:.3f}, {was}"
    for change in look.changes[:_SHOWN]:
        (was, first, _), (now, second, _) = change.before, change.after
        yield f"  {change.kind}: {printable(change.question)} | {was} {first} -> {now} {second}"
    if len(look.changes) > _SHOWN:
        yield f"  and {len(look.changes) - _SHOWN} more questions that fare otherwise than at the start"


def _was(before: int, now: int) -> str:
    return "as at the start" if before == now else f"{before} at the start"
