"""``assistant visit plan``, ``bag``, ``parts`` and ``first``: where to go, with what, and what to look at first."""

from __future__ import annotations

import argparse
from pathlib import Path

from assistant.cli.common import open_journal, open_pack, places_of
from assistant.cli.visit_acts import note_of, recording, with_notes
from assistant.cli.visit_status import show
from assistant.errors import ExitCode, UsageError
from assistant.journal.records import Visit
from assistant.journal.store import now
from assistant.languages import said, said_of
from assistant.visiting.amounts import read_amount, shown_amount
from assistant.visiting.checks import check_notes, check_steps, plain_order
from assistant.visiting.kit import BagRow, CarriedRow, OrderRow, bag_lines, kit_bag, live_bag, order_list, rows_csv
from assistant.visiting.labels import find_store
from assistant.visiting.plan import TRAVEL, plan, plan_lines, read_travel
from assistant.visiting.words import decimal

__all__ = ["bag", "first", "parts", "plan_"]


def plan_(options: argparse.Namespace) -> int:
    """Show which shops to go to, in which order, and what is open there."""
    path = Path(options.travel) if options.travel else places_of(options).home / TRAVEL
    minutes = read_travel(path) if options.travel or path.exists() else None
    with open_journal(options, readonly=True) as journal:
        known = tuple(dict.fromkeys(visit.store for visit in journal.all(Visit)))
        shops = [find_store(text, known).label for text in options.shops]
        rows = plan(journal, now().astimezone().date(), shops, minutes=minutes, start=options.start)
    show(plan_lines(rows))
    return ExitCode.DONE


def parts(options: argparse.Namespace) -> int:
    """Show what to order."""
    with open_pack(options) as pack, open_journal(options, readonly=True) as journal:
        orders = order_list(journal, pack.trade, options.since or "", options.until or "9999")
        trade = pack.trade
    if options.format == "csv":
        print(rows_csv(orders, OrderRow), end="")
        return ExitCode.DONE
    for row in orders:
        told = [said("{n} used", n=row.used)] if row.used else []
        told += [said("{n} wanted: {stations}", n=row.wanted, stations=row.stations)] if row.wanted else []
        amount = shown_amount(row.order, row.part, trade)
        show([said("order {amount} ({why})", amount=amount, why=", ".join(told))])
    show([said("Order: what was used, and what is wanted and was not used since at the same station.")])
    return ExitCode.DONE


def bag(options: argparse.Namespace) -> int:
    """Show what is in the kit bag, after counting where amounts are told; or for QA how many to carry."""
    if options.forecast:
        if options.amounts:
            raise UsageError(said("a forecast counts nothing: leave the amounts out, or --forecast"))
        return _forecast(options)
    with with_notes(options, readonly=not options.amounts) as (recorder, pack):
        amounts = [read_amount(text, pack.trade, tools=True, least=0) for text in options.amounts]
        if amounts:
            told = ", ".join(shown_amount(*amount, pack.trade) for amount in amounts)
            with recorder.entry(said("bag counted: {amounts}", amounts=told)):
                for amount in amounts:
                    recorder.count(amount.part, amount.quantity)
            if options.format == "text":
                show([said("Counted: {amounts}. Recorded.", amounts=told)])
        carried = live_bag(recorder.journal, pack.trade)
    if options.format == "csv":
        print(rows_csv(carried.rows, CarriedRow), end="")
        return ExitCode.DONE
    show(bag_lines(carried, pack.trade))
    if not carried.rows:
        show([said('Nothing was counted yet. Count: assistant visit bag "4 PARTS"')])
    return ExitCode.DONE


def _forecast(options: argparse.Namespace) -> int:
    with recording(options, readonly=True) as recorder:
        rows = kit_bag(
            recorder.journal, recorder.today, days=options.days, lead_days=options.lead_days, level=options.level
        )
    if options.format == "csv":
        print(rows_csv(rows, BagRow), end="")
        return ExitCode.DONE
    for row in rows:
        told = said(
            "{used} used, {mean} a lead time, {method}", used=row.used, mean=decimal(f"{row.mean:g}"), method=row.method
        )
        show([said("carry {n} {part} ({why})", n=row.carry, part=row.part, why=told)])
    show(
        [
            said(
                "Carry: what lasts {lead} days with probability {level}, by the use of {days} days.",
                lead=decimal(f"{options.lead_days:g}"),
                level=decimal(f"{options.level:g}"),
                days=options.days,
            )
        ]
    )
    return ExitCode.DONE


def first(options: argparse.Namespace) -> int:
    """Show which note to follow first, or which check of one note to make first."""
    with with_notes(options, readonly=True) as (recorder, pack):
        notes = [note_of(pack, note_id) for note_id in options.notes]
        journal = recorder.journal
        order = check_steps(notes[0], journal) if len(notes) == 1 else check_notes(notes, journal)
    if not options.full:
        show([plain_order(order)])
        return ExitCode.DONE
    kind = said("Step") if len(notes) == 1 else said("Note")
    for row in order.best:
        kept = said("; keeps its place") if row.fixed else ""
        counts = said(
            "probability {probability}, seen {seen}, {minutes} min",
            probability=decimal(f"{row.probability:.2f}"),
            seen=row.seen,
            minutes=decimal(f"{row.minutes:.3g}"),
        )
        show([f"{kind} {row.id}: {row.title} ({counts}{kept})"])
    cases = said_of("{n} case in the journal.", "{n} cases in the journal.", order.seen)
    show(
        [
            said(
                "Expected minutes in this order {best}, as written {written}.",
                best=decimal(f"{order.best_minutes:g}"),
                written=decimal(f"{order.written_minutes:g}"),
            ),
            f"{cases} {order.definition[0].upper()}{order.definition[1:]}.",
            said("Advice only: the steps of a note stay as written, and no check on safety is moved."),
        ]
    )
    return ExitCode.DONE
