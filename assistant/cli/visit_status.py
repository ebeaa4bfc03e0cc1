"""What the visit's commands show: where it stands, what is left open, which visits there are."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence

from assistant.analysis.tokens import printable
from assistant.cli.common import open_journal, open_pack
from assistant.errors import ExitCode
from assistant.journal.records import Closing, Visit, Work
from assistant.journal.store import now
from assistant.languages import said, said_of
from assistant.visiting.open_points import OpenPoint, owner_word
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.times import local_day, shown_day, shown_time
from assistant.visiting.words import place_of

__all__ = ["demo", "list_", "open_lines", "show", "status", "visit_words", "work_line"]


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
        show([said("No visit is open. The last one: {store}, {time}.", store=last.store, time=shown_time(last.at))])
    else:
        show([said("No visit is open.")])
    show([said("Open one: assistant visit open SHOP")])
    return ExitCode.NOTHING


def visit_words(visit: Visit) -> str:
    """Return a visit by its number, its shop and its rep."""
    if visit.rep:
        return said("Visit {id} at {store} by {rep}", id=visit.id, store=visit.store, rep=visit.rep)
    return said("Visit {id} at {store}", id=visit.id, store=visit.store)


def _view_lines(view: RoundView) -> Iterator[str]:
    visit = view.visit
    yield said("{visit}, open since {time}.", visit=visit_words(visit), time=shown_time(visit.at))
    yield said_of(
        "{n} station known here, {seen} seen, {unseen} not yet.",
        "{n} stations known here, {seen} seen, {unseen} not yet.",
        len(view.stations),
        seen=len(view.seen),
        unseen=len(view.unseen),
    )
    for stand in view.stations:
        told = stand.condition or stand.note
        off = view.off.get(stand.station)
        beside = said("; the staff had switched it off: {reason}", reason=off) if off is not None else ""
        yield f"  {stand.station}: {view.word(stand)}" + (f": {told}" if told else "") + beside
    for incident in view.incidents:
        if incident.told:
            yield said("Happened: {what} (told: {name})", what=incident.text, name=incident.told)
        else:
            yield said("Happened: {what} (nobody was told)", what=incident.text)
    yield from (work_line(work) for work in view.works)
    yield from open_lines(view.points, said("Open here:"))
    for repeat in view.repeats:
        yield said_of(
            "Seen again: {station}: {fault}, {n} time since {day}",
            "Seen again: {station}: {fault}, {n} times since {day}",
            repeat.times,
            station=repeat.station,
            fault=repeat.fault,
            day=shown_day(local_day(repeat.first_at)),
        )
    yield from (work_line(work, shop or said("no shop")) for work, shop in view.elsewhere)


def work_line(work: Work, shop: str = "") -> str:
    """Return a work that stands open, with the number by which it can be ended."""
    return said(
        "Not finished: work {id}, {where}: {title}, begun {time}",
        id=work.id,
        where=", ".join(filter(None, (shop, place_of(work.station)))),
        title=work.title,
        time=shown_time(work.at),
    )


def open_lines(points: Sequence[OpenPoint], label: str) -> Iterator[str]:
    """Yield what is open, a line each, under a label."""
    yield label if points else said("{label} nothing.", label=label)
    for point in points:
        day = shown_day(point.due) if point.due else ""
        due = said(", by {shown_day}", shown_day=day) if day and day not in point.todo else ""
        told = said(
            "{place}: {what} (since {day}; {owner}: {todo})",
            place=place_of(point.station),
            what=point.text,
            day=shown_day(local_day(point.since)),
            owner=owner_word(point.owner),
            todo=point.todo + due,
        )
        yield f"  {told}"


def list_(options: argparse.Namespace) -> int:
    """Show all visits, the newest first."""
    with open_journal(options, readonly=True) as journal:
        closed = {closing.visit: closing for closing in journal.all(Closing)}
        visits = journal.all(Visit)
    if not visits:
        show([said("No visit was recorded yet. Open one: assistant visit open SHOP")])
        return ExitCode.NOTHING
    for visit in reversed(visits):
        closing = closed.get(visit.id)
        stands = said("closed {time}", time=shown_time(closing.at)) if closing else said("open")
        by = f", {visit.rep}" if visit.rep else ""
        show([f"{visit.id}: {visit.store}, {shown_day(local_day(visit.at))}{by}, {stands}"])
    return ExitCode.DONE


def demo(options: argparse.Namespace) -> int:
    """Fill an empty journal with made-up shops."""
    from assistant.visiting.demo import fill_demo

    with open_pack(options) as pack, open_journal(options) as journal:
        fill_demo(journal, pack.note, until=now(), ids=pack.note_ids)
        told = said_of(
            "{n} made-up visit. Look: assistant visit",
            "{n} made-up visits. Look: assistant visit",
            len(journal.all(Visit)),
        )
        show([f"{journal.path}: {told}"])
    return ExitCode.DONE
