"""What an entry means, for screen and command line alike: each is recorded whole, or refused and not at all."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import (
    OUTCOMES,
    Escalation,
    Outcome,
    OutcomeName,
    Plays,
    Record,
    Sighting,
    Visit,
    Work,
)
from assistant.languages import said, said_of
from assistant.model import Answer, Note
from assistant.visiting.days import read_day
from assistant.visiting.labels import Found, find_station, find_store, mistaken_for, shown_few
from assistant.visiting.open_points import DESK
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.rounds import stations_of
from assistant.visiting.typed import one_of
from assistant.visiting.words import outcome_word, place_of

__all__ = [
    "Handed",
    "Released",
    "UnknownError",
    "danger_of",
    "end_work",
    "fault",
    "hand_over",
    "open_shop",
    "pass_rest",
    "pass_station",
    "release_and_pass",
    "release_told",
    "rest_of",
    "see_fault",
    "station_of",
    "still_out",
    "why_not",
]


_MAY_PASS = frozenset({"plays", "not_checked"})


class UnknownError(UsageError):
    """A label or a code is not known here; ``near`` are known ones that it may be a slip of."""

    def __init__(self, found: Found, what: str, known: tuple[str, ...]) -> None:
        if found.near:
            told = said(
                "{label} is not known here; did you mean {near}?", label=found.label, near=said(" or ").join(found.near)
            )
        else:
            told = said("{label} is not known here; known here: {labels}.", label=found.label, labels=shown_few(known))
        super().__init__(said("{told} A new {what}: add --new", told=told, what=said(what)))
        self.label = found.label
        self.near = found.near


class Released(NamedTuple):
    """Who put a station back into service, under what number, and on which day; today where empty."""

    by: str
    number: str
    day: str = ""


class Handed(NamedTuple):
    """Why a fault was handed over to the support desk, and what that told; see `hand_over`."""

    reason: str
    number: str = ""
    taken_by: str = ""
    due: str = ""


def open_shop(recorder: Recorder, text: str, rep: str = "", *, new: bool = False) -> Visit:
    """Open a visit in a shop; its code may be typed in any spelling.

    Parameters
    ----------
    new
        Take a code that is not known; that of the very first visit always is.

    Raises
    ------
    UnknownError
        If it is not known.
    UsageError
        If it is no code, or a visit is open.
    """
    known = _stores(recorder)
    found = find_store(text, known)
    if not (found.known or new) and known and recorder.visit is None:
        raise UnknownError(found, "shop", known)
    return recorder.open_visit(found.label, rep)


def station_of(recorder: Recorder, view: RoundView, text: str, *, new: bool = False, beside: Sequence[str] = ()) -> str:
    """Return the station of a label typed in any spelling.

    Parameters
    ----------
    new
        Take a label that is not known; in a shop where no earlier visit saw a station, one that is no likely slip of
        another is always taken.
    beside
        The labels told with it, which count as known.

    Raises
    ------
    UnknownError
        If it is not known.
    UsageError
        If it is no label.
    """
    known = tuple(dict.fromkeys((*view.known, *beside)))
    found = find_station(text, known, _stores(recorder))
    if found.known or new:
        return found.label
    if slip_of := mistaken_for(found.label, known):
        raise UnknownError(found._replace(near=slip_of), "station", known)
    if stations_of(recorder.journal, view.visit.store, until_visit=view.visit.id):
        raise UnknownError(found, "station", known)
    return found.label


def pass_station(recorder: Recorder, station: str, remark: str = "") -> Sighting:
    """Record that a station passes, with the words that were told beside it."""
    with recorder.entry(said("{station}: passes", station=station)):
        seen = recorder.see(station, "pass")
        if remark:
            recorder.remark(remark, station=station)
        return seen


def rest_of(view: RoundView) -> tuple[str, ...]:
    """Return the stations that pass when all the rest does.

    Left out are those that were seen, had a fault, are out of service, are being worked on, or were switched off by the
    staff.
    """
    left = {work.station for work in view.works} | view.off.keys() | view.seen
    return tuple(one.station for one in view.stations if one.station not in left and one.state in _MAY_PASS)


def why_not(view: RoundView, station: str) -> str:
    """Return why a station that was not seen does not pass with the rest, in words."""
    stand = view.stand(station)
    if any(work.station == station for work in view.works):
        return said("being worked on")
    if stand and stand.state in {"withdrawn", "fault"}:
        return f"{stand.word}: {stand.condition}" if stand.condition else stand.word
    return said("switched off by the staff")


def pass_rest(recorder: Recorder, view: RoundView) -> tuple[str, ...]:
    """Record that all the rest pass, see `rest_of`, and return them.

    Raises
    ------
    UsageError
        If none is left, or one was recorded since the view was read, which another window may have done.
    """
    rest = rest_of(view)
    if not rest:
        raise UsageError(
            said(
                "no station is left that could pass with the rest: those seen, with a fault, out of service, worked on "
                "or switched off are recorded one by one, such as A-0101 pass"
            )
        )
    with recorder.entry(said_of("the rest pass: {n} station", "the rest pass: {n} stations", len(rest))):
        now = round_view(recorder)
        changed = [station for station in rest if now is None or station not in rest_of(now)]
        for station in rest:
            recorder.see(station, "pass")
        if changed:
            raise UsageError(
                said(
                    "{stations}: recorded since this was shown; nothing is recorded: look again",
                    stations=", ".join(changed),
                )
            )
    return rest


def still_out(recorder: Recorder, station: str) -> Sighting:
    """Record that a station which is out of service was seen, and stays so.

    Raises
    ------
    UsageError
        If it is not out of service.
    """
    with recorder.entry(said("{station}: still out of service", station=station)):
        stand = recorder.out_of_service(station)
        if stand is None:
            raise UsageError(
                said(
                    "{station} is not out of service: type {station} pass, or {station} and what is wrong",
                    station=station,
                )
            )
        condition = stand.condition or ("" if stand.note else stand.word)
        return recorder.see(station, "fault", condition=condition, note=stand.note, plays="no")


def fault(
    recorder: Recorder,
    station: str,
    condition: str,
    *,
    note: Note | None = None,
    plays: Plays = "",
    model: str = "",
    work: bool = False,
) -> Work | None:
    """Record a fault, and where ``work`` says so the work through its note, begun or taken up, which is returned."""
    if work and note is None:
        raise UsageError(said("pick the note to work through first"))
    with recorder.entry(f"{station}: {condition or (note.title if note else '')}"):
        see_fault(recorder, station, condition, note, plays, model)
        return recorder.take_up(note, station=station, condition=condition) if work and note else None


def release_and_pass(recorder: Recorder, station: str, by: str, number: str, day: str = "") -> Sighting:
    """Record that a station which was out of service was released, and passes."""
    with recorder.entry(said("{station}: released, passes", station=station)):
        release_told(recorder, station, Released(by, number, day))
        return recorder.see(station, "pass")


def danger_of(answer: Answer) -> Note | None:
    """Return the note on harm that a fault calls for by its answer, whether or not it is worked through; else None."""
    return answer.note if answer.safety_first else None


def end_work(
    recorder: Recorder,
    work: Work,
    outcome: OutcomeName,
    *,
    minutes: float | None = None,
    remark: str = "",
    released: Released | None = None,
    handed: Handed | None = None,
) -> Outcome:
    """Record how a work ended, with the release that it needs, or the hand-over that it ends in."""
    one_of(outcome, OUTCOMES, "outcome")
    with recorder.entry(f"{place_of(work.station)}: {work.title}: {outcome_word(outcome)}"):
        if released:
            release_told(recorder, work.station, released, work)
        if handed:
            hand_over(recorder, handed.reason, work.station, handed.number, handed.taken_by, handed.due, work=work)
        return recorder.end(work, outcome, minutes=minutes, remark=remark)


def hand_over(
    recorder: Recorder,
    reason: str,
    station: str = "",
    number: str = "",
    taken_by: str = "",
    due: str = "",
    *,
    work: Work | None = None,
) -> Escalation:
    """Record that a fault was handed over to the support desk.

    Parameters
    ----------
    taken_by
        Who took it; the support desk of the trade where empty.
    due
        By when, in words; as many days from today as the trade tells of the desk where empty.
    """
    desk = next((contact for contact in recorder.trade.contacts if contact.key == DESK), None)
    day = read_day(due, recorder.today)
    if not day and desk and desk.days:
        day = (recorder.today + timedelta(days=desk.days)).isoformat()
    by = taken_by or (desk.name if desk else "")
    return recorder.hand_over(reason, station=station, number=number, taken_by=by, due=day, work=work)


def _stores(recorder: Recorder) -> tuple[str, ...]:
    """Return the codes of the shops, the newest visit first."""
    return tuple(visit.store for visit in recorder.journal.last_of_each(Visit, "store"))


def see_fault(
    recorder: Recorder, station: str, condition: str, note: Note | None, plays: Plays, model: str
) -> Sighting:
    """Record a fault; it is a danger where its note says so."""
    if note and recorder.grave_note(note):
        plays = "danger"
    return recorder.see(station, "fault", model=model, condition=condition, note=note.id if note else "", plays=plays)


def release_told(recorder: Recorder, station: str, told: Released, work: Work | None = None) -> Record:
    """Record a release as it was told, the day in words."""
    day = read_day(told.day, recorder.today, past=True)
    return recorder.release(station, by=told.by, number=told.number, day=day, work=work)
