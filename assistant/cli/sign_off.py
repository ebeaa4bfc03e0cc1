"""``assistant score report``, ``gate`` and ``trend``: what a release is judged and signed off by."""

from __future__ import annotations

import argparse
import json
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.common import open_pack, places_of, say
from assistant.cli.desk_screen import show_release
from assistant.cli.release import program_version
from assistant.cli.scoring import TUNE, add_explain, add_shared, is_below, labels_of, print_as, texts_of
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.wording import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.evaluation.bars import Bars, Judged
    from assistant.evaluation.release import Release
    from assistant.evaluation.report import Report
    from assistant.notes.signing import SignOffs
    from assistant.pack.reader import Pack

__all__ = ["add_release"]

_FEWEST_RELEASES = 2


def add_release(acts: Any) -> None:
    """Add the three to the sub-commands."""
    page = acts.add_parser("report", help="write the figures as one page to sign off, and as JSON beside it")
    shown = page.add_mutually_exclusive_group(required=True)
    shown.add_argument("--output", metavar="FILE.html", help="the page; FILE.json is written beside it")
    shown.add_argument("--screen", action="store_true", help="look through figures and misses on the terminal")
    page.add_argument(
        "--gate", metavar="FILE", help="leave with exit code 1 where a figure misses its bar in this file"
    )
    page.add_argument("--since", metavar="FILE.json", help="tell what changed since this release, or saved baseline")
    page.add_argument("--signed-by", metavar="NAME", default="", help="who signs the release off")
    gate = acts.add_parser("gate", help="leave with exit code 1 where a figure misses its bar")
    gate.add_argument("--bars", metavar="FILE", help="the bars; bars.json in the folder of labelled questions")
    gate.add_argument("--baseline", metavar="FILE", help="and where a figure fell below this saved baseline")
    gate.add_argument("--write-bars", metavar="FILE", help="write first bars, a margin below what is measured now")
    gate.add_argument("--verbose", action="store_true", help="name each note with a hazard that nobody has signed")
    add_explain(gate)
    trend = acts.add_parser("trend", help="figures over several releases, as a table and perhaps a plot")
    trend.add_argument(
        "files", nargs="+", metavar="FILE.json", help="what 'score report' wrote beside its page; two or more"
    )
    trend.add_argument("--output", metavar="FILE.html", help="also a page with the plot")
    trend.add_argument(
        "--figure", action="append", default=[], metavar="NAME", help="only this figure; may be repeated"
    )
    for act, function in ((page, _report), (gate, _gate), (trend, _trend)):
        add_shared(act, function)


def _report(options: argparse.Namespace) -> int:
    if options.screen:
        return show_release(options)
    from assistant.evaluation.bars import read_bars
    from assistant.evaluation.page import study_page
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import study, study_json
    from assistant.notes.writing import write_whole

    _needs_plots()
    page = _new_page(options.output)
    twin = _new(page.with_suffix(".json"))
    bars = read_bars(Path(options.gate)) if options.gate else None
    questions, talks = labels_of(options)
    with open_pack(options) as pack:
        report = score_notes(pack, questions, talks, TUNE, say, texts_of(options), without_old=True)
        found = study(pack, report, bars, _release(pack, report, options))
    say("drawing")
    write_whole(page, study_page(found))
    write_whole(twin, json.dumps(study_json(found), indent=1) + "\n")
    print(f"written: {page} and {twin}", file=sys.stderr)
    return _judged(found.gate, report)


def _release(pack: Pack, report: Report, options: argparse.Namespace) -> Release:
    """Gather what stands above the signatures."""
    from assistant.evaluation.figures import figures_of
    from assistant.evaluation.release import (
        Release,
        changes_since,
        git_revision,
        note_digests,
        read_saved,
        settings_digest,
    )
    from assistant.evaluation.sealed import last_opening
    from assistant.journal.store import now

    notes = note_digests(pack)
    saved = read_saved(Path(options.since)) if options.since else None
    return Release(
        now().date(),
        program_version(),
        git_revision(places_of(options).corpus or Path()),
        pack.digest,
        settings_digest(pack),
        notes,
        last_opening(Path(options.eval, "sealed")),
        changes_since(saved, notes, figures_of(report)) if saved else None,
        options.signed_by.strip(),
    )


def _needs_plots() -> None:
    if find_spec("matplotlib") is None:
        raise ModuleNotFoundError("the plots are drawn last", name="matplotlib")


def _new_page(name: str) -> Path:
    page = Path(name)
    if page.suffix not in (".html", ".htm"):
        raise UsageError(f"{page}: name a file that ends in .html")
    return _new(page)


def _new(path: Path) -> Path:
    """Return the path; refused before anything is scored where no new file can be written there."""
    if path.exists():
        raise AssistantError(f"{path}: is there already; name another file")
    if not path.parent.is_dir():
        raise AssistantError(f"{path.parent}: no such folder")
    return path


def _gate(options: argparse.Namespace) -> int:
    from assistant.evaluation.bars import read_bars
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import hazardous_notes
    from assistant.notes.signing import sign_offs, state_of

    path = Path(options.bars) if options.bars else Path(options.eval, "bars.json")
    wanted = _new(Path(options.write_bars)) if options.write_bars else None
    bars = read_bars(path) if options.bars or path.exists() else None
    questions, talks = labels_of(options)
    with open_pack(options) as pack:
        texts = None if bars else texts_of(options)
        report = score_notes(pack, questions, talks, TUNE, say, texts, without_old=True, ranked=bars is None)
        hazardous = hazardous_notes(pack)
    counts = sign_offs(hazardous)
    waiting = [f"{state_of(note)}: {note.id}" for note in hazardous if state_of(note) != "signed"]
    signed = {"signed": counts._asdict(), "not_signed": waiting}
    lines = [*(waiting if options.verbose else ()), _signed_line(counts, waiting, options), *_old_lines(report)]
    if bars is None:
        _tell_figures(report, signed, lines, options)
        if wanted:
            _write_bars(wanted, report)
            return ExitCode.DONE
        print(
            f"{path}: is not there, so that nothing is judged; --write-bars {path} writes first bars", file=sys.stderr
        )
        return ExitCode.NOTHING
    if wanted:
        _write_bars(wanted, report)
    return _hold(bars, report, signed, lines, options)


def _hold(bars: Bars, report: Report, signed: dict[str, Any], lines: Sequence[str], options: argparse.Namespace) -> int:
    """Hold the figures against their bars, and tell the aims and what the sealed questions last said beside them."""
    from assistant.evaluation.bars import aim_json, aims_of, gate_json, gate_text, judge
    from assistant.evaluation.figures import figures_of, measured
    from assistant.evaluation.report import look_again_json
    from assistant.evaluation.sealed import last_opening
    from assistant.evaluation.study import too_many_old

    say("drawing")
    judged = judge(bars.bars, measured(report, {bar.figure for bar in bars.bars}))
    opening = last_opening(Path(options.eval, "sealed"))
    sealed = {name: share.value for name, share in opening.figures.items()} if opening else {}
    aims = aims_of(bars.aims, figures_of(report), sealed)
    told = [f"aim {'missed' if aim.missed else 'reached'}: {aim}" for aim in aims]
    if opening:
        notes = "these notes" if opening.pack == report.pack else f"pack {opening.pack}"
        opened = f"sealed questions opened {counted(opening.number, 'time')}, last on {opening.date[:10]} with {notes}"
        told.insert(0, opened)
    result = gate_json(judged)
    value = {
        **result,
        "passed": result["passed"] and not too_many_old(report),
        **signed,
        "look_again": look_again_json(report),
        "aims": [aim_json(aim) for aim in aims],
    }
    print_as(value, "\n".join([*lines, *told, gate_text(judged)]), options)
    worse, code = is_below(report, options.baseline), _judged(judged, report)
    return ExitCode.NOTHING if worse else code


def _signed_line(counts: SignOffs, waiting: Sequence[str], options: argparse.Namespace) -> str:
    return f"{counts} (--verbose names them)" if waiting and not options.verbose else str(counts)


def _old_lines(report: Report) -> list[str]:
    return [
        f"look again: {old.question.id}, now answered with {old.note}: {old.question.question}" for old in report.old
    ]


def _tell_figures(report: Report, signed: dict[str, Any], lines: Sequence[str], options: argparse.Namespace) -> None:
    from assistant.evaluation.report import report_json, report_text

    print_as({**report_json(report), **signed}, "\n".join([report_text(report), *lines]), options)


def _write_bars(path: Path, report: Report) -> None:
    from assistant.evaluation.bars import first_bars
    from assistant.evaluation.enough import FEWEST_OF_A_KIND
    from assistant.evaluation.figures import figures_of
    from assistant.evaluation.report import less_is_better
    from assistant.notes.writing import write_whole

    figures = figures_of(report)
    if not figures:
        raise UsageError("nothing is labelled, so that no bar can be set; 'assistant score label' labels questions")
    asked = {name: share.n for name, share in report.shares.items() if share.n}
    few = [f"{name} ({n})" for name, n in asked.items() if n < FEWEST_OF_A_KIND]
    if len(few) == len(asked):
        raise UsageError(
            f"too few questions are labelled for a bar, which needs {FEWEST_OF_A_KIND} of its kind: {', '.join(few)}"
        )
    write_whole(path, json.dumps(first_bars(figures, asked, less_is_better), indent=1) + "\n")
    if few:
        print(f"without a bar, for want of {FEWEST_OF_A_KIND} questions each: {', '.join(few)}", file=sys.stderr)
    print(f"bars written to {path}", file=sys.stderr)


def _judged(judged: Sequence[Judged], report: Report) -> int:
    """Tell on stderr what shuts the gate."""
    from assistant.evaluation.outdated import MOST_OLD
    from assistant.evaluation.study import too_many_old

    short = [row for row in judged if not row.passed]
    for row in short:
        value = "not measured" if row.value is None else f"{row.value:.4f}"
        print(f"below its bar: {row.bar.figure}: {value}, {row.bar}", file=sys.stderr)
    if report.old:
        of = len(report.old) + len(report.outcomes)
        print(f"labels to look at again: {len(report.old)} of {of} (assistant score relabel)", file=sys.stderr)
    if too_many_old(report):
        print(f"these are too many to judge a release by: at most {MOST_OLD:.0%} may wait", file=sys.stderr)
    return ExitCode.NOTHING if short or too_many_old(report) else ExitCode.DONE


def _trend(options: argparse.Namespace) -> int:
    from assistant.evaluation.release import read_saved
    from assistant.evaluation.trend import trend_json, trend_of, trend_page, trend_text
    from assistant.notes.writing import write_whole

    if len(options.files) < _FEWEST_RELEASES:
        raise UsageError("a trend needs the figures of two releases or more; name a second FILE.json")
    page = _new_page(options.output) if options.output else None
    if page:
        _needs_plots()
    found = trend_of([read_saved(Path(name)) for name in options.files], options.figure)
    print_as(trend_json(found), trend_text(found), options)
    if page:
        write_whole(page, trend_page(found))
        print(f"written: {page}", file=sys.stderr)
    return ExitCode.DONE
