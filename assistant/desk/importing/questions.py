"""A table of questions, each with its note where that is known."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.desk.importing.blocks import Left, kept
from assistant.desk.similar import nearest
from assistant.desk.skeleton import example_line
from assistant.errors import Fault, NotesError
from assistant.model import Note

__all__ = ["Asked", "read_questions", "settled"]

_OFFERED = 3
_HEAD = "question"


class Asked(NamedTuple):
    """One row: a question and what stands beside it, the id or the title of a note or nothing."""

    place: str
    line: int
    question: str
    note: str = ""
    rest: str = ""


def read_questions(text: str, place: str) -> list[Asked]:
    """Read ``question[,note]`` a row; a first row that says ``question`` is the head, ``;`` may stand for the comma.

    Raises
    ------
    NotesError
        With the line on which it is no such table.
    """
    first = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in first and "," not in first else ",")
    asked = []
    try:
        for row in rows:
            cells = [kept(cell) for cell in row]
            if not any(cells) or (rows.line_num == 1 and cells[0].casefold() == _HEAD):
                continue
            question, note, *rest = (*cells, "")
            asked.append(Asked(place, rows.line_num, question, note, " | ".join(filter(None, rest))))
    except csv.Error as error:
        raise NotesError([Fault(place, rows.line_num, f"is no table of questions: {error}")]) from error
    return asked


def settled(
    asked: Sequence[Asked], titles: Mapping[str, str], notes: Sequence[Note]
) -> tuple[dict[str, list[str]], list[Left]]:
    """Return the questions of each note that is named, and what found no place.

    Parameters
    ----------
    titles
        Id -> title of every note that questions may be put to.
    notes
        Those of the folder; of a question without a note the nearest three are told, with the cosine of TF-IDF vectors.
    """
    named = {title.casefold(): note for note, title in titles.items()} | {note: note for note in titles}
    questions: dict[str, list[str]] = {}
    left: list[Left] = []
    alone = []
    for one in asked:
        note = named.get(one.note.casefold(), "")
        if one.rest:
            left.append(Left(one.place, one.line, "more than a question and its note", one.rest))
        if note and example_line(one.question):
            questions.setdefault(note, []).append(one.question)
            if one.note.casefold() != note:
                left.append(Left(one.place, one.line, f"was read as the note {note}", one.note))
        else:
            alone.append(one)
    near = nearest([one.question for one in alone], notes, _OFFERED)
    for one, found in zip(alone, near, strict=True):
        if not example_line(one.question):
            what = "a note without a question"
        else:
            what = "no such note beside a question" if one.note else "a question without a note"
            offered = ", ".join(f"{other.note} {other.cosine:.2f}" for other in found)
            what += f" (near: {offered})" if offered else " (near no note)"
        left.append(Left(one.place, one.line, what, " | ".join(filter(None, (one.question, one.note)))))
    return questions, sorted(left, key=lambda one: (one.place, one.line))
