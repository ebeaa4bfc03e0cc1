"""What all recording rests on: one entry or none, taking back, cleaning what was typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any, TypeVar, cast

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.asked import open_visit
from assistant.journal.records import Act, Closing, Entry, Outcome, Record, Release, Sighting, Undo, Visit, Work
from assistant.journal.store import Journal, now, stamp
from assistant.languages import said
from assistant.model import Note, Trade
from assistant.visiting.rounds import StationState, states
from assistant.visiting.shops import read_shop, strays
from assistant.visiting.times import shown_time
from assistant.visiting.typed import MOST_CHARACTERS, label

__all__ = ["MOST_MINUTES_BACK", "Keeper", "NeedsReleaseError"]

MOST_MINUTES_BACK = 10
"""For so long an entry that took a station out of service may be a slip that is taken back."""
_NO_TRADE = Trade()
_INFORM, _WITHDRAW = "inform", "withdraw"
R = TypeVar("R", bound=Record)


class NeedsReleaseError(UsageError):
    """A station that was taken out of service cannot pass or be mended before somebody has released it."""

    def __init__(self, station: str, why: str) -> None:
        super().__init__(
            said(
                "{station} is out of service ({why}): it is put back only with who released it, "
                "when and under what number",
                station=station or said("the station"),
                why=why,
            )
        )
        self.station = station


class Keeper:
    """Writes entries into one journal, and takes the last one back.

    Parameters
    ----------
    journal
        An open journal; the caller closes it.
    trade
        Names the kinds of station that there are.
    harm
        Ids of the notes that deal with harm to somebody.
    clock
        Tells the time.
    """

    def __init__(
        self,
        journal: Journal,
        trade: Trade = _NO_TRADE,
        harm: frozenset[str] = frozenset(),
        *,
        clock: Callable[[], datetime] = now,
    ) -> None:
        self.journal = journal
        self.trade = trade
        self.harm = harm
        self._clock = clock
        self._entry: int | None = None

    @property
    def visit(self) -> Visit | None:
        """The visit that is open, or None."""
        return open_visit(self.journal)

    @property
    def today(self) -> date:
        """The day here."""
        return self._clock().astimezone().date()

    @contextmanager
    def entry(self, says: str) -> Iterator[None]:
        """Write all that is recorded inside as one entry, or nothing of it; inside of another entry, as part of that.

        Parameters
        ----------
        says
            What is entered, in words that are shown when it is to be taken back.
        """
        if self._entry is not None:
            yield
            return
        with self.journal.writing():
            self._entry = self._dated(Entry(printable(says)[:MOST_CHARACTERS], self._visit_id())).id
            try:
                yield
            finally:
                self._entry = None

    def last_entry(self) -> Entry | None:
        """Return the newest entry that stands, of the newest visit or after it; None where there is none."""
        visit = self.journal.last(Visit)
        newest = visit.id if visit else 0
        entry = self.journal.last(Entry)
        return entry if entry and (entry.visit or newest) >= newest else None

    def undo(self, shown: Entry | None = None) -> Entry:
        """Take back the last entry, by a record that says so, and return it.

        Parameters
        ----------
        shown
            The entry that was agreed to; whichever is the last where it is None.

        Raises
        ------
        UsageError
            If there is none, it is not the one shown, or a work that it began, or ended, has gone on since.
        """
        with self.journal.writing():
            entry = self.last_entry()
            if entry is None:
                raise UsageError(said("there is nothing to take back"))
            if shown and shown != entry:
                raise UsageError(
                    said("something else was recorded since, and nothing is taken back: {says}", says=entry.says)
                )
            if self.takes_out(entry) and self._is_past(entry):
                raise UsageError(
                    said(
                        "{says}: that is over {n} minutes ago, or the visit is closed; the station "
                        "is put back only with who released it, when and under what number",
                        says=entry.says,
                        n=MOST_MINUTES_BACK,
                    )
                )
            for work in self.journal.all(Work, entry=entry.id):
                if self._gone_on(work):
                    raise UsageError(
                        said(
                            "{says}: the work on it has gone on since; go back in it step by step, or end it",
                            says=entry.says,
                        )
                    )
            if any(self._led_on(outcome) for outcome in self.journal.all(Outcome, entry=entry.id)):
                raise UsageError(
                    said("{says}: what came after it has gone on since; record how it is now instead", says=entry.says)
                )
            self._dated(Undo(entry.id))
            return entry

    def takes_out(self, entry: Entry) -> bool:
        """Tell whether an entry took a station out of service."""
        seen = self.journal.all(Sighting, entry=entry.id, plays="danger")
        return bool(seen or self.journal.all(Outcome, entry=entry.id, outcome="withdrawn"))

    def _is_past(self, entry: Entry) -> bool:
        minutes = (self._clock() - datetime.fromisoformat(entry.at)).total_seconds() / 60
        return minutes > MOST_MINUTES_BACK or bool(entry.visit and self.journal.all(Closing, visit=entry.visit))

    def _gone_on(self, work: Work) -> bool:
        """Tell whether steps of a work stand done or skipped, or it led on to another."""
        acts = [act.act for act in self.journal.all(Act, work=work.id)]
        steps = acts.count("done") + acts.count("skipped") - acts.count("back")
        return steps > 0 or bool(self.journal.all(Work, parent=work.id))

    def _led_on(self, outcome: Outcome) -> bool:
        """Tell whether anything was done since in a work that a work which ended had led to, or was on the way of."""
        work = self.journal.get(Work, outcome.work)
        above = self.journal.all(Act, work=work.parent) if work and work.parent else []
        after: list[Act | Work] = [*above, *self.journal.all(Work, parent=outcome.work)]
        return any(record.at > outcome.at for record in after)

    def grave(self, work: Work) -> bool:
        """Tell whether a work takes a station out of service or deals with harm, so that it cannot just end mended."""
        return self._grave(work.note, work.action)

    def grave_note(self, note: Note) -> bool:
        """Tell whether a fault to which a note belongs takes its station out of service."""
        return self._grave(note.id, note.action)

    def _grave(self, note: str, action: str) -> bool:
        return action == _WITHDRAW or (note in self.harm and action != _INFORM)

    def out_of_service(self, station: str, work: Work | None = None) -> StationState | None:
        """Return how a station stands that was taken out of service, None where it was not.

        The shop is that of the work, or else of the visit that is open.
        """
        begun = self.journal.get(Visit, work.visit) if work and work.visit else None
        visit = begun or self.visit
        if visit is None:
            return None
        here = states(read_shop(self.journal, visit.store, station).happened)
        stand = here.get(station) or self._out_nowhere(station)
        return stand if stand and stand.state == "withdrawn" else None

    def _out_nowhere(self, station: str) -> StationState | None:
        """Return how a station stands that was taken out of service without a visit, while no shop is known for it."""
        placed = strays(self.journal, station)
        for work in reversed(self.journal.all(Work, visit=None, station=station) if station else []):
            end = self.journal.last(Outcome, work=work.id)
            released = any(one.visit is None for one in self.journal.all(Release, work=work.id))
            if end and end.outcome == "withdrawn" and work.id not in placed and not released:
                return StationState(station, "withdrawn", "", work.condition, work.note, end.at, end.at)
        return None

    def _add(self, record: R) -> R:
        self._check_stands(getattr(record, "work", None))
        replaced: Any = record._replace
        return self._dated(cast("R", replaced(entry=self._entry)))

    def _dated(self, record: R) -> R:
        return self.journal.add(cast("R", record._replace(at=stamp(self._clock()))))

    def _check_stands(self, work: int | None) -> None:
        """Raise `UsageError` where a work was taken back, which another window may have done."""
        if work is not None and self.journal.get(Work, work) is None:
            raise UsageError(said("the beginning of this work was taken back: begin it again"))

    def _may_play(self, station: str, work: Work | None = None) -> None:
        stand = self.out_of_service(station, work)
        if stand:
            since = said("since {time}", time=shown_time(stand.since))
            raise NeedsReleaseError(station, stand.condition or stand.note or since)

    def _visit_id(self) -> int | None:
        visit = self.visit
        return visit.id if visit else None

    def _here(self) -> int:
        visit = self.visit
        if visit is None:
            raise UsageError(said("no visit is open: open one first"))
        return visit.id

    @staticmethod
    def _station(station: str, work: Work | None) -> str:
        if station:
            return label(station, "station")
        return work.station if work else ""
