"""``assistant score``: figures on labelled questions, and what belongs to them."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.common import add_places, open_pack, places_of, say, with_extra
from assistant.cli.desk_screen import show_release
from assistant.cli.label import add_agree, add_label
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.progress import counted

if TYPE_CHECKING:
    from assistant.evaluation.bars import Judged
    from assistant.evaluation.labels import LabelledQuestion, Talk
    from assistant.evaluation.report import Report
    from assistant.evaluation.texts import Texts

__all__ = ["add_arguments"]

TUNE = "tune"
"""The split that all commands but ``sealed`` read."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    run = acts.add_parser("run", help="score the labelled questions, or an open collection")
    run.add_argument("--collection", metavar="DIR", help="corpus.jsonl, queries.jsonl and qrels/NAME.tsv")
    run.add_argument("--baseline", metavar="FILE", help="leave with exit code 1 where a figure fell below this file's")
    run.add_argument("--save-baseline", metavar="FILE", help="write the figures as the new baseline")
    run.add_argument("--misses", action="store_true", help="list the questions that came out wrong, and why")
    run.add_argument("--trec", metavar="DIR", help="write runs and judgements for other programs into a new folder")
    versus = acts.add_parser("compare", help="hold two packs, settings files or saved baselines against one another")
    versus.add_argument("first", metavar="A", help="a pack, a settings.json, or a saved baseline")
    versus.add_argument("second", metavar="B", help="the same")
    page = acts.add_parser("report", help="write the figures as one page with plots, and as JSON beside it")
    shown = page.add_mutually_exclusive_group(required=True)
    shown.add_argument("--output", metavar="FILE.html", help="the page; FILE.json is written beside it")
    shown.add_argument("--screen", action="store_true", help="look through figures and misses on the terminal")
    page.add_argument(
        "--gate", metavar="FILE", help="leave with exit code 1 where a figure misses its bar in this file"
    )
    gate = acts.add_parser("gate", help="leave with exit code 1 where a figure misses its bar")
    gate.add_argument("--bars", metavar="FILE", help="the bars; bars.json in the folder of labelled questions")
    gate.add_argument("--baseline", metavar="FILE", help="and where a figure fell below this saved baseline")
    sealed = acts.add_parser("sealed", help="score the sealed questions, and write down that they were opened")
    sealed.add_argument("--why", metavar="TEXT", required=True, help="the reason, kept in the ledger beside them")
    check = acts.add_parser("check", help="check that the labelled questions are fair")
    add_label(acts)
    add_agree(acts)
    tune = acts.add_parser("tune", help="learn the decision anew and write it into a settings file")
    tune.add_argument("settings", metavar="FILE", help="settings.json to rewrite")
    for act, function in (
        (run, _run),
        (versus, _compare),
        (page, _report),
        (gate, _gate),
        (sealed, _sealed),
        (check, _check),
        (tune, _tune),
    ):
        add_places(act, argparse.SUPPRESS)
        act.add_argument("--eval", metavar="DIR", default="eval", help="folder of labelled questions")
        act.add_argument("--format", choices=("text", "json"), default="text")
        act.set_defaults(run=with_extra("scoring", function))


def _print(value: Any, text: str, options: argparse.Namespace) -> None:
    print(json.dumps(value, indent=1) if options.format == "json" else text.rstrip("\n"))


def _labels(options: argparse.Namespace) -> tuple[list[LabelledQuestion], list[Talk]]:
    from assistant.evaluation.labels import read_questions, read_talks

    folder = Path(options.eval)
    return read_questions(folder / "questions.jsonl"), read_talks(folder / "dialogues.jsonl")


def _run(options: argparse.Namespace) -> int:
    if options.collection:
        return _run_collection(options)
    from assistant.evaluation import report as reports
    from assistant.notes.writing import write_whole

    questions, talks = _labels(options)
    folder = _new_folder(options.trec)
    with open_pack(options) as pack:
        report = reports.score_notes(pack, questions, talks, TUNE, say, _texts(options))
        misses = reports.misses(pack, report) if options.misses else []
    _print(reports.report_json(report), "\n".join([reports.report_text(report), *misses]), options)
    if folder:
        _write_trec(folder, *reports.report_runs(report))
    if options.save_baseline:
        path = Path(options.save_baseline)
        saved: dict[str, Any] = {"splits": {}}
        with suppress(OSError, ValueError, TypeError, KeyError):
            saved = {"splits": dict(json.loads(path.read_text("utf-8"))["splits"])}
        saved["splits"][TUNE] = {name: round(share.value, 4) for name, share in report.shares.items() if share.n}
        write_whole(path, json.dumps(saved, indent=1, sort_keys=True) + "\n")
        print(f"baseline written to {path}", file=sys.stderr)
    return ExitCode.NOTHING if _below(report, options.baseline) else ExitCode.DONE


def _new_folder(name: str | None) -> Path | None:
    """Make the folder that runs are to be written into; one that holds anything is refused."""
    if name is None:
        return None
    folder = Path(name)
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.iterdir()):
        raise AssistantError(f"{folder}: is not empty; name another folder")
    return folder


def _write_trec(folder: Path, qrels: Any, runs: Any) -> None:
    from assistant.evaluation.trec import trec_files
    from assistant.notes.writing import write_whole

    files = trec_files(qrels, runs)
    for name, text in files.items():
        write_whole(folder / name, text)
    print(f"{len(files)} files written to {folder}", file=sys.stderr)


def _compare(options: argparse.Namespace) -> int:
    from assistant.evaluation.comparing import compare_sides, versus_json, versus_text
    from assistant.evaluation.sides import Labels, read_side

    questions, talks = _labels(options)
    labels = Labels(questions, talks, TUNE)
    corpus = places_of(options).corpus
    first, second = (read_side(Path(path), labels, corpus, say) for path in (options.first, options.second))
    say("drawing")
    versus = compare_sides(first, second, labels)
    _print(versus_json(versus), versus_text(versus), options)
    return ExitCode.DONE


def _report(options: argparse.Namespace) -> int:
    if options.screen:
        return show_release(options)
    from assistant.evaluation.bars import read_bars
    from assistant.evaluation.page import study_page
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import study, study_json
    from assistant.notes.writing import write_whole

    if find_spec("matplotlib") is None:
        raise ModuleNotFoundError("the plots are drawn last", name="matplotlib")
    page, twin = _new_files(Path(options.output))
    bars = read_bars(Path(options.gate)) if options.gate else None
    questions, talks = _labels(options)
    with open_pack(options) as pack:
        found = study(pack, score_notes(pack, questions, talks, TUNE, say, _texts(options)), bars)
    say("drawing")
    write_whole(page, study_page(found))
    write_whole(twin, json.dumps(study_json(found), indent=1) + "\n")
    print(f"written: {page} and {twin}", file=sys.stderr)
    return _judged(found.gate)


def _new_files(page: Path) -> tuple[Path, Path]:
    """Return page and twin; refused before anything is scored where they cannot be new files."""
    twin = page.with_suffix(".json")
    if page.suffix not in (".html", ".htm"):
        raise UsageError(f"{page}: name a file that ends in .html")
    for path in (page, twin):
        if path.exists():
            raise AssistantError(f"{path}: is there already; name another file")
    if not page.parent.is_dir():
        raise AssistantError(f"{page.parent}: no such folder")
    return page, twin


def _gate(options: argparse.Namespace) -> int:
    from assistant.evaluation.bars import figures_of, gate_json, gate_text, judge, read_bars
    from assistant.evaluation.report import score_notes
    from assistant.evaluation.study import hazardous_notes
    from assistant.notes.signing import sign_offs, state_of

    bars = read_bars(Path(options.bars) if options.bars else Path(options.eval, "bars.json"))
    questions, talks = _labels(options)
    with open_pack(options) as pack:
        report = score_notes(pack, questions, talks, TUNE, say, _texts(options))
        hazardous = hazardous_notes(pack)
    judged = judge(bars.bars, figures_of(report))
    counts = sign_offs(hazardous)
    waiting = [f"{state_of(note)}: {note.id}" for note in hazardous if state_of(note) != "signed"]
    _print(
        {**gate_json(judged), "signed": counts._asdict(), "not_signed": waiting},
        "\n".join([*waiting, str(counts), gate_text(judged)]),
        options,
    )
    worse, code = _below(report, options.baseline), _judged(judged)
    return ExitCode.NOTHING if worse else code


def _below(report: Report, baseline: str | None) -> bool:
    """Tell on stderr which figures fell below those of a saved baseline, and whether any did."""
    from assistant.evaluation.report import below_baseline

    worse = below_baseline(report, Path(baseline)) if baseline else []
    for line in worse:
        print(f"below the baseline: {line}", file=sys.stderr)
    return bool(worse)


def _judged(judged: Sequence[Judged]) -> int:
    short = [row for row in judged if not row.passed]
    for row in short:
        value = "not measured" if row.value is None else f"{row.value:.4f}"
        print(
            f"below its bar: {row.bar.figure}: {value}, {row.bar.end.replace('_', ' ')} {row.bar.value:g}",
            file=sys.stderr,
        )
    return ExitCode.NOTHING if short else ExitCode.DONE


def _run_collection(options: argparse.Namespace) -> int:
    from assistant.compiling.settings import default_settings
    from assistant.evaluation.collection import collection_chunks, compile_collection, read_collection
    from assistant.evaluation.compare import compare
    from assistant.evaluation.report import comparison_json, comparison_lines
    from assistant.evaluation.texts import texts_of_chunks
    from assistant.pack.reader import Pack

    collection = read_collection(Path(options.collection))
    trec = _new_folder(options.trec)
    measures = ("nDCG@10", "MAP", "P@5", "MRR", "success@1", "success@3", "success@5")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "collection.pack")
        say(f"compiling {len(collection.documents)} documents")
        compile_collection(collection, default_settings(), path)
        with Pack(path) as pack:
            comparison = compare(
                pack,
                collection.questions,
                collection.qrels,
                measures,
                texts=texts_of_chunks(collection_chunks(collection)),
                depth=1000,
                progress=say,
            )
    _print(comparison_json(comparison), "\n".join(comparison_lines(comparison)), options)
    if trec:
        _write_trec(trec, collection.qrels, comparison.runs)
    return ExitCode.DONE


def _sealed(options: argparse.Namespace) -> int:
    from assistant.evaluation.report import report_json, report_text, score_notes
    from assistant.evaluation.sealed import ledger_line, read_sealed, write_ledger
    from assistant.journal.store import now

    if not options.why.strip():
        raise UsageError("a reason is kept for each time that the sealed questions are opened: name it with --why")
    folder = Path(options.eval, "sealed")
    questions, talks, digest = read_sealed(folder)
    with open_pack(options) as pack:
        report = score_notes(pack, questions, talks, "sealed", say, _texts(options))
    shares = {name: (share.k, share.n) for name, share in report.shares.items() if share.n}
    opened = len(write_ledger(folder, ledger_line(now(), report.pack, digest, shares, options.why)))
    print(f"opened {opened} times by the ledger in {folder}", file=sys.stderr)
    _print(report_json(report), report_text(report), options)
    return ExitCode.DONE


def _texts(options: argparse.Namespace) -> Texts | None:
    from assistant.evaluation.texts import texts_of_folder

    return texts_of_folder(places_of(options).corpus)


def _check(options: argparse.Namespace) -> int:
    from assistant.evaluation.compare import Ours
    from assistant.evaluation.labels import read_questions
    from assistant.evaluation.leakage import check_leakage
    from assistant.notes.corpus import read_corpus

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("the check reads the notes: name their folder with --corpus")
    questions = read_questions(Path(options.eval, "questions.jsonl"))
    corpus = read_corpus(places.corpus)
    with open_pack(options) as pack:
        ours = Ours(pack)
        asked = counted(questions, say, f"asking {len(questions)} questions")
        first = [next((note for note, _ in ours.rank(q.question, 1)), "") for q in asked]
    say("comparing texts")
    findings = check_leakage(corpus, questions, first)
    lines = []
    for finding in findings:
        lines.append(f"{'fair  ' if finding.fair else 'UNFAIR'}  {finding.name}: {finding.detail}")
        lines += [] if finding.fair else [f"          {example}" for example in finding.examples]
    _print([{"name": f.name, "fair": f.fair, "detail": f.detail} for f in findings], "\n".join(lines), options)
    return ExitCode.DONE if all(f.fair for f in findings) else ExitCode.NOTHING


def _tune(options: argparse.Namespace) -> int:
    from assistant.evaluation.tuning import tune
    from assistant.notes.corpus import read_corpus
    from assistant.notes.writing import write_whole

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("tuning reads the notes: name their folder with --corpus")
    questions, talks = _labels(options)
    path = Path(options.settings)
    text = tune(read_corpus(places.corpus), path.read_text("utf-8"), questions, talks, say)
    write_whole(path, text)
    print(f"settings written to {path}", file=sys.stderr)
    return ExitCode.DONE
