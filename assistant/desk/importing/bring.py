"""Old procedures and questions -> files in the folder of notes, all of them or none."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import chain, count
from pathlib import Path
from typing import NamedTuple

from assistant.desk.importing.assemble import Drafted, assembled
from assistant.desk.importing.blocks import Left
from assistant.desk.importing.questions import read_questions, settled
from assistant.desk.importing.sources import QUESTIONS, read_source, read_table, shown_name
from assistant.desk.skeleton import Draft, NewNote, draft_of, example_line, new_notes, stand_in
from assistant.errors import Fault, NotesError, UsageError
from assistant.model import Note, Trade
from assistant.notes.corpus import parse_corpus
from assistant.notes.trade import read_trade
from assistant.notes.writing import add_lines, put_back

__all__ = ["Brought", "bring"]

_ASKED_FOR = ("station", "action", "minutes")
_ID_WORDS = 4
_SMALL = frozenset(["a", "an", "and", "at", "by", "for", "from", "in", "is", "of", "on", "or", "the", "to", "with"])


class Brought(NamedTuple):
    """The new notes, the notes that got questions with how many, and what found no place."""

    notes: tuple[Path, ...]
    questions: tuple[tuple[Path, int], ...]
    left: tuple[Left, ...]


def bring(root: Path, files: Sequence[Path], given: Mapping[str, str], today: date) -> Brought:
    """Write draft notes and example questions; no file that is there is written over, and none stays if one fails.

    Parameters
    ----------
    given
        The ``area`` of the new notes, and their ``station``, ``action`` and ``minutes`` where they are known.

    Raises
    ------
    UsageError
        If the area is needed and not given, or one of the notes is there already.
    NotesError
        If a file cannot be read, or a note not be written.
    """
    trade = read_trade(root)
    notes = _notes(root)
    drafted: list[Drafted] = []
    left: list[Left] = []
    asked = []
    faults: list[Fault] = []
    for path in files:
        try:
            if path.suffix.lower() == QUESTIONS:
                asked += read_questions(read_table(path), shown_name(path))
            else:
                drafts, told = assembled(read_source(path))
                drafted += drafts
                left += told
        except NotesError as error:
            faults += error.faults
    if faults:
        raise NotesError(faults)
    made = _made(drafted, given, trade)
    titles = {note.id: note.title for note in notes} | {one.draft.id: one.draft.title for one in made}
    questions, alone = settled(asked, titles, notes)
    made = [one._replace(questions=tuple(questions.pop(one.draft.id, ()))) for one in made]
    paths = {root / note.path: note for note in notes if note.id in questions}
    with put_back(*map(_questions_of, paths)):
        added = [(path, _added(path, note, root, questions[note.id])) for path, note in paths.items()]
        written = new_notes(root, made, today) if made else []
    return Brought(tuple(written), tuple(added), (*left, *alone))


def _notes(root: Path) -> tuple[Note, ...]:
    """Return the notes that can be read; none in a folder that is begun with the import."""
    try:
        return parse_corpus(root).corpus.notes
    except NotesError:
        return ()


def _questions_of(path: Path) -> Path:
    return path.with_suffix(".questions.txt")


def _added(path: Path, note: Note, root: Path, questions: Iterable[str]) -> int:
    file = _questions_of(path)
    shown = file.relative_to(root).as_posix()
    count = add_lines(file, [example_line(question) for question in questions], shown=shown)
    if faults := [fault for fault in parse_corpus(root).faults if fault.path in (shown, note.path)]:
        raise NotesError(faults)
    return count


def _made(drafted: Sequence[Drafted], given: Mapping[str, str], trade: Trade) -> list[NewNote]:
    if drafted and not given.get("area"):
        raise UsageError(f"new notes need an area (--area): {', '.join(trade.areas)}")
    unsure = frozenset(field for field in _ASKED_FOR if field not in given)
    answers = {**stand_in(trade), **given}
    taken: set[str] = set()
    made = []
    for one in drafted:
        chosen = _id(given["area"], one.title, taken)
        taken.add(chosen)
        fixed = draft_of({**answers, "id": chosen, "title": "New note"}, trade)
        made.append(NewNote(Draft(**{**fixed._asdict(), "title": one.title}), one.content._replace(unsure=unsure)))
    return made


def _id(area: str, title: str, taken: Iterable[str]) -> str:
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode("ascii").lower()
    found = re.findall(r"[a-z0-9]+", plain.replace("'", ""))
    words = [word for word in found if word not in _SMALL][:_ID_WORDS] or found[:_ID_WORDS] or ["imported"]
    first = "-".join((area, *words))
    return next(each for each in chain([first], (f"{first}-{n}" for n in count(2))) if each not in taken)
