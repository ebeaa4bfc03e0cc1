"""What a rep records beside the round: hand-overs, releases, exchanged units, incidents, who sees to what."""

from __future__ import annotations

import argparse

from assistant.cli.visit_acts import recording, view_of, with_notes
from assistant.cli.visit_options import POINTS
from assistant.cli.visit_status import show
from assistant.errors import ExitCode, UsageError
from assistant.visiting import entries
from assistant.visiting.entries import station_of
from assistant.visiting.labels import find_station
from assistant.visiting.open_points import DESK
from assistant.visiting.round_view import RoundView
from assistant.visiting.times import shown_day
from assistant.visiting.words import INCIDENT_WORDS, counted

__all__ = ["arrange", "hand_over", "incident", "release", "swap"]


def hand_over(options: argparse.Namespace) -> int:
    """Record that a fault was handed over to the support desk."""
    with with_notes(options) as (recorder, _):
        station = station_of(recorder, view_of(recorder), options.station, new=options.new)
        reason = " ".join(options.reason)
        made = entries.hand_over(recorder, reason, station, options.number, options.taken_by, options.by_when)
    due = f", to be seen to by {shown_day(made.due)}" if made.due else ""
    taken = f", taken by {made.contact}" if options.taken_by else ""
    show([f"{made.station}: handed over to the {DESK}{taken}{due}. Recorded."])
    asked = {"its number": made.job, "who took it": made.contact, "by when": made.due}
    missing = [words for words, told in asked.items() if not told]
    if missing:
        show([f"Still to ask the desk for: {', '.join(missing)}."])
    return ExitCode.DONE


def _known(view: RoundView, text: str) -> str:
    found = find_station(text, view.known)
    if not found.known:
        raise UsageError(f"{found.label} is not known here; known here: {', '.join(view.known) or 'no station yet'}")
    return found.label


def release(options: argparse.Namespace) -> int:
    """Record that a station may be put back into service."""
    with recording(options) as recorder:
        station = _known(view_of(recorder), options.station)
        made = recorder.release(station, by=options.by, number=options.number, day=options.day)
    show(
        [
            f"{made.station}: released by {made.by}, number {made.number}, {shown_day(made.day)}. Recorded.",
            f"If it passes now: assistant visit pass {made.station}",
        ]
    )
    return ExitCode.DONE


def swap(options: argparse.Namespace) -> int:
    """Record that a whole unit was exchanged."""
    with recording(options) as recorder:
        station = station_of(recorder, view_of(recorder), options.station, new=options.new)
        made = recorder.swap(station, " ".join(options.unit), taken_out=options.out, put_in=options.put_in)
    show([f"{made.station}: {made.unit} {made.taken_out} taken out, {made.put_in} put in. Recorded."])
    return ExitCode.DONE


def incident(options: argparse.Namespace) -> int:
    """Record that somebody was hurt, or nearly."""
    with recording(options) as recorder:
        view, label = view_of(recorder), options.station
        station = station_of(recorder, view, label, new=options.new) if label else ""
        made = recorder.incident(options.name, " ".join(options.words), station=station, told=options.told)
    where = f" at {made.station}" if made.station else ""
    told = f"{made.told} was told." if made.told else "Nobody was told of it yet."
    words = INCIDENT_WORDS[made.incident]
    show([f"{words[0].upper()}{words[1:]}{where}: {made.text}. Recorded. {told}"])
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
            raise UsageError(f"nothing is open at {station}; open points here: {others or 'none'}")
        if options.point not in (kinds if options.point or len(kinds) > 1 else {""}):
            told = "; ".join(f"{POINTS[point.kind]} ({point.text})" for point in mine)
            points = counted(len(mine), "open point")
            raise UsageError(f"{station} has {points}: {told}: add --point {' or --point '.join(kinds)}")
        kind = kinds[options.point or next(iter(kinds))]
        made = recorder.arrange(station, kind, owner=options.owner, due=options.by_when)
    by = f" by {shown_day(made.due)}" if made.due else ""
    text = next(point.text for point in mine if point.kind == kind)
    who = f"{made.owner} sees to it" if made.owner else "is to be seen to"
    show([f"{station}: {who}{by}: {text}. Recorded."])
    return ExitCode.DONE
