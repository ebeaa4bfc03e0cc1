"""What a rep records on a visit: the one way from screen and command line into the journal.

Everything that is typed is made printable, measured and refused in words before it is stored. What a method returns is
on the disk.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from pathlib import PurePosixPath, PureWindowsPath
from typing import TypeVar, cast

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.asked import open_visit, record_question
from assistant.journal.records import (
    OUTCOMES,
    RESULTS,
    USES,
    VERDICTS,
    Act,
    Closing,
    Escalation,
    Feedback,
    Outcome,
    OutcomeName,
    Part,
    Photo,
    Question,
    Record,
    Remark,
    Result,
    Sighting,
    Use,
    VerdictName,
    Visit,
    Work,
)
from assistant.journal.store import Journal, now, stamp
from assistant.model import Answer, Note, Trade
from assistant.visiting.walk import Walk, after, begin, replay

__all__ = ["LONGEST_PAUSE", "MOST_CHARACTERS", "Recorder", "counted_part", "spent_minutes"]

MOST_CHARACTERS = 2000
LONGEST_PAUSE = 30.0
"""Minutes; a longer time between two acts counts as having been away, and not as work."""
_MOST_QUANTITY = 999
_NO_TRADE = Trade()
_QUANTITY = re.compile(r"\s*([0-9]{1,6})\s+(?:x\s+)?(\S.*)")
R = TypeVar("R", bound=Record)


def spent_minutes(times: list[str]) -> float:
    """Return the minutes between the first and the last of some times in order, without pauses over `LONGEST_PAUSE`."""
    moments = [datetime.fromisoformat(time) for time in times]
    gaps = [(later - earlier).total_seconds() / 60 for earlier, later in pairwise(moments)]
    return round(sum(gap for gap in gaps if 0 <= gap <= LONGEST_PAUSE), 2)


def counted_part(text: str) -> tuple[int, str]:
    """Return how many and the name of a part as it is typed: ``pad``, ``2 pad`` or ``2 x pad``.

    Raises
    ------
    UsageError
        If there is a number alone.
    """
    if text.strip().isdigit():
        raise UsageError("name the part too, such as: 2 pad")
    counted = _QUANTITY.fullmatch(text)
    return (int(counted[1]), counted[2]) if counted else (1, text)


class Recorder:
    """Records one rep's visits in one journal.

    Parameters
    ----------
    journal
        An open journal; the caller closes it.
    trade
        Names the kinds of station that there are.
    clock
        Tells the time.
    """

    def __init__(self, journal: Journal, trade: Trade = _NO_TRADE, *, clock: Callable[[], datetime] = now) -> None:
        self.journal = journal
        self.trade = trade
        self._clock = clock

    @property
    def visit(self) -> Visit | None:
        """The visit that is open, or None."""
        return open_visit(self.journal)

    def open_visit(self, store: str, rep: str = "") -> Visit:
        """Open a visit.

        Raises
        ------
        UsageError
            If one is open, or no shop is named.
        """
        visit = self.visit
        if visit:
            raise UsageError(f"the visit at {visit.store} is still open since {visit.at}: close it first")
        return self._add(Visit(_label(store, "shop"), _text(rep, "rep", needed=False)))

    def close_visit(self, remark: str = "") -> Closing:
        """Close the visit that is open; works that have not ended stay open."""
        return self._add(Closing(self._here(), _text(remark, "remark", needed=False)))

    def see(self, station: str, result: Result, *, model: str = "", condition: str = "", note: str = "") -> Sighting:
        """Record that a station passed, or showed a fault, on the round of the visit that is open."""
        _one_of(result, RESULTS, "result")
        if model:
            _one_of(model, tuple(self.trade.stations), "kind of station")
        fault = result == "fault"
        condition = _text(condition, "fault", needed=fault and not note)
        return self._add(Sighting(self._here(), _label(station, "station"), result, model, condition, note))

    def begin(self, note: Note, *, station: str = "", condition: str = "", parent: int | None = None) -> Work:
        """Record that work through a note begins; inside of a visit where one is open."""
        station = _label(station, "station") if station else ""
        condition = _text(condition, "fault", needed=False)
        work = Work(note.id, note.title, note.action, note.revision, note.minutes, station, condition)
        return self._add(work._replace(visit=self._visit_id(), parent=parent))

    def act(self, walk: Walk, act: Act) -> Walk:
        """Record an act and return the state after it."""
        added = self._add(act._replace(reason=_text(act.reason, "reason", needed=False)))
        return after(walk, added)

    def end(self, work: Work, outcome: OutcomeName, *, minutes: float | None = None, remark: str = "") -> Outcome:
        """Record how a work ended; the minutes it took are counted from its acts where they are not told.

        Raises
        ------
        UsageError
            If it has ended already.
        """
        _one_of(outcome, OUTCOMES, "outcome")
        if self.journal.all(Outcome, work=work.id):
            raise UsageError(f"the work on {work.note} has ended already")
        if minutes is None:
            acts = [act.at for act in self.journal.all(Act, work=work.id)]
            minutes = spent_minutes([work.at, *acts, stamp(self._clock())])
        return self._add(Outcome(work.id, outcome, minutes, _text(remark, "remark", needed=False)))

    def open_works(self) -> list[Work]:
        """Return the works that have not ended, newest first."""
        ended = {outcome.work for outcome in self.journal.all(Outcome)}
        return [work for work in reversed(self.journal.all(Work)) if work.id not in ended]

    def walk_of(self, work: Work, note: Note) -> Walk:
        """Return where a work stands; at its beginning where the note has been revised since."""
        if note.revision != work.revision:
            return begin(note, work.id)
        return replay(note, self.journal.all(Act, work=work.id), work.id)

    def part(self, part: str, use: Use, *, quantity: int = 1, station: str = "", work: Work | None = None) -> Part:
        """Record that a part was used, or is wanted."""
        _one_of(use, USES, "use")
        if not 1 <= quantity <= _MOST_QUANTITY:
            raise UsageError(f"quantity must be 1 to {_MOST_QUANTITY}")
        record = Part(_text(part, "part").lower(), use, quantity, self._station(station, work))
        return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def escalate(
        self,
        reason: str,
        *,
        station: str = "",
        job: str = "",
        contact: str = "",
        due: str = "",
        work: Work | None = None,
    ) -> Escalation:
        """Record that a fault was handed to the support desk."""
        record = Escalation(
            _text(reason, "reason"),
            self._station(station, work),
            work.note if work else "",
            _text(job, "job number", needed=False),
            _text(contact, "contact", needed=False),
            _text(due, "date", needed=False),
        )
        return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def photo(self, name: str, *, station: str = "", shows: str = "", work: Work | None = None) -> Photo:
        """Record that a picture was taken; of a path, the file name alone is kept."""
        name = PurePosixPath(PureWindowsPath(_text(name, "picture")).name).name
        if name in {"", ".", ".."}:
            raise UsageError("name the file of the picture")
        record = Photo(name, self._station(station, work), _text(shows, "picture", needed=False))
        return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def remark(self, text: str, *, station: str = "", work: Work | None = None) -> Remark:
        """Record free text."""
        record = Remark(_text(text, "remark"), self._station(station, work))
        return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def question(self, answer: Answer) -> Question:
        """Record a question and what was answered."""
        return record_question(self.journal, answer, at=stamp(self._clock()))

    def judge(self, question: Question, verdict: VerdictName, remark: str = "") -> Feedback:
        """Record whether an answer helped."""
        _one_of(verdict, VERDICTS, "verdict")
        return self._add(Feedback(question.id, verdict, _text(remark, "remark", needed=False)))

    def _add(self, record: R) -> R:
        return self.journal.add(cast("R", record._replace(at=stamp(self._clock()))))

    def _visit_id(self) -> int | None:
        visit = self.visit
        return visit.id if visit else None

    def _here(self) -> int:
        visit = self.visit
        if visit is None:
            raise UsageError("no visit is open: open one first")
        return visit.id

    @staticmethod
    def _station(station: str, work: Work | None) -> str:
        if station:
            return _label(station, "station")
        return work.station if work else ""


def _text(text: str, what: str, *, needed: bool = True) -> str:
    made = printable(text)
    if needed and not made:
        raise UsageError(f"the {what} is empty")
    if len(made) > MOST_CHARACTERS:
        raise UsageError(f"the {what} is longer than {MOST_CHARACTERS} characters")
    return made


def _label(text: str, what: str) -> str:
    return _text(text, what).upper()


def _one_of(value: str, known: tuple[str, ...], what: str) -> None:
    if value not in known:
        raise UsageError(f"{what} must be one of {', '.join(known)}")
