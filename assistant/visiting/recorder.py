"""What a rep records on a visit: the one way from screen and command line into the journal.

Everything that is typed is made printable, measured and refused in words before it is stored. What a method returns is
on the disk, unless it was called inside of `Recorder.entry`: then all of the entry is on the disk once that is left, or
nothing of it.
"""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from math import isfinite

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.asked import record_question
from assistant.journal.records import (
    OUTCOMES,
    RESULTS,
    TOLD_OUTCOMES,
    VERDICTS,
    Act,
    Arrival,
    Closing,
    Feedback,
    Outcome,
    OutcomeName,
    Plays,
    Question,
    Release,
    Result,
    Sighting,
    Signed,
    SwitchedOff,
    VerdictName,
    Visit,
    Work,
)
from assistant.journal.store import stamp
from assistant.languages import said
from assistant.model import Answer, Note
from assistant.visiting.extras import Extras
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.times import shown_time
from assistant.visiting.typed import clean, day_of, label, one_of
from assistant.visiting.walk import Walk, after, begin, replay
from assistant.visiting.words import outcome_word, place_of

__all__ = ["LONGEST_PAUSE", "MENDED", "MOST_MINUTES", "Recorder", "check_minutes", "spent_minutes"]

MOST_MINUTES = 480
LONGEST_PAUSE = 30.0
"""Minutes; a longer time between two acts counts as having been away, and not as work."""
MENDED = frozenset({"mended", "replaced"})
"""Outcomes after which a station plays."""
_LEAVES_IT = frozenset({"escalated", "not_mended"})


def spent_minutes(times: list[str]) -> float:
    """Return the minutes between the first and the last of some times in order, without pauses over `LONGEST_PAUSE`."""
    moments = [datetime.fromisoformat(time) for time in times]
    gaps = [(later - earlier).total_seconds() / 60 for earlier, later in pairwise(moments)]
    return round(sum(gap for gap in gaps if 0 <= gap <= LONGEST_PAUSE), 2)


def check_minutes(minutes: float) -> None:
    """Raise `UsageError` where the minutes of a work are out of range."""
    if not (isfinite(minutes) and 0 <= minutes <= MOST_MINUTES):
        raise UsageError(said("minutes must be 0 to {most}", most=MOST_MINUTES))


class Recorder(Extras):
    """Records one rep's visits in one journal."""

    def open_visit(self, store: str, rep: str = "") -> Visit:
        """Open a visit.

        Raises
        ------
        UsageError
            If one is open, or no shop is named.
        """
        with self.journal.writing():
            visit = self.visit
            if visit:
                raise UsageError(
                    said(
                        "the visit at {store} is still open since {time}: close it first",
                        store=visit.store,
                        time=shown_time(visit.at),
                    )
                )
            store = label(store, "shop")
            with self.entry(said("visit at {store} opened", store=store)):
                return self._add(Visit(store, clean(rep, "rep", needed=False)))

    def close_visit(
        self, remark: str = "", *, taken_by: str = "", signed: Signed = "", next_visit: str = ""
    ) -> Closing:
        """Close the visit that is open; works that have not ended stay open.

        Parameters
        ----------
        taken_by
            Who of the store took the visit over.
        signed
            How the store signed: the name typed, a line on paper, or not.
        next_visit
            The day of the next visit, ISO 8601.
        """
        with self.entry(said("visit closed")):
            closing = Closing(self._here(), clean(remark, "remark", needed=False))
            taken_by = clean(taken_by, "name", needed=signed == "typed")
            return self._add(closing._replace(taken_by=taken_by, signed=signed, next_visit=day_of(next_visit)))

    def arrive(self, allowed_by: str, remark: str = "") -> Arrival:
        """Record who of the store gave permission for the work."""
        with self.entry(said("permission by {name}", name=printable(allowed_by))):
            return self._add(Arrival(self._here(), clean(allowed_by, "name"), clean(remark, "remark", needed=False)))

    def switched_off(self, station: str, reason: str = "") -> SwitchedOff:
        """Record that the staff had switched a station off, and why."""
        station = label(station, "station")
        with self.entry(said("{station}: switched off by the staff", station=station)):
            return self._add(SwitchedOff(self._here(), station, clean(reason, "reason", needed=False)))

    def see(
        self, station: str, result: Result, *, model: str = "", condition: str = "", note: str = "", plays: Plays = ""
    ) -> Sighting:
        """Record that a station passed, or showed a fault, on the round of the visit that is open.

        Raises
        ------
        NeedsReleaseError
            If it is out of service and is to pass.
        UsageError
            If a work on it stands open and it is to pass, or something is missing.
        """
        one_of(result, RESULTS, "result")
        if model:
            one_of(model, tuple(self.trade.stations), "kind of station")
        station = label(station, "station")
        fault = result == "fault"
        condition = clean(condition, "fault", needed=fault and not note)
        told = condition or note if fault else said("pass")
        with self.entry(f"{station}: {told}"):
            visit = self._here()
            if not fault:
                self._may_play(station)
                work = self.open_work(station)
                if work:
                    raise UsageError(
                        said(
                            "{station}: the work '{title}' stands open: end it first, and say how it ended",
                            station=station,
                            title=work.title,
                        )
                    )
            return self._add(Sighting(visit, station, result, model, condition, note, plays))

    def begin(self, note: Note, *, station: str = "", condition: str = "", parent: int | None = None) -> Work:
        """Record that work through a note begins; inside of a visit where one is open."""
        station = label(station, "station") if station else ""
        condition = clean(condition, "fault", needed=False)
        work = Work(note.id, note.title, note.action, note.revision, note.minutes, station, condition)
        with self.journal.writing():
            self._check_stands(parent)
            return self._add(work._replace(visit=self._visit_id(), parent=parent))

    def take_up(self, note: Note, *, station: str = "", condition: str = "") -> Work:
        """Return the work through a note that stands open on a station, or begin it where none does."""
        station = label(station, "station") if station else ""
        with self.journal.writing():
            for work in self.open_works():
                if (work.note, work.station) == (note.id, station) and work.visit in {None, self._visit_id()}:
                    return work
            with self.entry(said("{place}: {title}, begun", place=place_of(station), title=note.title)):
                return self.begin(note, station=station, condition=condition)

    def act(self, walk: Walk, act: Act) -> Walk:
        """Record an act and return the state after it; `UsageError` where the work has ended, or was taken back."""
        with self.journal.writing():
            self._check_stands(act.work)
            if self.journal.all(Outcome, work=act.work):
                raise UsageError(said("this work has ended already"))
            added = self._dated(act._replace(reason=clean(act.reason, "reason", needed=False)))
        return after(walk, added)

    def end(self, work: Work, outcome: OutcomeName, *, minutes: float | None = None, remark: str = "") -> Outcome:
        """Record how a work ended; the minutes it took are counted from its acts where they are not told.

        A station whose work was grave, see `grave`, is out of service then, however the work ended.

        Raises
        ------
        NeedsReleaseError
            If its station is out of service, or the note takes it out of service or deals with harm, and it is to end
            mended though nobody has released the station since.
        UsageError
            If it has ended already, or something is out of range.
        """
        one_of(outcome, OUTCOMES, "outcome")
        if minutes is not None:
            check_minutes(minutes)
        with self.journal.writing():
            if self.journal.all(Outcome, work=work.id):
                raise UsageError(said("the work '{title}' has ended already", title=work.title))
            if outcome in MENDED:
                self._may_be_mended(work)
            if minutes is None:
                acts = [act.at for act in self.journal.all(Act, work=work.id)]
                minutes = min(spent_minutes([work.at, *acts, stamp(self._clock())]), float(MOST_MINUTES))
            ended = Outcome(work.id, outcome, minutes, clean(remark, "remark", needed=False))
            if outcome not in TOLD_OUTCOMES:
                return self._add(ended)
            with self.entry(f"{place_of(work.station)}: {work.title}: {outcome_word(outcome)}"):
                visit = self._visit_id()
                if outcome in _LEAVES_IT and visit and self.grave(work) and not self._is_out(work):
                    condition = work.condition or work.title
                    self._add(Sighting(visit, work.station, "fault", "", condition, work.note, "danger"))
                return self._add(ended)

    def open_work(self, station: str) -> Work | None:
        """Return the newest work that stands open on a station of the shop of the visit, None where there is none."""
        visit = self.visit
        works = reversed(self.journal.at_shop(Work, visit.store, station=station)) if visit else ()
        return next((work for work in works if not self.journal.all(Outcome, work=work.id)), None)

    def open_works(self) -> list[Work]:
        """Return the works that have not ended, newest first."""
        return self.journal.unnamed(Work, Outcome)

    def walk_of(self, work: Work, note: Note) -> Walk:
        """Return where a work stands; at its beginning where the note has been revised since."""
        if note.revision != work.revision:
            return begin(note, work.id)
        return replay(note, self.journal.all(Act, work=work.id), work.id)

    def question(self, answer: Answer) -> Question:
        """Record a question and what was answered."""
        return record_question(self.journal, answer, at=stamp(self._clock()))

    def judge(self, question: Question, verdict: VerdictName, remark: str = "") -> Feedback:
        """Record whether an answer helped."""
        one_of(verdict, VERDICTS, "verdict")
        return self._dated(Feedback(question.id, verdict, clean(remark, "remark", needed=False)))

    def _is_out(self, work: Work) -> bool:
        return not work.station or self.out_of_service(work.station, work) is not None

    def _may_be_mended(self, work: Work) -> None:
        self._may_play(work.station, work)
        if self.grave(work) and not self.journal.all(Release, work=work.id):
            raise NeedsReleaseError(work.station, work.title)
