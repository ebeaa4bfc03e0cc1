"""``assistant corpus show``: a note as a rep would see it, before it is compiled."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.analysis.tokens import printable
from assistant.cli.common import add_eval, add_places, notes_folder, places_of, say, with_extra
from assistant.cli.output import answer_text, terminal_width
from assistant.errors import ExitCode, UsageError
from assistant.wording import counted

if TYPE_CHECKING:
    from assistant.checking.rule import Book
    from assistant.desk.preview import Fought, Preview
    from assistant.evaluation.labels import LabelledQuestion
    from assistant.model import Note, Trade

__all__ = ["add_show", "card_text"]

_SHOWN = 12


def add_show(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    shown = acts.add_parser(
        "show",
        help="a note as a rep would see it, before it is compiled",
        description="Draw the card of a note's file, tell its findings and its phrases, and which questions it wins "
        "and loses against the compiled pack. The card comes at once, the questions after its class is learned.",
    )
    shown.add_argument("file", metavar="FILE", help="the file of a note, in the folder of notes or not, or its id")
    add_eval(shown)
    shown.add_argument("--card", action="store_true", help="the card and the findings alone")
    add_places(shown, argparse.SUPPRESS)
    shown.set_defaults(run=with_extra("showing a note", _show))


def card_text(note: Note, trade: Trade) -> str:
    """Return the card of a note in the width of the terminal."""
    from assistant.checking.as_seen import answer_of

    draft = f"DRAFT, in no pack: {note.draft}\n\n" if note.draft else ""
    return draft + answer_text(answer_of(note, trade), terminal_width())


def _show(options: argparse.Namespace) -> int:
    from assistant.checking.book import read_book
    from assistant.checking.check import check, narrowed
    from assistant.checking.output import findings_text
    from assistant.checking.registry import all_rules
    from assistant.checking.switched import kept_rules
    from assistant.notes.corpus import beside
    from assistant.notes.trade import read_trade

    root = notes_folder(options)
    note, texts = beside(_file(root, options.file))
    print(card_text(note, read_trade(root)), flush=True)
    book = _with_note(read_book(root, datetime.now().astimezone().date(), progress=say), note, texts)
    rules = [rule for rule in kept_rules(book, all_rules()) if not rule.across]
    found = check(narrowed(book, note), rules)
    if found:
        print(findings_text(found, root))
    print(f"{len(found) or 'nothing'} found by the {len(rules)} rules that look at one note alone")
    print("\n".join(_phrase_lines(note)), flush=True)
    if not options.card:
        print("\n".join(_fought_lines(_previewed(options, book, note))))
    return ExitCode.DONE


def _file(root: Path, name: str) -> Path:
    """Return the file of a note that is named, or whose id is.

    Raises
    ------
    UsageError
        If there is none.
    """
    path = Path(name)
    if re.fullmatch(r"[a-z0-9-]+", name):
        path = root / name.partition("-")[0] / f"{name}.md"
    if path.suffix != ".md" or not path.is_file():
        raise UsageError(f"no note '{printable(name)[:60]}', and no file of a note")
    return path


def _with_note(book: Book, note: Note, texts: Mapping[str, tuple[str, ...]]) -> Book:
    """Return the book with a note in place of the one that has its id, where there is one."""
    notes = (*(other for other in book.corpus.notes if other.id != note.id), note)
    corpus = book.corpus._replace(notes=tuple(sorted(notes, key=lambda one: one.id)))
    return book._replace(corpus=corpus, texts={**book.texts, **texts})


def _phrase_lines(note: Note) -> Iterator[str]:
    phrases = note.phrases
    pairs = len(phrases.things) * len(phrases.troubles)
    told = f"{counted(len(phrases.plain), 'plain line')}, {counted(pairs, 'pair')}"
    yield f"Phrases: {told}, {len(phrases.not_this)} that are another note's"
    yield from (f"  {printable(line)}" for line in phrases.plain)
    if pairs:
        yield "  " + printable(f"{', '.join(phrases.things)} | {', '.join(phrases.troubles)}")


def _previewed(options: argparse.Namespace, book: Book, note: Note) -> Preview:
    from assistant.compiling.fresh import compile_now
    from assistant.compiling.settings import corpus_settings
    from assistant.desk.preview import preview
    from assistant.pack.reader import Pack

    places = places_of(options)
    if not places.pack.exists():
        say(f"{places.pack}: not there, so that all notes are compiled once")
        compile_now(places._replace(corpus=notes_folder(options)), say)
    with Pack(places.pack) as pack:
        return preview(note, book.corpus, pack, _questions(options.eval), corpus_settings(notes_folder(options)), say)


def _questions(folder: str) -> list[LabelledQuestion]:
    from assistant.cli.scoring import TUNE
    from assistant.evaluation.labels import read_questions

    path = Path(folder, "questions.jsonl")
    return [question for question in read_questions(path) if question.split == TUNE] if path.exists() else []


def _fought_lines(found: Preview) -> Iterator[str]:
    near = counted(found.asked, "question that comes near it", "questions that come near it")
    yield f"Learned from {found.lines} lines; {near} asked"
    yield from _listed("Wins", found.won)
    yield from _listed("Loses", found.lost)
    yield from _listed("Its own, and another's before and now", found.lacking)


def _listed(title: str, rows: Sequence[Fought]) -> Iterator[str]:
    yield f"{title}: {len(rows)}"
    for one in rows[:_SHOWN]:
        right = "its own example" if one.own else f"right: {', '.join(one.relevant) or 'no note'}"
        yield "  " + printable(f"{one.question} | {one.before or 'no note'} -> {one.after or 'no note'} ({right})")
    if len(rows) > _SHOWN:
        yield f"  and {len(rows) - _SHOWN} more"
