"""Questions that are labelled one after another: candidates, steps, marks, where one stands.

Nothing is drawn here. What is judged changes the state only after it is on the disk.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Protocol

from assistant.errors import UsageError
from assistant.evaluation.asked import Asked
from assistant.evaluation.judgements import Judgement
from assistant.journal.store import now, stamp
from assistant.model import Note
from assistant.tui.common.asking import Ask, Offer, line_number
from assistant.tui.common.contracts import NoteById

__all__ = ["Keeps", "Labelling", "Pools", "ordinal"]

_FOUND = 5


class Pools(Protocol):
    """Whatever offers notes for a question."""

    def pool(self, question_id: str, question: str) -> tuple[str, ...]:
        """Return the ids of the candidates, in the order in which they are shown."""

    def find(self, words: str, most: int) -> tuple[str, ...]:
        """Return the ids of the notes that fit some words, best first."""


class Keeps(Protocol):
    """Whatever keeps what is judged: a labeller's own file, or the labelled questions themselves."""

    path: Path

    def latest(self) -> dict[str, Judgement]:
        """Return what was judged before, by the id of the question."""

    def add(self, judgement: Judgement) -> None:
        """Keep a judgement; when this returns it is on the disk."""


def ordinal(number: int) -> str:
    """Return a place among others as it is said.

    >>> [ordinal(n) for n in (1, 2, 3, 4, 11, 21)]
    ['1st', '2nd', '3rd', '4th', '11th', '21st']
    """
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


class Labelling:
    """One labeller's way through the questions; it begins at the first that is not judged.

    Parameters
    ----------
    questions
        At least one.
    file
        Keeps what is judged.
    pools
        Offers the notes.
    note_by_id
        Returns a note of the pack.
    clock
        Tells the time.

    Raises
    ------
    UsageError
        If the file holds a judgement of a question under the id of another.
    """

    def __init__(
        self,
        questions: Sequence[Asked],
        file: Keeps,
        pools: Pools,
        note_by_id: NoteById,
        *,
        clock: Callable[[], datetime] = now,
    ) -> None:
        self._questions = questions
        self._file = file
        self._pools = pools
        self._note_by_id = note_by_id
        self._clock = clock
        self._latest = file.latest()
        for asked in questions:
            judged = self._latest.get(asked.id)
            if judged and judged.question != asked.question:
                raise UsageError(f"{file.path}: holds another question under the id '{asked.id}'; use a new file")
        self._shown: dict[str, list[str]] = {}
        self.ask: Ask | None = None
        self.opened: Note | None = None
        """The note whose steps are marked."""
        first = self._first_open()
        self.place = 0 if first is None else first
        """Which question is shown, from 0."""
        self.said = self._all_done() if first is None else ""

    @property
    def asked(self) -> Asked:
        """The question that is shown."""
        return self._questions[self.place]

    @property
    def judgement(self) -> Judgement:
        """What is judged on the question that is shown."""
        return self._judged(self.asked)

    @property
    def progress(self) -> str:
        """How many questions are done."""
        judged = [self._judged(asked) for asked in self._questions]
        done = sum(not judgement.is_open for judgement in judged)
        unsure = sum(judgement.mark == "unsure" for judgement in judged)
        end = ". All done." if done == len(judged) else ""
        return f"{done} of {len(judged)} done, {unsure} unsure{end}"

    @property
    def candidates(self) -> list[str]:
        """Ids of the notes that can be marked by number: the pool, and what was found besides."""
        asked = self.asked
        if asked.id not in self._shown:
            pooled = self._pools.pool(asked.id, asked.question)
            self._shown[asked.id] = list(dict.fromkeys((*pooled, *self.judgement.notes)))
        return self._shown[asked.id]

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        if self.opened:
            marked = self.judgement.steps.get(self.opened.id, ())
            return tuple(
                Offer(f"+ {step.text}" if step.n in marked else step.text, partial(self._step, step.n))
                for step in self.opened.steps
            )
        return tuple(Offer(self._line(note), partial(self._mark, note)) for note in self.candidates)

    @property
    def marked(self) -> int:
        """No line is taken by Enter alone, which goes on."""
        return 0

    @property
    def ticked(self) -> frozenset[int]:
        """Numbers of the lines of notes or steps that were chosen."""
        if self.ask:
            return frozenset()
        if self.opened:
            return frozenset(self.judgement.steps.get(self.opened.id, ()))
        notes = self.judgement.notes
        return frozenset(number for number, note in enumerate(self.candidates, start=1) if note in notes)

    @property
    def question(self) -> str:
        """What the line takes now."""
        if self.ask:
            return self.ask.question
        if self.opened:
            return "Number of a step to mark; Enter alone: back"
        return "Number of a note, or words to find one; Enter alone: next"

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, words of a note, or nothing to go on."""
        number = line_number(text, len(self.offers))
        if number:
            self.pick(number)
        elif self.ask:
            self.ask = self._find(text)
        elif self.opened:
            if text:
                raise UsageError("type the number of a step, or Enter alone to go back")
            self.opened = None
        elif text:
            self.ask = self._find(text)
        elif self.judgement.is_open:
            raise UsageError("mark a note, or uncovered, or unsure; or go to the next question")
        else:
            self.next()

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()

    def cancel(self) -> bool:
        """Drop the question on the line, or else close the note, and tell whether there was either."""
        if self.ask:
            self.ask = None
            return True
        opened, self.opened = self.opened, None
        return opened is not None

    def uncovered(self) -> None:
        """Judge that no note answers the question, or take that back."""
        before = self.judgement
        if before.mark == "uncovered":
            self._judge(before._replace(mark=""), "No longer uncovered.")
            return
        count = len(before.notes)
        cleared = f" {count} marked note{'' if count == 1 else 's'} cleared." if count else ""
        self._judge(before._replace(notes=(), steps={}, mark="uncovered"), f"Uncovered: no note answers it.{cleared}")

    def unsure(self) -> None:
        """Leave the question out of the labels, or take that back."""
        before = self.judgement
        if before.mark == "unsure":
            self._judge(before._replace(mark=""), "No longer unsure.")
            return
        no_longer = " No longer uncovered." if before.mark == "uncovered" else ""
        self._judge(before._replace(mark="unsure"), f"Unsure: left out of the labels.{no_longer}")

    def steps(self) -> None:
        """Open the note that was last marked, or close it."""
        if self.opened:
            self._turn(self.place)
            return
        if not self.judgement.notes:
            raise UsageError("mark a note first: its steps are marked after it")
        last = self.judgement.notes[-1]
        note = self._note_by_id(last)
        if note is None:
            raise UsageError(f"the note '{last}' is not in this pack")
        self.ask = None
        self.opened = note

    def next(self) -> None:
        """Go to the next question; at the last one, say what is left."""
        if self.place + 1 < len(self._questions):
            self._turn(self.place + 1)
            return
        self._turn(self.place)
        first = self._first_open()
        self.said = self._all_done() if first is None else f"This was the last. Question {first + 1} is still open."

    def previous(self) -> None:
        """Go to the question before."""
        if not self.place:
            raise UsageError("this is the first question")
        self._turn(self.place - 1)

    def first_open(self) -> None:
        """Go to the first question that is not judged; where there is none, say so."""
        first = self._first_open()
        if first is None:
            self.said = self._all_done()
        else:
            self._turn(first)

    def note_line(self, note_id: str) -> str:
        """Return title, kinds of station and action of a note on one line."""
        note = self._note_by_id(note_id)
        if note is None:
            return f"{note_id} (not in this pack)"
        return f"{note.title} ({', '.join(note.station)}; {note.action})"

    def _line(self, note_id: str) -> str:
        notes = self.judgement.notes
        place = f"+ {ordinal(notes.index(note_id) + 1)}: " if note_id in notes else ""
        return f"{place}{self.note_line(note_id)}"

    def _judged(self, asked: Asked) -> Judgement:
        return self._latest.get(asked.id) or Judgement(asked.id, asked.question)

    def _first_open(self) -> int | None:
        return next((n for n, asked in enumerate(self._questions) if self._judged(asked).is_open), None)

    def _all_done(self) -> str:
        count = len(self._questions)
        return f"All done: {count} question{'' if count == 1 else 's'}. The labels are in {self._file.path}"

    def _turn(self, place: int) -> None:
        self.place = place
        self.ask = None
        self.opened = None

    def _judge(self, judgement: Judgement, said: str) -> None:
        judgement = judgement._replace(at=stamp(self._clock()))
        self._file.add(judgement)
        self._latest[judgement.id] = judgement
        self._turn(self.place)
        self.said = said

    def _mark(self, note_id: str) -> None:
        before = self.judgement
        if note_id in before.notes:
            notes = tuple(note for note in before.notes if note != note_id)
            steps = {note: numbers for note, numbers in before.steps.items() if note != note_id}
            self._judge(before._replace(notes=notes, steps=steps), f"Taken back: {self.note_line(note_id)}")
            return
        notes = (*before.notes, note_id)
        also = {"uncovered": " No longer uncovered.", "unsure": " Still unsure."}.get(before.mark, "")
        said = f"Marked {ordinal(len(notes))}: {self.note_line(note_id)}.{also}"
        mark = "" if before.mark == "uncovered" else before.mark
        self._judge(before._replace(notes=notes, mark=mark), said)

    def _step(self, number: int) -> None:
        opened, before = self.opened, self.judgement
        if opened is None:
            return
        steps = dict(before.steps)
        numbers = set(steps.pop(opened.id, ())) ^ {number}
        if numbers:
            steps[opened.id] = tuple(sorted(numbers))
        did = "Marked" if number in numbers else "Taken back"
        self._judge(before._replace(steps=steps), f"{did}: step {number}")
        self.opened = opened

    def _find(self, text: str) -> Ask:
        if not text:
            raise UsageError("type words of the note, or press Esc")
        named = text.lower()
        notes = (named,) if self._note_by_id(named) else self._pools.find(text, _FOUND)
        if not notes:
            raise UsageError("no note fits these words: type others, or press Esc")
        offers = tuple(Offer(self._line(note), partial(self._take_found, note)) for note in notes)
        return Ask("Which note? Its number, or other words", self._find, offers)

    def _take_found(self, note_id: str) -> None:
        if note_id not in self.candidates:
            self.candidates.append(note_id)
        if note_id in self.judgement.notes:
            self.said = f"Marked already: {self.note_line(note_id)}"
        else:
            self._mark(note_id)
