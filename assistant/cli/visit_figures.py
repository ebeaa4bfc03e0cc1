"""``assistant visit figures`` and ``report``: what the journal comes to."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from assistant.analysis.tokens import json_line
from assistant.cli.common import open_journal
from assistant.cli.output import write_out
from assistant.cli.visit_status import show
from assistant.errors import ExitCode, MissingExtraError, UsageError
from assistant.journal.store import Journal
from assistant.languages import said, said_of
from assistant.visiting.figures import (
    Figure,
    NoteMinutes,
    RepeatFault,
    StationHours,
    figures,
    minutes_of_notes,
    repeat_faults,
    span,
    station_hours,
)
from assistant.visiting.report import period_report, visit_report
from assistant.visiting.report_forms import report_json, report_markdown
from assistant.visiting.report_message import handoff_text
from assistant.visiting.report_model import Report
from assistant.visiting.report_words import figure_value
from assistant.visiting.times import local_day, shown_day
from assistant.visiting.words import decimal

__all__ = ["figures_", "report"]

_SHOWN = 5
_TEXTS: dict[str, Callable[..., str]] = {"markdown": report_markdown, "json": report_json}


def report(options: argparse.Namespace) -> int:
    """Show or write the report of one visit, or of a period."""
    if options.visit is not None and (options.since or options.until):
        raise UsageError(said("a report is of one visit or of a period: type --visit, or --since and --until"))
    with open_journal(options, readonly=True) as journal:
        made = _report(journal, options)
    if options.format == "message":
        text = handoff_text(made)
    else:
        form = _page() if options.format == "html" else _TEXTS[options.format]
        text = form(made, full=options.full)
    write_out(text, options.output)
    return ExitCode.DONE


def _page() -> Callable[..., str]:
    """Return what makes the report a page, which a device that only answers cannot.

    Raises
    ------
    MissingExtraError
        If the package that fills templates is not installed.
    """
    try:
        from assistant.visiting.report_page import report_html
    except ModuleNotFoundError as error:
        raise MissingExtraError(
            said(
                "a page needs the package '{name}': pip install \".[screen]\" in the folder of the program; "
                "--format markdown, message and json need nothing more",
                name=error.name,
            )
        ) from error
    return report_html


def _report(journal: Journal, options: argparse.Namespace) -> Report:
    if options.since or options.until:
        first, last = span(journal)
        return period_report(journal, options.since or first, options.until or last)
    return visit_report(journal, options.visit)


def figures_(options: argparse.Namespace) -> int:
    """Show what the journal comes to: in plain words, or all of it."""
    with open_journal(options, readonly=True) as journal:
        first, last = span(journal)
        since, until = options.since or first, options.until or last
        found = figures(journal, since, until)
        repeats = repeat_faults(journal)
        notes, hours = minutes_of_notes(journal, since, until), station_hours(journal, since, until)
    if options.format == "json":
        rows: dict[str, Sequence[Any]] = {"figures": found, "notes": notes, "stations": hours, "repeats": repeats}
        print(json_line({name: [row._asdict() for row in values] for name, values in rows.items()}))
    elif options.full:
        show(_full_lines(found, notes, hours))
        show(_repeat_lines(repeats))
    else:
        plain = [figure.plain for figure in found]
        show(f"{words[0].upper()}{words[1:]}." for words in plain)
        show(_repeat_lines(repeats[:_SHOWN]))
        if len(repeats) > _SHOWN:
            n = len(repeats) - _SHOWN
            show(
                [said_of("  and {n} more: {line}", "  and {n} more: {line}", n, line="assistant visit figures --full")]
            )
    return ExitCode.DONE


def _full_lines(found: Sequence[Figure], notes: Sequence[NoteMinutes], hours: Sequence[StationHours]) -> Iterator[str]:
    for figure in found:
        yield f"{said(figure.name)}: {figure_value(figure)}, n = {figure.n}"
        yield f"    {figure.definition}"
    yield said("Minutes of works by note, mean (n), and as the note says:")
    yield from (f"  {row.note}: {decimal(f'{row.minutes:g}')} ({row.n}), {row.written}" for row in notes)
    yield said("Hours up and down by station:")
    for station in hours:
        told = said(
            "{up} up, {down} down, {share}",
            up=decimal(f"{station.up:g}"),
            down=decimal(f"{station.down:g}"),
            share=decimal(f"{station.up / (station.up + station.down):.3f}"),
        )
        yield f"  {station.store} {station.station}: {told}"


def _repeat_lines(repeats: Sequence[RepeatFault]) -> Iterator[str]:
    yield said("Faults seen again:") if repeats else said("No fault was seen again.")
    for repeat in repeats:
        last = shown_day(local_day(repeat.last_at))
        told = said_of("{n} time, last {day}", "{n} times, last {day}", repeat.times, day=last)
        yield f"  {repeat.store} {repeat.station}: {repeat.fault}, {told}"
