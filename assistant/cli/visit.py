"""``assistant visit``: the rep's visit on the command line, as far as its words and options go."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from assistant.cli import visit_acts, visit_desk, visit_figures, visit_plan, visit_status
from assistant.cli.common import add_places
from assistant.cli.visit_language import in_its_language
from assistant.cli.visit_options import (
    OUTCOMES,
    POINTS,
    any_day,
    day,
    how_many,
    minutes,
    number_of,
    outcome,
    past_day,
    share,
)
from assistant.journal.records import INCIDENTS

__all__ = ["add_arguments"]

Run = Callable[[argparse.Namespace], int]
_WORDS = "WORDS"
_PART = "PART"
_NAME = "NAME"
_LABEL = "LABEL"
_DAY = "DAY"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands; without one it tells where the visit stands."""
    parser.set_defaults(run=in_its_language(visit_status.status))
    acts = parser.add_subparsers(dest="act", metavar="act")

    def act(name: str, typed: str, summary: str, run: Run) -> argparse.ArgumentParser:
        usage = f"assistant visit {name} {typed}".rstrip()
        made = acts.add_parser(name, help=summary, description=summary[0].upper() + summary[1:] + ".", usage=usage)
        add_places(made, argparse.SUPPRESS)
        made.set_defaults(run=in_its_language(run))
        return made

    act("status", "", "where the visit stands: stations, works, what is left open", visit_status.status)
    _add_visit(act)
    _add_record(act("record", f"{_LABEL} pass|fault {_WORDS}...", "one station, whole in one entry", visit_acts.record))
    _add_round(act)
    _add_desk(act)
    _add_plan(act)
    _add_figures(act)
    act("demo", "", "fill an empty journal with made-up shops", visit_status.demo)


Act = Callable[[str, str, str, Run], argparse.ArgumentParser]


def _add_visit(act: Act) -> None:
    opened = act("open", "SHOP", "open a visit; shows what is left open here", visit_acts.open_)
    opened.add_argument("shop", metavar="SHOP", help="code of the shop")
    opened.add_argument("--rep", default="", metavar=_NAME, help="who visits; that of the last visit where not told")
    _add_new(opened, "the shop is new")
    opened.add_argument("--allowed-by", default="", metavar=_NAME, help="who of the store gave permission")
    opened.add_argument(
        "--switched-off",
        action="extend",
        nargs="+",
        default=[],
        metavar="LABEL=WHY",
        help="a station that the staff had switched off, and why",
    )
    close = act("close", "[--anyway]", "close the visit; names first what must not be forgotten", visit_acts.close)
    close.add_argument("--anyway", action="store_true", help="close though something is left")
    close.add_argument("--remark", default="", metavar=_WORDS)
    close.add_argument("--taken-by", default="", metavar=_NAME, help="who of the store took the visit over")
    close.add_argument("--signed", choices=("typed", "paper"), default="", help="how the store signed")
    close.add_argument("--next-visit", default="", metavar=_DAY, type=day, help="such as 'mon' or '30 nov'")
    undo = act("undo", "[--sure]", "take back the last entry", visit_acts.undo)
    undo.add_argument("--sure", action="store_true", help="also where that puts a station back into service")
    act("list", "", "all visits: number, shop, day, whether open", visit_status.list_)


def _add_new(parser: argparse.ArgumentParser, summary: str) -> None:
    parser.add_argument("--new", action="store_true", help=summary)


def _add_record(record: argparse.ArgumentParser) -> None:
    record.add_argument("station", metavar=_LABEL, help="asset label of the station")
    record.add_argument("words", metavar="pass|fault", nargs="*", help="pass; or fault, and the fault as you see it")
    _add_new(record, "the station is new here")
    record.add_argument("--kind", default="", metavar="KIND", help="kind of station, as in the notes")
    record.add_argument("--note", default="", metavar="ID", help="the note that was followed")
    record.add_argument("--outcome", type=outcome, metavar="OUTCOME", help=f"how the work ended: {', '.join(OUTCOMES)}")
    record.add_argument("--minutes", type=minutes, metavar="N", help="minutes that the work took")
    record.add_argument("--used", action="append", default=[], metavar=_PART, help="a part, such as 'PART' or '2 PART'")
    record.add_argument("--wanted", action="append", default=[], metavar=_PART, help="a part that is missing")
    record.add_argument("--photo", action="append", default=[], metavar="FILE", help="a picture")
    record.add_argument("--remark", action="append", default=[], metavar=_WORDS)
    record.add_argument("--plays", choices=("yes", "no"), default="", help="with a fault: can it still be played?")
    _add_release(record)


def _add_release(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--released-by", default="", metavar=_NAME, help="who put it back into service")
    parser.add_argument("--release-number", default="", metavar="NUMBER", help="under what number")
    parser.add_argument("--release-day", default="", metavar=_DAY, type=past_day, help="when; today where not told")


def _add_round(act: Act) -> None:
    passed = act("pass", f"{_LABEL}...", "stations that pass", visit_acts.pass_)
    passed.add_argument("stations", metavar=_LABEL, nargs="+")
    _add_new(passed, "the stations are new here")
    rest = act("rest", "[--yes]", "all stations that were not seen yet pass; shows them first", visit_acts.rest)
    rest.add_argument("--yes", action="store_true", help="record it without asking")
    end = act("end", f"{_LABEL} OUTCOME", "end a work that stands open", visit_acts.end)
    end.add_argument("told", metavar="LABEL OUTCOME", nargs="+", help=f"outcome: {', '.join(OUTCOMES)}")
    end.add_argument("--work", type=number_of("work"), metavar="N", help="its number, as 'assistant visit' shows it")
    end.add_argument("--minutes", type=minutes, metavar="N", help="minutes that it took")
    end.add_argument("--remark", default="", metavar=_WORDS)
    _add_release(end)
    swap = act("swap", f"{_LABEL} UNIT --out NUMBER --in NUMBER", "a whole unit was exchanged", visit_desk.swap)
    swap.add_argument("station", metavar=_LABEL)
    swap.add_argument("unit", metavar="UNIT", nargs="+", help="what it was, in the words of the notes")
    swap.add_argument("--out", required=True, metavar="NUMBER", help="number of the unit taken out")
    swap.add_argument("--in", required=True, dest="put_in", metavar="NUMBER", help="number of the unit put in")
    _add_new(swap, "the station is new here")
    kinds = "|".join(INCIDENTS)
    incident = act("incident", f"{kinds} {_WORDS}...", "somebody was hurt, or nearly", visit_desk.incident)
    incident.add_argument("name", metavar="WHAT", choices=INCIDENTS, help=", ".join(INCIDENTS))
    incident.add_argument("words", metavar=_WORDS, nargs="+", help="what happened")
    incident.add_argument("--station", default="", metavar=_LABEL)
    _add_new(incident, "the station is new here")
    incident.add_argument("--told", default="", metavar=_NAME, help="who was told of it")


def _add_desk(act: Act) -> None:
    hand = act("hand-over", f"{_LABEL} WHY...", "a fault was handed over to the support desk", visit_desk.hand_over)
    hand.add_argument("station", metavar=_LABEL)
    hand.add_argument("reason", metavar="WHY", nargs="+")
    _add_new(hand, "the station is new here")
    hand.add_argument("--number", default="", help="the desk's number")
    hand.add_argument("--taken-by", default="", metavar=_NAME, help="who took it there")
    hand.add_argument("--by-when", default="", metavar=_DAY, type=day, help="such as 'tomorrow' or '30 nov'")
    release = act(
        "release", f"{_LABEL} --by NAME --number N", "a station may be put back into service", visit_desk.release
    )
    release.add_argument("station", metavar=_LABEL)
    release.add_argument("--by", required=True, metavar=_NAME, help="who released it")
    release.add_argument("--number", required=True, help="under what number")
    release.add_argument("--day", default="", metavar=_DAY, type=past_day, help="when; today where not told")
    arrange = act(
        "arrange", f"{_LABEL} --owner NAME --by-when DAY", "who sees to an open point, and by when", visit_desk.arrange
    )
    arrange.add_argument("station", metavar=_LABEL)
    arrange.add_argument("--owner", default="", metavar=_NAME, help="who sees to it")
    arrange.add_argument("--by-when", default="", metavar=_DAY, type=day, help="such as 'tomorrow' or '30 nov'")
    arrange.add_argument(
        "--point",
        default="",
        choices=tuple(POINTS.values()),
        metavar="KIND",
        help=f"which, where it has several: {', '.join(POINTS.values())}",
    )


def _add_plan(act: Act) -> None:
    plan = act("plan", "[SHOP...]", "which shops, in which order, and what is open there", visit_plan.plan_)
    plan.add_argument("shops", metavar="SHOP", nargs="*", help="those to visit; all with something open where none")
    plan.add_argument("--travel", metavar="FILE", help="CSV: from, to, minutes")
    plan.add_argument("--start", default="", metavar="PLACE", help="where you start, as in the travel file")
    bag = act("bag", '["4 PARTS"...]', "what is in the kit bag; with amounts: count them", visit_plan.bag)
    bag.add_argument("amounts", metavar="AMOUNT", nargs="*", help="what you counted, such as '4 PART'")
    bag.add_argument("--forecast", action="store_true", help="for QA: how many to carry, by the use of the journal")
    bag.add_argument("--days", type=how_many, default=90, metavar="N", help="of the forecast: days that it counts")
    bag.add_argument("--lead-days", type=how_many, default=7, metavar="N", help="days until an ordered part comes")
    bag.add_argument("--level", type=share, default=0.95, help="how surely a part is at hand, between 0 and 1")
    bag.add_argument("--format", choices=("text", "csv"), default="text")
    parts = act("parts", "", "what to order", visit_plan.parts)
    _add_period(parts)
    parts.add_argument("--format", choices=("text", "csv"), default="text")
    first = act("first", "NOTE NOTE...", "which check first", visit_plan.first)
    first.add_argument("notes", nargs="+", metavar="NOTE", help="two or more notes, or one with its checks")
    _add_full(first)


def _add_figures(act: Act) -> None:
    figures = act("figures", "", "what stays mended, how long works take, what comes again", visit_figures.figures_)
    _add_period(figures)
    _add_full(figures)
    figures.add_argument("--format", choices=("text", "json"), default="text")
    report = act("report", "[--visit N]", "report of one visit, or of a period", visit_figures.report)
    report.add_argument("--visit", type=number_of("visit"), metavar="N", help="the newest where not told")
    _add_period(report)
    _add_full(report)
    report.add_argument("--format", choices=("markdown", "html", "json", "message"), default="markdown")
    report.add_argument("--output", metavar="FILE", help="write to a file that is not there yet")


def _add_full(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--full", action="store_true", help="for QA: everything, with counts and intervals")


def _add_period(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", metavar=_DAY, type=any_day, help="from this day on, such as 2026-11-25")
    parser.add_argument("--until", metavar=_DAY, type=any_day, help="up to the end of this day")
