"""The shop in which a visit is to be opened, as the screen offers it."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from assistant.errors import UsageError
from assistant.journal.records import Visit
from assistant.languages import said, said_of
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.visit.forms import Field, Marked, form, name_typed
from assistant.visiting.entries import UnknownError, open_shop
from assistant.visiting.labels import find_store
from assistant.visiting.open_points import left_open
from assistant.visiting.plan import PlannedShop, plan
from assistant.visiting.recorder import Recorder
from assistant.visiting.times import shown_day

__all__ = ["AtShop", "unknown"]

_SHOWN = 9
_REP = re.compile(r"rep\s+(.+)", re.IGNORECASE)


def unknown(error: UnknownError, what: str, new: Callable[[], Ask | None], known: Callable[[str], Ask | None]) -> Ask:
    """Ask what is meant by a label or a code that is not known; a new one is marked where none is like it."""
    first = (Offer if error.near else Marked)(said("A new {what}: {label}", what=what, label=error.label), new)
    offers = (first, *(Offer(near, partial(known, near)) for near in error.near))
    return Ask(said("{label} is not known here.", label=error.label), None, offers, holds=True)


class AtShop:
    """Opens a visit.

    Parameters
    ----------
    recorder
        Records it.
    opened
        Is given the visit once it is open, and what is to be said of it; returns the question that follows.
    """

    def __init__(self, recorder: Recorder, opened: Callable[[Visit, str], Ask | None]) -> None:
        self._recorder = recorder
        self._opened = opened
        self.rep = ""
        self._known_rep = False
        self.look()

    def look(self) -> None:
        """Read the shops and the rep's name from the journal."""
        visits = self._recorder.journal.all(Visit)
        if visits and not self._known_rep:
            self.rep = visits[-1].rep
            self._known_rep = True
        planned = plan(self._recorder.journal, self._recorder.today)
        due = {row.store: row for row in planned}
        last = dict.fromkeys(visit.store for visit in reversed(visits))
        first = [row.store for row in planned if row.due]
        self._shops = [(store, due.get(store)) for store in list(dict.fromkeys((*first, *last)))[:_SHOWN]]

    def forget(self) -> None:
        """Drop the name that was typed: whoever visited last is the rep, and where nobody did it is asked again."""
        self.rep, self._known_rep = "", False
        self.look()

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The shops: those that are due first, then the latest; none is marked, so that none is taken by accident."""
        return tuple(Offer(_words(store, row), partial(self.open, store)) for store, row in self._shops)

    def take(self, text: str) -> Ask | None:
        """Take the code of a shop, or who visits."""
        named = _REP.fullmatch(text)
        if named:
            self.rep, self._known_rep = name_typed(named[1]), True
            return None
        if not text:
            raise UsageError(said("type the code of the shop, such as S-014, or the number of a line"))
        return self.open(text)

    def open(self, code: str, *, new: bool = False) -> Ask | None:
        """Open the visit, after asking what is not known: whether the shop is new, and who visits."""
        if not self._known_rep:
            find_store(code, ())
            who = Field(said("Who visits? May be empty"), read=name_typed)
            return form((who,), lambda answers: self._named(code, answers[0]))
        try:
            visit = open_shop(self._recorder, code, self.rep, new=new)
        except UnknownError as error:
            return unknown(error, said("shop"), partial(self.open, error.label, new=True), self.open)
        left = left_open(self._recorder.journal, visit.store, before_visit=visit.id)
        told = (
            said_of("{n} open point from before", "{n} open points from before", len(left))
            if left
            else said("nothing is open from before")
        )
        return self._opened(visit, said("The visit at {store} is open: {told}.", store=visit.store, told=told))

    def _named(self, code: str, rep: str) -> Ask | None:
        self.rep, self._known_rep = rep, True
        return self.open(code)


def _words(store: str, row: PlannedShop | None) -> str:
    if row is None:
        return said("{store}: nothing is open", store=store)
    told = [said_of("{n} open point", "{n} open points", len(row.points))] if row.points else []
    if row.due:
        told.append(
            said("due {shown_day}{told}", shown_day=shown_day(row.due), told=said(", overdue") if row.overdue else "")
        )
    return f"{store}: {', '.join(told)}"
