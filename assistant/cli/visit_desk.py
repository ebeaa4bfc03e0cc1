"""What a rep records beside the round: hand-overs, releases, exchanged units, incidents, who sees to what."""

from __future__ import annotations

import argparse

from assistant.cli.visit_acts import recording, view_of, with_notes
from assistant.cli.visit_options import POINTS
from assistant.cli.visit_status import show
from assistant.errors import ExitCode, UsageError
from assistant.languages import said, said_of
from assistant.visiting import entries
from assistant.visiting.entries import station_of
from assistant.visiting.labels import find_station
from assistant.visiting.round_view import RoundView
from assistant.visiting.times import shown_day
from assistant.visiting.words import INCIDENT_WORDS

__all__ = ["arrange", "hand_over", "incident", "release", "swap"]


def hand_over(options: argparse.Namespace) -> int:
    """Record that a fault was handed over to the support desk."""
    with with_notes(options) as (recorder, _):
        station = station_of(recorder, view_of(recorder), options.station, new=options.new)
        reason = " ".join(options.reason)
        made = entries.hand_over(recorder, reason, station, options.number, options.taken_by, options.by_when)
    due = said(", to be seen to by {day}", day=shown_day(made.due)) if made.due else ""
    taken = said(", taken by {name}", name=made.contact) if options.taken_by else ""
    told = said("{station}: handed over to the support desk{beside}", station=made.station, beside=taken + due)
    show([said("{told}. Recorded.", told=told)])
    asked = {said("its number"): made.job, said("who took it"): made.contact, said("by when"): made.due}
    missing = [words for words, told in asked.items() if not told]
    if missing:
        show([said("Still to ask the desk for: {missing}.", missing=", ".join(missing))])
    return ExitCode.DONE


def _known(view: RoundView, text: str) -> str:
    found = find_station(text, view.known)
    if not found.known:
        known = ", ".join(view.known) or said("no station yet")
        raise UsageError(said("{label} is not known here; known here: {labels}", label=found.label, labels=known))
    return found.label


def release(options: argparse.Namespace) -> int:
    """Record that a station may be put back into service."""
    with recording(options) as recorder:
        station = _known(view_of(recorder), options.station)
        made = recorder.release(station, by=options.by, number=options.number, day=options.day)
    line = f"assistant visit pass {made.station}"
    show(
        [
            said(
                "{station}: released by {name}, number {number}, {day}. Recorded.",
                station=made.station,
                name=made.by,
                number=made.number,
                day=shown_day(made.day),
            ),
            said("If it passes now: {line}", line=line),
        ]
    )
    return ExitCode.DONE


def swap(options: argparse.Namespace) -> int:
    """Record that a whole unit was exchanged."""
    with recording(options) as recorder:
        station = station_of(recorder, view_of(recorder), options.station, new=options.new)
        made = recorder.swap(station, " ".join(options.unit), taken_out=options.out, put_in=options.put_in)
    show(
        [
            said(
                "{station}: {unit} {taken_out} taken out, {put_in} put in. Recorded.",
                station=made.station,
                unit=made.unit,
                taken_out=made.taken_out,
                put_in=made.put_in,
            )
        ]
    )
    return ExitCode.DONE


def incident(options: argparse.Namespace) -> int:
    """Record that somebody was hurt, or nearly."""
    with recording(options) as recorder:
        view, label = view_of(recorder), options.station
        station = station_of(recorder, view, label, new=options.new) if label else ""
        made = recorder.incident(options.name, " ".join(options.words), station=station, told=options.told)
    told = said("{name} was told.", name=made.told) if made.told else said("Nobody was told of it yet.")
    words = said(INCIDENT_WORDS[made.incident])
    where = said("{what} at {station}", what=words, station=made.station) if made.station else words
    show([said("{what}: {text}. Recorded. {told}", what=where[0].upper() + where[1:], text=made.text, told=told)])
    return ExitCode.DONE


def arrange(options: argparse.Namespace) -> int:
    """Record who sees to an open point, and by when."""
    with recording(options) as recorder:
        view = view_of(recorder)
        station = _known(view, options.station)
        mine = [point for point in view.points if point.station == station]
        kinds = {POINTS[point.kind]: point.kind for point in mine}
        if not mine:
            others = ", ".join(dict.fromkeys(point.station for point in view.points if point.station))
            raise UsageError(
                said(
                    "nothing is open at {station}; open points here: {stations}",
                    station=station,
                    stations=others or said("none"),
                )
            )
        if options.point not in (kinds if options.point or len(kinds) > 1 else {""}):
            told = "; ".join(f"{POINTS[point.kind]} ({point.text})" for point in mine)
            add = said(" or ").join(f"--point {kind}" for kind in kinds)
            raise UsageError(
                said_of(
                    "{station} has {n} open point: {told}: add {add}",
                    "{station} has {n} open points: {told}: add {add}",
                    len(mine),
                    station=station,
                    told=told,
                    add=add,
                )
            )
        kind = kinds[options.point or next(iter(kinds))]
        made = recorder.arrange(station, kind, owner=options.owner, due=options.by_when)
    text = next(point.text for point in mine if point.kind == kind)
    who = said("{owner} sees to it", owner=made.owner) if made.owner else said("is to be seen to")
    told = said("{who} by {day}", who=who, day=shown_day(made.due)) if made.due else who
    show([said("{station}: {told}: {text}. Recorded.", station=station, told=told, text=text)])
    return ExitCode.DONE
