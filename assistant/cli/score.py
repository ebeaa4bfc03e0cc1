"""``assistant score``: figures on labelled questions, and what belongs to them."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from assistant.cli.common import open_pack, places_of, say
from assistant.cli.label import add_agree, add_label
from assistant.cli.relabel import add_relabel
from assistant.cli.score_groups import add_groups
from assistant.cli.scoring import TUNE, add_explain, add_shared, is_below, labels_of, print_as, questions_of, texts_of
from assistant.cli.sign_off import add_release
from assistant.errors import AssistantError, ExitCode, UsageError
from assistant.wording import counted

__all__ = ["add_arguments"]


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
    add_release(acts)
    sealed = acts.add_parser("sealed", help="score the sealed questions, and write down that they were opened")
    sealed.add_argument("--why", metavar="TEXT", required=True, help="the reason, kept in the ledger beside them")
    check = acts.add_parser("check", help="check that the labelled questions are fair")
    add_label(acts)
    add_relabel(acts)
    add_agree(acts)
    add_groups(acts)
    tune = acts.add_parser("tune", help="learn the decision anew and write it into a settings file")
    tune.add_argument("settings", metavar="FILE", help="settings.json to rewrite, or to write from the one that ships")
    tune.add_argument(
        "--stated", action="store_true", help="learn the stated probabilities alone; every decision stays as it is"
    )
    for act, function in ((run, _run), (versus, _compare), (sealed, _sealed), (check, _check), (tune, _tune)):
        add_shared(act, function)
    for act in (run, versus, sealed):
        add_explain(act)


def _run(options: argparse.Namespace) -> int:
    if options.collection:
        return _run_collection(options)
    from assistant.evaluation import report as reports
    from assistant.notes.text import regular
    from assistant.notes.writing import write_whole

    questions, talks = labels_of(options)
    folder = _new_folder(options.trec)
    with open_pack(options) as pack:
        report = reports.score_notes(pack, questions, talks, TUNE, say, texts_of(options))
        misses = reports.misses(pack, report) if options.misses else []
    print_as(reports.report_json(report), "\n".join([reports.report_text(report), *misses]), options)
    if folder:
        _write_trec(folder, *reports.report_runs(report))
    if options.save_baseline:
        path = Path(options.save_baseline)
        saved: dict[str, Any] = {"splits": {}}
        with suppress(OSError, ValueError, TypeError, KeyError):
            saved = {"splits": dict(json.loads(regular(path).read_text("utf-8"))["splits"])}
        saved["splits"][TUNE] = {name: round(share.value, 4) for name, share in report.shares.items() if share.n}
        write_whole(path, json.dumps(saved, indent=1, sort_keys=True) + "\n")
        print(f"baseline written to {path}", file=sys.stderr)
    return ExitCode.NOTHING if is_below(report, options.baseline) else ExitCode.DONE


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
    print(f"{counted(len(files), 'file')} written to {folder}", file=sys.stderr)


def _compare(options: argparse.Namespace) -> int:
    from assistant.evaluation.comparing import compare_sides, versus_json, versus_text
    from assistant.evaluation.sides import Labels, read_side

    questions, talks = labels_of(options)
    labels = Labels(questions, talks, TUNE)
    corpus = places_of(options).corpus
    first, second = (read_side(Path(path), labels, corpus, say) for path in (options.first, options.second))
    say("drawing")
    versus = compare_sides(first, second, labels)
    print_as(versus_json(versus), versus_text(versus), options)
    return ExitCode.DONE


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
        say(f"compiling {counted(len(collection.documents), 'document')}")
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
    print_as(comparison_json(comparison), "\n".join(comparison_lines(comparison)), options)
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
        report = score_notes(pack, questions, talks, "sealed", say, texts_of(options))
    shares = {name: (share.k, share.n) for name, share in report.shares.items() if share.n}
    opened = len(write_ledger(folder, ledger_line(now(), report.pack, digest, shares, options.why)))
    print(f"opened {counted(opened, 'time')} by the ledger in {folder}", file=sys.stderr)
    print_as(report_json(report), report_text(report), options)
    return ExitCode.DONE


def _check(options: argparse.Namespace) -> int:
    from assistant.answering.spread import first_notes
    from assistant.evaluation.leakage import check_leakage
    from assistant.notes.corpus import read_corpus

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("the check reads the notes: name their folder with --corpus")
    questions = questions_of(options, "checked")
    if not questions:
        raise UsageError("nothing is labelled that could be checked; 'assistant score label' labels questions")
    corpus = read_corpus(places.corpus)
    with open_pack(options) as pack:
        notes = first_notes(pack, (q.question for q in questions), say)
    first = [notes[q.question] or "" for q in questions]
    say("comparing texts")
    findings = check_leakage(corpus, questions, first)
    lines = []
    for finding in findings:
        lines.append(f"{'fair  ' if finding.fair else 'UNFAIR'}  {finding.name}: {finding.detail}")
        lines += [] if finding.fair else [f"          {example}" for example in finding.examples]
    print_as([{"name": f.name, "fair": f.fair, "detail": f.detail} for f in findings], "\n".join(lines), options)
    return ExitCode.DONE if all(f.fair for f in findings) else ExitCode.NOTHING


def _tune(options: argparse.Namespace) -> int:
    from assistant.compiling.settings import read_settings, shipped_settings
    from assistant.evaluation.tuning import tune
    from assistant.notes.corpus import read_released
    from assistant.notes.writing import write_whole

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("tuning reads the notes: name their folder with --corpus")
    questions, talks = labels_of(options)
    path = Path(options.settings)
    before = shipped_settings()
    if path.exists() or path.is_symlink():
        read_settings(path)
        before = path.read_text("utf-8")
    tuned = tune(read_released(places.corpus), before, questions, talks, say, stated_alone=options.stated)
    for what in tuned.lacking:
        print(f"kept as it was, {what}", file=sys.stderr)
    if tuned.text == before:
        print(f"nothing was chosen anew, so that {path} is left as it is", file=sys.stderr)
    else:
        write_whole(path, tuned.text)
        print(f"settings written to {path}", file=sys.stderr)
    return ExitCode.DONE
