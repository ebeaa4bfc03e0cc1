"""All that is told of one station at once: recorded whole, or refused and not at all."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import OUTCOMES, RESULTS, OutcomeName, Plays, Record, Result, Use
from assistant.languages import said
from assistant.model import Note, Trade
from assistant.visiting.amounts import Amount, read_amount
from assistant.visiting.entries import Released, release_told, see_fault
from assistant.visiting.recorder import MENDED, Recorder, check_minutes
from assistant.visiting.typed import clean, one_of
from assistant.visiting.words import outcome_word

__all__ = ["StationEntry", "record_station"]


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


def record_station(recorder: Recorder, entry: StationEntry) -> tuple[Record, ...]:
    """Record all that is told of one station, or nothing of it, and return the records.

    A work on a danger is not recorded as mended by a mere word: the station is out of service, and so is its outcome,
    unless it is told who released it.

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
    if entry.outcome in MENDED and entry.note and recorder.grave_note(entry.note) and not entry.released:
        entry = entry._replace(outcome="withdrawn")
    made: list[Record] = []
    with recorder.entry(_says(entry)):
        work = None
        if entry.result == "fault":
            made.append(see_fault(recorder, entry.station, entry.condition, entry.note, entry.plays, entry.kind))
            if entry.note and entry.outcome:
                work = recorder.take_up(entry.note, station=entry.station, condition=entry.condition)
                made.append(work)
        if entry.released:
            made.append(release_told(recorder, entry.station, entry.released, work))
        if entry.result == "pass":
            made.append(recorder.see(entry.station, "pass", model=entry.kind))
        for use, (quantity, part) in parts:
            made.append(recorder.part(part, use, quantity=quantity, station=entry.station, work=work))
        made += [recorder.remark(text, station=entry.station, work=work) for text in entry.remarks]
        if work and entry.outcome:
            made.append(recorder.end(work, entry.outcome, minutes=entry.minutes))
        made += [recorder.photo(path, station=entry.station, work=work) for path in entry.photos]
    return tuple(made)


def _check_pass(entry: StationEntry) -> None:
    station = entry.station
    if entry.condition:
        raise UsageError(
            said(
                "'{words}' after pass: type {station} fault {words}, or keep it as a remark of a pass",
                words=entry.condition,
                station=station,
            )
        )
    told = {
        said("an outcome"): entry.outcome is not None,
        said("minutes of a work"): entry.minutes is not None,
        said("a note that was followed"): entry.note is not None,
        said("that it does not play"): entry.plays == "no",
    }
    beside = next((words for words, is_told in told.items() if is_told), "")
    if beside:
        raise UsageError(
            said(
                "a station that passes has no fault, and so not {beside}: type {station} fault and what was wrong",
                beside=beside,
                station=station,
            )
        )


def _check_fault(entry: StationEntry) -> None:
    clean(entry.condition, "fault", needed=entry.note is None)
    if entry.outcome is not None:
        one_of(entry.outcome, OUTCOMES, "outcome")
        if entry.note is None:
            raise UsageError(said("an outcome needs the note that was followed"))
    if entry.minutes is not None:
        if entry.outcome is None:
            raise UsageError(said("minutes need the outcome of the work that took them"))
        check_minutes(entry.minutes)


def _parts(entry: StationEntry, trade: Trade) -> list[tuple[Use, Amount]]:
    uses: tuple[tuple[Use, tuple[str, ...]], ...] = (("used", entry.used), ("wanted", entry.wanted))
    return [(use, read_amount(text, trade)) for use, texts in uses for text in texts]


def _says(entry: StationEntry) -> str:
    if entry.result == "pass":
        return said("{station}: passes", station=entry.station)
    ended = f", {outcome_word(entry.outcome)}" if entry.outcome else ""
    return f"{entry.station}: {entry.condition or (entry.note.title if entry.note else '')}{ended}"
