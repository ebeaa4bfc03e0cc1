"""``assistant visit``: the rep's visit on the command line."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from assistant.analysis.tokens import json_line, printable
from assistant.cli.common import add_places, open_journal, open_pack
from assistant.cli.output import write_out
from assistant.errors import ExitCode, UsageError
from assistant.journal.records import RESULTS, TOLD_OUTCOMES, Sighting, Use, Visit
from assistant.journal.store import now
from assistant.model import Note, Trade
from assistant.visiting.checks import check_notes, check_steps
from assistant.visiting.figures import figures, minutes_of_notes, repeat_faults, span, station_hours
from assistant.visiting.kit import BagRow, OrderRow, kit_bag, order_list, rows_csv
from assistant.visiting.recorder import Recorder, counted_part
from assistant.visiting.report import period_report, shown_time, visit_report
from assistant.visiting.report_blocks import figure_value, totals_line
from assistant.visiting.report_forms import handoff_text, report_html, report_json, report_markdown
from assistant.visiting.rounds import STATE_WORDS, OpenPoint, left_open, stations_of, totals

__all__ = ["add_arguments"]

Run = Callable[[argparse.Namespace], int]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)

    def act(name: str, summary: str, run: Run) -> argparse.ArgumentParser:
        made = acts.add_parser(name, help=summary, description=summary.capitalize() + ".")
        add_places(made, argparse.SUPPRESS)
        made.set_defaults(run=run)
        return made

    opened = act("open", "open a visit; shows what is left open here", _open)
    opened.add_argument("store", help="code of the shop")
    opened.add_argument("--rep", default="", help="who visits")
    act("status", "show the visit that is open, its stations and what is left open", _status)
    _add_record(act("record", "record one station: pass or fault, and what was done", _record))
    escalate = act("escalate", "record that a fault was handed to the support desk", _escalate)
    escalate.add_argument("station")
    escalate.add_argument("reason", nargs="+")
    for name, meaning in (
        ("job", "job number that the desk gave"),
        ("contact", "who took it"),
        ("due", "date promised"),
    ):
        escalate.add_argument(f"--{name}", default="", help=meaning)
    close = act("close", "close the visit; shows totals and the hand-off text", _close)
    close.add_argument("--remark", default="")
    report = act("report", "report of one visit, or of a period", _report)
    report.add_argument("--visit", type=int, metavar="N", help="number of the visit; the newest where not given")
    _add_period(report)
    report.add_argument("--format", choices=("markdown", "html", "json", "message"), default="markdown")
    report.add_argument("--output", metavar="FILE", help="write to a file that is not there yet")
    first = act("first", "which check first: the order with the least expected minutes", _first)
    first.add_argument("notes", nargs="+", metavar="note", help="two or more notes, or one with its checks")
    parts = act("parts", "what to order; with --bag what to carry", _parts)
    _add_period(parts)
    parts.add_argument("--bag", action="store_true", help="quantities for the kit bag")
    parts.add_argument("--days", type=int, default=90, help="days of the journal that the bag is reckoned from")
    parts.add_argument("--lead-days", type=float, default=7, help="days until an ordered part comes")
    parts.add_argument("--level", type=float, default=0.95, help="probability that a part is at hand when wanted")
    parts.add_argument("--format", choices=("text", "csv"), default="text")
    figures = act(
        "figures", "first-time fixes, minutes, availability, repeat faults, each with its definition", _figures
    )
    _add_period(figures)
    figures.add_argument("--format", choices=("text", "json"), default="text")
    act("demo", "fill an empty journal with made-up shops", _demo)


def _add_record(record: argparse.ArgumentParser) -> None:
    record.add_argument("station", help="asset label of the station")
    record.add_argument("result", choices=RESULTS)
    record.add_argument("condition", nargs="*", help="the fault as you see it")
    record.add_argument("--kind", default="", help="kind of station, such as pad: one of those of the notes")
    record.add_argument("--note", default="", metavar="ID", help="the note that was followed")
    record.add_argument("--outcome", choices=TOLD_OUTCOMES, help="how the work ended; needs --note")
    record.add_argument("--minutes", type=float, help="minutes that the work took")
    record.add_argument(
        "--used", action="append", default=[], metavar="PART", help="a part used, such as 'pad' or '2 pad'"
    )
    record.add_argument("--wanted", action="append", default=[], metavar="PART", help="a part wanted")
    record.add_argument("--photo", action="append", default=[], metavar="NAME", help="file name of a picture")
    record.add_argument("--remark", action="append", default=[], metavar="TEXT")


def _add_period(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", metavar="DATE", type=_date, help="from this day on, 2026-11-25")
    parser.add_argument("--until", metavar="DATE", type=_date, help="up to the end of this day")


def _date(text: str) -> str:
    return date.fromisoformat(text).isoformat()


def _open(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        visit = Recorder(journal).open_visit(options.store, options.rep)
        print(f"Visit {visit.id} at {visit.store} is open.")
        _print_open(left_open(journal, visit.store, before_visit=visit.id), "Left open here:")
    return ExitCode.DONE


def _record(options: argparse.Namespace) -> int:
    if options.outcome and not options.note:
        raise UsageError("--outcome needs --note: the note that was followed")
    uses: tuple[tuple[Use, list[str]], ...] = (("used", options.used), ("wanted", options.wanted))
    note = _note(options, options.note) if options.note else None
    condition = " ".join(options.condition)
    with open_journal(options) as journal:
        recorder = Recorder(journal, _trade(options) if options.kind else Trade())
        seen = recorder.see(options.station, options.result, model=options.kind, condition=condition, note=options.note)
        work = recorder.begin(note, station=seen.station, condition=condition) if note and options.outcome else None
        for use, texts in uses:
            for text in texts:
                quantity, part = counted_part(text)
                recorder.part(part, use, quantity=quantity, station=seen.station, work=work)
        for name in options.photo:
            recorder.photo(name, station=seen.station, work=work)
        for text in options.remark:
            recorder.remark(text, station=seen.station, work=work)
        if work:
            recorder.end(work, options.outcome, minutes=options.minutes)
    ended = f", {note.id}: {options.outcome.replace('_', ' ')}" if note and options.outcome else ""
    print(printable(f"{seen.station}: {seen.result}{ended}. Recorded."))
    return ExitCode.DONE


def _escalate(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        made = Recorder(journal).escalate(
            " ".join(options.reason),
            station=options.station,
            job=options.job,
            contact=options.contact,
            due=options.due,
        )
    missing = [name for name in ("job", "contact", "due") if not getattr(made, name)]
    print(f"{made.station}: handed to the support desk. Recorded.")
    if missing:
        print(f"Still to ask the desk for: {', '.join(_ASKED_OF_DESK[name] for name in missing)}.")
    return ExitCode.DONE


_ASKED_OF_DESK = {"job": "the job number", "contact": "who took it", "due": "the promised date"}


def _note(options: argparse.Namespace, note_id: str) -> Note:
    with open_pack(options) as pack:
        note = pack.note(note_id)
    if note is None:
        raise UsageError(f"no note '{printable(note_id)[:60]}' in this pack")
    return note


def _trade(options: argparse.Namespace) -> Trade:
    with open_pack(options) as pack:
        return pack.trade


def _print_open(points: Sequence[OpenPoint], label: str) -> None:
    print(label if points else f"{label} nothing.")
    for point in points:
        print(f"  {point.station or '-'}: {point.text} (since {point.since[:10]}; {point.owner}: {point.todo})")


def _status(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        recorder = Recorder(journal)
        visit = recorder.visit
        for work in recorder.open_works():
            print(f"Not finished: {work.station or '-'} {work.note}, begun {shown_time(work.at)}")
        if visit is None:
            print("No visit is open.")
            return ExitCode.NOTHING
        print(f"Visit {visit.id} at {visit.store}, open since {shown_time(visit.at)}.")
        seen = {sighting.station for sighting in journal.all(Sighting, visit=visit.id)}
        for station in stations_of(journal, visit.store):
            here = STATE_WORDS[station.state] if station.station in seen else "not seen yet"
            told = f": {station.condition or station.note}" if station.condition or station.note else ""
            print(f"  {station.station} {here}{told}")
        print(totals_line(totals(journal, visit.id)))
        _print_open(left_open(journal, visit.store), "Open here:")
        repeats = [repeat for repeat in repeat_faults(journal) if repeat.store == visit.store]
        for repeat in repeats:
            print(f"Seen again: {repeat.station}: {repeat.fault}, {repeat.times} times since {repeat.first_at[:10]}")
    return ExitCode.DONE


def _close(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        closing = Recorder(journal).close_visit(options.remark)
        report = visit_report(journal, closing.visit)
    print(handoff_text(report), end="")
    print(f"The whole report: assistant visit report --visit {closing.visit}")
    return ExitCode.DONE


def _report(options: argparse.Namespace) -> int:
    if options.visit is not None and (options.since or options.until):
        raise UsageError("give --visit, or --since and --until, not both")
    with open_journal(options) as journal:
        if options.since or options.until:
            first, last = span(journal)
            report = period_report(journal, options.since or first, options.until or last)
        else:
            report = visit_report(journal, options.visit)
    write_out(_FORMS[options.format](report), options.output)
    return ExitCode.DONE


_FORMS = {"markdown": report_markdown, "html": report_html, "json": report_json, "message": handoff_text}


def _first(options: argparse.Namespace) -> int:
    notes = [_note(options, note_id) for note_id in options.notes]
    with open_journal(options) as journal:
        plan = check_steps(notes[0], journal) if len(notes) == 1 else check_notes(notes, journal)
    kind = "Step" if len(notes) == 1 else "Note"
    for row in plan.best:
        kept = "; keeps its place" if row.fixed else ""
        text = printable(row.title)
        print(
            f"{kind} {row.id}: {text} (probability {row.probability:.2f}, seen {row.seen}, {row.minutes:.3g} min{kept})"
        )
    print(f"Expected minutes in this order {plan.best_minutes:g}, as written {plan.written_minutes:g}.")
    print(f"{plan.seen} cases in the journal. {plan.definition[0].upper()}{plan.definition[1:]}.")
    print("Advice only: the steps of a note stay as written, and no check on safety is moved.")
    return ExitCode.DONE


def _parts(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        if options.bag:
            bag = kit_bag(journal, now().date(), days=options.days, lead_days=options.lead_days, level=options.level)
            text = rows_csv(bag, BagRow)
            lines = [
                f"carry {row.carry} {row.part} ({row.used} used, {row.mean:g} a lead time, {row.method})" for row in bag
            ]
            chance = f"{options.lead_days:g} days with probability {options.level:g}"
            meaning = f"Carry: what lasts {chance}, by the use of {options.days} days."
        else:
            orders = order_list(journal, options.since or "", options.until or "9999")
            text = rows_csv(orders, OrderRow)
            lines = [
                f"order {row.order} {row.part} ({row.used} used, {row.wanted} wanted: {row.stations or '-'})"
                for row in orders
            ]
            meaning = "Order: what was used in the time, and what is wanted and was not used since at the same station."
    if options.format == "csv":
        print(text, end="")
    else:
        print("\n".join([*map(printable, lines), meaning]))
    return ExitCode.DONE


def _figures(options: argparse.Namespace) -> int:
    with open_journal(options) as journal:
        first, last = span(journal)
        since, until = options.since or first, options.until or last
        found = figures(journal, since, until)
        notes = minutes_of_notes(journal, since, until)
        hours = station_hours(journal, since, until)
        repeats = repeat_faults(journal)
    if options.format == "json":
        rows: dict[str, Sequence[Any]] = {"figures": found, "notes": notes, "stations": hours, "repeats": repeats}
        print(json_line({name: [row._asdict() for row in values] for name, values in rows.items()}))
        return ExitCode.DONE
    for figure in found:
        print(f"{figure.name}: {figure_value(figure)}, n = {figure.n}\n    {figure.definition}")
    print("\nMinutes of works by note, mean (n), and as the note says:")
    for row in notes:
        print(f"  {row.note}: {row.minutes:g} ({row.n}), {row.written}")
    print("\nHours up and down by station:")
    for station in hours:
        share = station.up / (station.up + station.down)
        print(f"  {station.store} {station.station}: {station.up:g} up, {station.down:g} down, {share:.3f}")
    print("\nFaults seen again:")
    for repeat in repeats:
        print(
            printable(
                f"  {repeat.store} {repeat.station}: {repeat.fault}, {repeat.times} times, last {repeat.last_at[:10]}"
            )
        )
    return ExitCode.DONE


def _demo(options: argparse.Namespace) -> int:
    from assistant.visiting.demo import fill_demo

    with open_pack(options) as pack, open_journal(options) as journal:
        fill_demo(journal, pack.note, until=now())
        print(f"{journal.path}: {len(journal.all(Visit))} made-up visits. Look: assistant visit status")
    return ExitCode.DONE
