"""What an entry means, for screen and command line alike: each is recorded whole, or refused and not at all."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import (
    OUTCOMES,
    RESULTS,
    Escalation,
    Outcome,
    OutcomeName,
    Plays,
    Record,
    Result,
    Sighting,
    Use,
    Visit,
    Work,
)
from assistant.model import Answer, Note, Trade
from assistant.visiting.amounts import Amount, read_amount
from assistant.visiting.days import read_day
from assistant.visiting.keeper import clean, one_of
from assistant.visiting.labels import Found, find_station, find_store, shown_few
from assistant.visiting.open_points import DESK
from assistant.visiting.recorder import Recorder, check_minutes
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.rounds import stations_of
from assistant.visiting.words import counted, outcome_word

__all__ = [
    "Handed",
    "Released",
    "StationEntry",
    "UnknownError",
    "danger_of",
    "end_work",
    "fault",
    "hand_over",
    "open_shop",
    "pass_rest",
    "pass_station",
    "record_station",
    "release_and_pass",
    "rest_of",
    "station_of",
    "still_out",
    "why_not",
]


_MAY_PASS = frozenset({"plays", "not_checked"})


class UnknownError(UsageError):
    """A label or a code is not known here; ``near`` are known ones that it may be a slip of."""

    def __init__(self, found: Found, what: str, known: tuple[str, ...]) -> None:
        told = f"did you mean {' or '.join(found.near)}?" if found.near else f"known here: {shown_few(known)}."
        super().__init__(f"{found.label} is not known here; {told} A new {what}: add --new")
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


class StationEntry(NamedTuple):
    """All that is told of one station at once.

    ``used`` and ``wanted`` are amounts as typed, such as ``2 bolts``. With an ``outcome`` the work through ``note`` is
    begun, or taken up where it stands open, and ended.
    """

    station: str
    result: Result
    condition: str = ""
    kind: str = ""
    note: Note | None = None
    outcome: OutcomeName | None = None
    minutes: float | None = None
    used: tuple[str, ...] = ()
    wanted: tuple[str, ...] = ()
    photos: tuple[Path, ...] = ()
    remarks: tuple[str, ...] = ()
    plays: Plays = ""
    released_by: str = ""
    release_number: str = ""
    release_day: str = ""

    @property
    def released(self) -> Released | None:
        """What was told of its release, None for nothing."""
        told = Released(self.released_by, self.release_number, self.release_day)
        return told if any(told) else None


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


def station_of(recorder: Recorder, view: RoundView, text: str, *, new: bool = False) -> str:
    """Return the station of a label typed in any spelling.

    Parameters
    ----------
    new
        Take a label that is not known; it always is in a shop where no earlier visit saw a station.

    Raises
    ------
    UnknownError
        If it is not known.
    UsageError
        If it is no label.
    """
    found = find_station(text, view.known, _stores(recorder))
    if not (found.known or new) and stations_of(recorder.journal, view.visit.store, until_visit=view.visit.id):
        raise UnknownError(found, "station", view.known)
    return found.label


def pass_station(recorder: Recorder, station: str, remark: str = "") -> Sighting:
    """Record that a station passes, with the words that were told beside it."""
    with recorder.entry(f"{station}: passes"):
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
        return "being worked on"
    if stand and stand.state in {"withdrawn", "fault"}:
        return f"{stand.word}: {stand.condition}" if stand.condition else stand.word
    return "switched off by the staff"


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
            "no station is left that could pass with the rest: those seen, with a fault, out of service, worked on "
            "or switched off are recorded one by one, such as A-0101 pass"
        )
    with recorder.entry(f"the rest pass: {counted(len(rest), 'station')}"):
        now = round_view(recorder)
        changed = [station for station in rest if now is None or station not in rest_of(now)]
        for station in rest:
            recorder.see(station, "pass")
        if changed:
            raise UsageError(f"{', '.join(changed)}: recorded since this was shown; nothing is recorded: look again")
    return rest


def still_out(recorder: Recorder, station: str) -> Sighting:
    """Record that a station which is out of service was seen, and stays so.

    Raises
    ------
    UsageError
        If it is not out of service.
    """
    with recorder.entry(f"{station}: still out of service"):
        stand = recorder.out_of_service(station)
        if stand is None:
            raise UsageError(f"{station} is not out of service: type {station} pass, or {station} and what is wrong")
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
        raise UsageError("pick the note to work through first")
    with recorder.entry(f"{station}: {condition or (note.title if note else '')}"):
        _see_fault(recorder, station, condition, note, plays, model)
        return recorder.take_up(note, station=station, condition=condition) if work and note else None


def release_and_pass(recorder: Recorder, station: str, by: str, number: str, day: str = "") -> Sighting:
    """Record that a station which was out of service was released, and passes."""
    with recorder.entry(f"{station}: released, passes"):
        _release(recorder, station, Released(by, number, day))
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
    with recorder.entry(f"{work.station or 'no station'}: {work.title}: {outcome_word(outcome)}"):
        if released:
            _release(recorder, work.station, released, work)
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


def record_station(recorder: Recorder, entry: StationEntry) -> tuple[Record, ...]:
    """Record all that is told of one station, or nothing of it, and return the records.

    Raises
    ------
    NeedsReleaseError
        If it is out of service, and it is not told who released it.
    UsageError
        If anything is missing, contradicts, or is out of range.
    """
    one_of(entry.result, RESULTS, "result")
    (_check_pass if entry.result == "pass" else _check_fault)(entry)
    parts = _parts(entry, recorder.trade)
    made: list[Record] = []
    with recorder.entry(_says(entry)):
        work = None
        if entry.result == "fault":
            made.append(_see_fault(recorder, entry.station, entry.condition, entry.note, entry.plays, entry.kind))
            if entry.note and entry.outcome:
                work = recorder.take_up(entry.note, station=entry.station, condition=entry.condition)
                made.append(work)
        if entry.released:
            made.append(_release(recorder, entry.station, entry.released, work))
        if entry.result == "pass":
            made.append(recorder.see(entry.station, "pass", model=entry.kind))
        for use, (quantity, part) in parts:
            made.append(recorder.part(part, use, quantity=quantity, station=entry.station, work=work))
        made += [recorder.remark(text, station=entry.station, work=work) for text in entry.remarks]
        if work and entry.outcome:
            made.append(recorder.end(work, entry.outcome, minutes=entry.minutes))
        made += [recorder.photo(path, station=entry.station, work=work) for path in entry.photos]
    return tuple(made)


def _stores(recorder: Recorder) -> tuple[str, ...]:
    """Return the codes of the shops, the newest visit first."""
    return tuple(visit.store for visit in recorder.journal.last_of_each(Visit, "store"))


def _see_fault(
    recorder: Recorder, station: str, condition: str, note: Note | None, plays: Plays, model: str
) -> Sighting:
    if note and recorder.grave_note(note):
        plays = "danger"
    return recorder.see(station, "fault", model=model, condition=condition, note=note.id if note else "", plays=plays)


def _release(recorder: Recorder, station: str, told: Released, work: Work | None = None) -> Record:
    day = read_day(told.day, recorder.today, past=True)
    return recorder.release(station, by=told.by, number=told.number, day=day, work=work)


def _check_pass(entry: StationEntry) -> None:
    station = entry.station
    if entry.condition:
        raise UsageError(
            f"'{entry.condition}' after pass: type {station} fault {entry.condition}, or keep it as a remark of a pass"
        )
    told = {
        "an outcome": entry.outcome is not None,
        "minutes of a work": entry.minutes is not None,
        "a note that was followed": entry.note is not None,
        "that it does not play": entry.plays == "no",
    }
    beside = next((words for words, is_told in told.items() if is_told), "")
    if beside:
        raise UsageError(
            f"a station that passes has no fault, and so not {beside}: type {station} fault and what was wrong"
        )


def _check_fault(entry: StationEntry) -> None:
    clean(entry.condition, "fault", needed=entry.note is None)
    if entry.outcome is not None:
        one_of(entry.outcome, OUTCOMES, "outcome")
        if entry.note is None:
            raise UsageError("an outcome needs the note that was followed")
    if entry.minutes is not None:
        if entry.outcome is None:
            raise UsageError("minutes need the outcome of the work that took them")
        check_minutes(entry.minutes)


def _parts(entry: StationEntry, trade: Trade) -> list[tuple[Use, Amount]]:
    uses: tuple[tuple[Use, tuple[str, ...]], ...] = (("used", entry.used), ("wanted", entry.wanted))
    return [(use, read_amount(text, trade)) for use, texts in uses for text in texts]


def _says(entry: StationEntry) -> str:
    if entry.result == "pass":
        return f"{entry.station}: passes"
    ended = f", {outcome_word(entry.outcome)}" if entry.outcome else ""
    return f"{entry.station}: {entry.condition or (entry.note.title if entry.note else '')}{ended}"
