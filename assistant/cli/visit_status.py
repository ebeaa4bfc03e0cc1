"""What the visit's commands show: where it stands, what is left open, which visits there are."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence

from assistant.analysis.tokens import printable
from assistant.cli.common import open_journal, open_pack
from assistant.errors import ExitCode
from assistant.journal.records import Closing, Visit, Work
from assistant.journal.store import now
from assistant.visiting.open_points import OpenPoint
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.times import local_day, shown_day, shown_time
from assistant.visiting.words import counted

__all__ = ["demo", "list_", "open_lines", "show", "status", "work_line"]


def show(lines: Sequence[str] | Iterator[str]) -> None:
    """Print lines; nothing in them reaches the terminal as a command."""
    for line in lines:
        indent = line[: len(line) - len(line.lstrip(" "))]
        print(indent + printable(line))


def status(options: argparse.Namespace) -> int:
    """Show where the visit stands."""
    with open_journal(options, readonly=True) as journal:
        recorder = Recorder(journal)
        view = round_view(recorder)
        if view:
            show(_view_lines(view))
            return ExitCode.DONE
        show(work_line(work) for work in recorder.open_works())
        last = next(reversed(journal.all(Visit)), None)
    if last:
        show([f"No visit is open. The last one: {last.store}, {shown_time(last.at)}."])
    else:
        show(["No visit is open."])
    show(["Open one: assistant visit open SHOP"])
    return ExitCode.NOTHING


def _view_lines(view: RoundView) -> Iterator[str]:
    visit = view.visit
    by = f" by {visit.rep}" if visit.rep else ""
    yield f"Visit {visit.id} at {visit.store}{by}, open since {shown_time(visit.at)}."
    yield f"{counted(len(view.stations), 'station')} known here, {len(view.seen)} seen, {len(view.unseen)} not yet."
    for stand in view.stations:
        told = stand.condition or stand.note
        off = f"; the staff had switched it off: {view.off[stand.station]}" if stand.station in view.off else ""
        yield f"  {stand.station}: {view.word(stand)}" + (f": {told}" if told else "") + off
    for incident in view.incidents:
        yield f"Happened: {incident.text}" + (f" (told: {incident.told})" if incident.told else " (nobody was told)")
    yield from (work_line(work) for work in view.works)
    yield from open_lines(view.points, "Open here:")
    for repeat in view.repeats:
        since = shown_day(local_day(repeat.first_at))
        yield f"Seen again: {repeat.station}: {repeat.fault}, {counted(repeat.times, 'time')} since {since}"
    yield from (work_line(work, shop or "no shop") for work, shop in view.elsewhere)


def work_line(work: Work, shop: str = "") -> str:
    """Return a work that stands open, with the number by which it can be ended."""
    where = ", ".join(filter(None, (shop, work.station or "no station")))
    return f"Not finished: work {work.id}, {where}: {work.title}, begun {shown_time(work.at)}"


def open_lines(points: Sequence[OpenPoint], label: str) -> Iterator[str]:
    """Yield what is open, a line each, under a label."""
    yield label if points else f"{label} nothing."
    for point in points:
        day = shown_day(point.due) if point.due else ""
        due = f", by {day}" if day and day not in point.todo else ""
        since = shown_day(local_day(point.since))
        yield f"  {point.station or 'no station'}: {point.text} (since {since}; {point.owner}: {point.todo}{due})"


def list_(options: argparse.Namespace) -> int:
    """Show all visits, the newest first."""
    with open_journal(options, readonly=True) as journal:
        closed = {closing.visit: closing for closing in journal.all(Closing)}
        visits = journal.all(Visit)
    if not visits:
        show(["No visit was recorded yet. Open one: assistant visit open SHOP"])
        return ExitCode.NOTHING
    for visit in reversed(visits):
        closing = closed.get(visit.id)
        stands = f"closed {shown_time(closing.at)}" if closing else "open"
        by = f", {visit.rep}" if visit.rep else ""
        show([f"{visit.id}: {visit.store}, {shown_day(local_day(visit.at))}{by}, {stands}"])
    return ExitCode.DONE


def demo(options: argparse.Namespace) -> int:
    """Fill an empty journal with made-up shops."""
    from assistant.visiting.demo import fill_demo

    with open_pack(options) as pack, open_journal(options) as journal:
        fill_demo(journal, pack.note, until=now(), ids=pack.note_ids)
        made = counted(len(journal.all(Visit)), "made-up visit")
        show([f"{journal.path}: {made}. Look: assistant visit"])
    return ExitCode.DONE
