"""What a rep records on the round: the visit itself, its stations and their works; an entry a command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.answering.assistant import Assistant
from assistant.cli.common import open_journal, open_pack
from assistant.cli.visit_options import outcome_of
from assistant.cli.visit_status import open_lines, show, visit_words, work_line
from assistant.errors import ExitCode, UsageError
from assistant.journal.records import RESULTS, Outcome, OutcomeName, Visit, Work
from assistant.languages import said, said_of
from assistant.model import Note
from assistant.pack.reader import Pack
from assistant.visiting.entries import (
    Released,
    danger_of,
    end_work,
    open_shop,
    pass_rest,
    pass_station,
    rest_of,
    station_of,
    why_not,
)
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.labels import find_station
from assistant.visiting.line import WORDS
from assistant.visiting.open_points import left_open
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_message import handoff_text
from assistant.visiting.round_view import RoundView, before_closing, round_view
from assistant.visiting.station_entry import StationEntry, record_station
from assistant.visiting.words import outcome_word, place_of

__all__ = ["close", "end", "note_of", "open_", "pass_", "record", "recording", "rest", "undo", "view_of", "with_notes"]


@contextmanager
def recording(options: argparse.Namespace, *, readonly: bool = False) -> Iterator[Recorder]:
    """Open the journal for what needs no notes; for looking alone where it is to stay as it is."""
    with open_journal(options, readonly=readonly) as journal:
        yield Recorder(journal)


@contextmanager
def with_notes(options: argparse.Namespace, *, readonly: bool = False) -> Iterator[tuple[Recorder, Pack]]:
    """Open the journal, as `recording` does, and the notes with the trade and what deals with harm."""
    with open_pack(options) as pack, open_journal(options, readonly=readonly) as journal:
        yield Recorder(journal, pack.trade, pack.harm_ids), pack


def view_of(recorder: Recorder) -> RoundView:
    """Return how the open visit stands.

    Raises
    ------
    UsageError
        If none is open.
    """
    view = round_view(recorder)
    if view is None:
        raise UsageError(said("no visit is open: open one with assistant visit open SHOP"))
    return view


def open_(options: argparse.Namespace) -> int:
    """Open a visit, with who gave permission and what the staff had switched off."""
    off = [text.partition("=") for text in options.switched_off]
    with recording(options) as recorder:
        journal = recorder.journal
        last = next((visit.rep for visit in reversed(journal.all(Visit)) if visit.rep), "")
        with recorder.entry(said("visit opened")):
            visit = open_shop(recorder, options.shop, options.rep or last, new=options.new)
            if options.allowed_by:
                recorder.arrive(options.allowed_by)
            for station, _, why in off:
                recorder.switched_off(station_of(recorder, view_of(recorder), station, new=options.new), why)
        show([said("{visit} is open.", visit=visit_words(visit))])
        show(open_lines(left_open(journal, visit.store, before_visit=visit.id), said("Left open here:")))
        _show_unseen(recorder)
    return ExitCode.DONE


def _show_unseen(recorder: Recorder) -> None:
    view = round_view(recorder)
    if view and view.unseen:
        told = said_of(
            "Not seen yet: {labels} ({n} station).",
            "Not seen yet: {labels} ({n} stations).",
            len(view.unseen),
            labels=", ".join(view.unseen),
        )
        show([told])


def _danger(pack: Pack, result: str, fault: str) -> Note | None:
    """Return the note on harm that a fault calls for, None where it calls for none."""
    if result.lower() == "pass" or not fault:
        return None
    answer, _ = Assistant(pack).ask(fault)
    return danger_of(answer)


def record(options: argparse.Namespace) -> int:
    """Record one station, with all that is told of it."""
    result, *words = options.words or [""]
    line = f"assistant visit record {options.station}"
    typed = " ".join(options.words)
    if not typed:
        raise UsageError(
            said("pass or fault comes after the label: {line} pass, or {line} fault and what is wrong", line=line)
        )
    if result.lower() not in RESULTS:
        raise UsageError(said("pass or fault comes after the label: {line} fault {words}", line=line, words=typed))
    with with_notes(options) as (recorder, pack):
        entry = StationEntry(
            station_of(recorder, view_of(recorder), options.station, new=options.new),
            "pass" if result.lower() == "pass" else "fault",
            " ".join(words),
            options.kind,
            note_of(pack, options.note) if options.note else _danger(pack, result, " ".join(words)),
            options.outcome,
            options.minutes,
            tuple(options.used),
            tuple(options.wanted),
            tuple(Path(name) for name in options.photo),
            tuple(options.remark),
            options.plays,
            options.released_by,
            options.release_number,
            options.release_day,
        )
        with _told_how_to_release(said("add --released-by NAME --release-number NUMBER")):
            made = record_station(recorder, entry)
        told = said("passes")
        if entry.result == "fault":
            told = said("fault: {condition}", condition=entry.condition or options.note)
        ended = next((one.outcome for one in made if isinstance(one, Outcome)), None)
        if entry.note and ended:
            told = f"{told}; {entry.note.title}: {outcome_word(ended)}"
        show([said("{station}: {condition}. Recorded.", station=entry.station, condition=told)])
        if entry.outcome and entry.outcome != ended:
            show([_not_taken(entry.station, entry.outcome)])
        _show_unseen(recorder)
    return ExitCode.DONE


def _not_taken(station: str, outcome: OutcomeName) -> str:
    line = f"assistant visit release {station} --by NAME --number NUMBER"
    return said(
        "'{outcome}' is not taken: {station} is out of service until it is released: {line}",
        outcome=outcome_word(outcome),
        station=station,
        line=line,
    )


def note_of(pack: Pack, note_id: str) -> Note:
    """Return a note by its id.

    Raises
    ------
    UsageError
        If there is none; it tells which is meant.
    """
    from difflib import get_close_matches

    note = pack.note(note_id.lower())
    if note is None:
        near = get_close_matches(note_id.lower(), pack.note_ids, n=1)
        typed = note_id[:60]
        if near:
            raise UsageError(said("there is no note '{note}': did you mean {near}?", note=typed, near=near[0]))
        raise UsageError(
            said("there is no note '{note}': find its id with assistant ask and what is wrong", note=typed)
        )
    return note


@contextmanager
def _told_how_to_release(typed: str) -> Iterator[None]:
    try:
        yield
    except NeedsReleaseError as error:
        raise UsageError(f"{error}: {typed}") from error


def pass_(options: argparse.Namespace) -> int:
    """Record that stations pass, all of them or none."""
    if {text.lower() for text in options.stations} <= WORDS.rest | WORDS.all:
        raise UsageError(
            said("a label comes here, such as A-0101; for all that were not seen yet: assistant visit rest")
        )
    with recording(options) as recorder:
        view = view_of(recorder)
        stations: list[str] = []
        for text in options.stations:
            stations.append(station_of(recorder, view, text, new=options.new, beside=stations))
        told = said_of("{stations}: passes", "{stations}: pass", len(stations), stations=", ".join(stations))
        typed = said("type assistant visit release LABEL --by NAME --number NUMBER")
        with _told_how_to_release(typed), recorder.entry(told):
            for station in stations:
                pass_station(recorder, station)
        show([said("{told}. Recorded.", told=told)])
        _show_unseen(recorder)
    return ExitCode.DONE


def rest(options: argparse.Namespace) -> int:
    """Show which stations pass with the rest, and record it where that is agreed to."""
    with recording(options) as recorder:
        view = view_of(recorder)
        stations = rest_of(view)
        others = [f"{name} ({why_not(view, name)})" for name in view.unseen if name not in stations]
        if stations:
            told = said_of(
                "Will pass: {labels} ({n} station).",
                "Will pass: {labels} ({n} stations).",
                len(stations),
                labels=", ".join(stations),
            )
            show([told])
        if others:
            show([said("Will not, and is left to be seen: {labels}.", labels=", ".join(others))])
        if stations and not options.yes and not _agreed():
            show([said("Nothing is recorded. If they pass: assistant visit rest --yes")])
            return ExitCode.NOTHING
        passed = pass_rest(recorder, view)
        show([said_of("The rest pass: {n} station. Recorded.", "The rest pass: {n} stations. Recorded.", len(passed))])
        _show_unseen(recorder)
    return ExitCode.DONE


def _agreed() -> bool:
    if not sys.stdin.isatty():
        return False
    print(said("Record it? y or n: "), end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in {"y", "yes", said("y"), said("yes")}


def end(options: argparse.Namespace) -> int:
    """Record how a work ended that stands open."""
    label, words = ("", options.told) if options.work else (options.told[0], options.told[1:])
    outcome = outcome_of(" ".join(words))
    told = Released(options.released_by, options.release_number, options.release_day)
    with with_notes(options) as (recorder, _):
        work = _work(recorder.open_works(), options.work, label)
        with _told_how_to_release(said("add --released-by NAME --release-number NUMBER")):
            end_work(
                recorder,
                work,
                outcome,
                minutes=options.minutes,
                remark=options.remark,
                released=told if any(told) else None,
            )
        ended = f"{place_of(work.station)}: {work.title}: {outcome_word(outcome)}"
        show([said("{told}. Recorded.", told=ended)])
        if outcome in {"escalated", "withdrawn"} and work.station:
            line = f"assistant visit hand-over {work.station} WHY"
            show([said("Tell the support desk, and record it: {line}", line=line)])
    return ExitCode.DONE


def _work(works: list[Work], number: int | None, label: str) -> Work:
    """Return the one work that stands open under a number or on a station."""
    if not works:
        raise UsageError(said("no work stands open: there is nothing to end"))
    if number:
        found = [work for work in works if work.id == number]
        what = said("no work {n} stands open", n=number)
    else:
        stations = [work.station for work in works if work.station]
        station = find_station(label, stations).label if stations else label
        found = [work for work in works if work.station == station]
        what = said("no work stands open on {station}", station=station)
    if len(found) == 1:
        return found[0]
    if found:
        what = said("more than one work stands open on {station}: add --work and its number", station=found[0].station)
    lines = [work_line(work) for work in found or works]
    raise UsageError("\n".join([what, *lines]))


def undo(options: argparse.Namespace) -> int:
    """Take back the last entry."""
    with recording(options) as recorder:
        last = recorder.last_entry()
        if last and recorder.takes_out(last) and not options.sure:
            raise UsageError(
                said("{says}: it would no longer be out of service; if so: assistant visit undo --sure", says=last.says)
            )
        entry = recorder.undo(last)
    show([said("Taken back: {says}.", says=entry.says)])
    return ExitCode.DONE


def close(options: argparse.Namespace) -> int:
    """Close the visit, unless something is left and it was not said to close it anyway."""
    if options.signed == "typed" and not options.taken_by:
        raise UsageError(said("a typed signature needs who signed: add --taken-by NAME"))
    with recording(options) as recorder:
        left = before_closing(view_of(recorder))
        if left:
            show([said("Before you leave:"), *(f"  {line}" for line in left)])
        if left and not options.anyway:
            show([said("The visit is not closed. Close it all the same: assistant visit close --anyway")])
            return ExitCode.NOTHING
        closing = recorder.close_visit(
            options.remark, taken_by=options.taken_by, signed=options.signed, next_visit=options.next_visit
        )
        made = visit_report(recorder.journal, closing.visit)
    show([said("Visit {id} is closed.", id=closing.visit)])
    print(handoff_text(made), end="")
    line = f"assistant visit report --visit {closing.visit}"
    show([said("The whole report: {line}", line=line)])
    return ExitCode.DONE
