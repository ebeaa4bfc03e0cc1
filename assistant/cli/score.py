"""``assistant score``: figures on labelled questions, and what belongs to them."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from assistant.cli.common import add_places, open_pack, places_of, say
from assistant.errors import ExitCode, MissingExtraError, UsageError

__all__ = ["add_arguments"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the sub-commands."""
    acts = parser.add_subparsers(dest="act", metavar="act", required=True)
    run = acts.add_parser("run", help="score the labelled questions, or an open collection")
    run.add_argument("--split", choices=("tune", "sealed", "all"), default="tune")
    run.add_argument("--collection", metavar="DIR", help="corpus.jsonl, queries.jsonl and qrels/NAME.tsv")
    run.add_argument("--baseline", metavar="FILE", help="leave with exit code 1 where a figure fell below this file's")
    run.add_argument("--save-baseline", metavar="FILE", help="write the figures as the new baseline")
    run.add_argument("--misses", action="store_true", help="list the questions that came out wrong")
    check = acts.add_parser("check", help="check that the labelled questions are fair")
    agree = acts.add_parser("agree", help="agreement of the two labellers")
    tune = acts.add_parser("tune", help="learn the decision anew and write it into a settings file")
    tune.add_argument("settings", metavar="FILE", help="settings.json to rewrite")
    tune.add_argument("--bars-only", action="store_true", help="keep the models and choose the bars alone")
    for act, function in ((run, _run), (check, _check), (agree, _agree), (tune, _tune)):
        add_places(act, argparse.SUPPRESS)
        act.add_argument("--eval", metavar="DIR", default="eval", help="folder of labelled questions")
        act.add_argument("--format", choices=("text", "json"), default="text")
        act.set_defaults(run=_with_extra(function))


def _with_extra(function: Any) -> Any:
    def run(options: argparse.Namespace) -> int:
        try:
            return int(function(options))
        except ModuleNotFoundError as error:
            raise MissingExtraError(
                f"scoring needs the package '{error.name}': pip install 'station-assistant[desk]'"
            ) from error

    return run


def _print(value: Any, text: str, options: argparse.Namespace) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=1) if options.format == "json" else text.rstrip("\n"))


def _run(options: argparse.Namespace) -> int:
    if options.collection:
        return _run_collection(options)
    from assistant.evaluation import report as reports
    from assistant.evaluation.labels import read_questions, read_talks

    folder = Path(options.eval)
    questions = read_questions(folder / "questions.jsonl")
    talks = read_talks(folder / "dialogues.jsonl")
    with open_pack(options) as pack:
        report = reports.score_notes(pack, questions, talks, options.split, say)
        misses = reports.misses(pack, questions, talks, options.split) if options.misses else []
    _print(reports.report_json(report), "\n".join([reports.report_text(report), *misses]), options)
    if options.save_baseline:
        path = Path(options.save_baseline)
        saved: dict[str, Any] = {"splits": {}}
        with suppress(OSError, ValueError, TypeError, KeyError):
            saved = {"splits": dict(json.loads(path.read_text("utf-8"))["splits"])}
        saved["splits"][options.split] = {
            name: round(share.value, 4) for name, share in report.shares.items() if share.n
        }
        path.write_text(json.dumps(saved, indent=1, sort_keys=True) + "\n", "utf-8")
        print(f"baseline written to {path}", file=sys.stderr)
    if options.baseline:
        worse = reports.below_baseline(report, Path(options.baseline))
        for line in worse:
            print(f"below the baseline: {line}", file=sys.stderr)
        return ExitCode.NOTHING if worse else ExitCode.DONE
    return ExitCode.DONE


def _run_collection(options: argparse.Namespace) -> int:
    from assistant.evaluation.collection import compile_collection, read_collection
    from assistant.evaluation.compare import compare
    from assistant.evaluation.report import comparison_json, comparison_lines
    from assistant.pack.reader import Pack
    from assistant.pack.settings import default_settings

    collection = read_collection(Path(options.collection))
    measures = ("nDCG@10", "MAP", "P@5", "MRR", "success@1", "success@3", "success@5")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "collection.pack")
        say(f"compiling {len(collection.documents)} documents")
        compile_collection(collection, default_settings(), path)
        with Pack(path) as pack:
            comparison = compare(pack, collection.questions, collection.qrels, measures, depth=1000, progress=say)
    _print(comparison_json(comparison), "\n".join(comparison_lines(comparison)), options)
    return ExitCode.DONE


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
        say(f"asking {len(questions)} questions")
        first = [next((note for note, _ in ours.rank(q.question, 1)), "") for q in questions]
    say("comparing texts")
    findings = check_leakage(corpus, questions, first)
    lines = []
    for finding in findings:
        lines.append(f"{'fair  ' if finding.fair else 'UNFAIR'}  {finding.name}: {finding.detail}")
        lines += [] if finding.fair else [f"          {example}" for example in finding.examples]
    _print([{"name": f.name, "fair": f.fair, "detail": f.detail} for f in findings], "\n".join(lines), options)
    return ExitCode.DONE if all(f.fair for f in findings) else ExitCode.NOTHING


def _agree(options: argparse.Namespace) -> int:
    from assistant.evaluation.agreement import agreement, agreement_text

    found = agreement(Path(options.eval, "questions.jsonl"), Path(options.eval, "second.jsonl"))
    _print(found, agreement_text(found), options)
    return ExitCode.DONE


def _tune(options: argparse.Namespace) -> int:
    from assistant.evaluation.labels import read_questions, read_talks
    from assistant.evaluation.tuning import tune
    from assistant.notes.corpus import read_corpus

    places = places_of(options)
    if places.corpus is None:
        raise UsageError("tuning reads the notes: name their folder with --corpus")
    folder = Path(options.eval)
    questions = [q for q in read_questions(folder / "questions.jsonl") if q.split == "tune"]
    talks = [talk for talk in read_talks(folder / "dialogues.jsonl") if talk.split == "tune"]
    path = Path(options.settings)
    text = tune(
        read_corpus(places.corpus), path.read_text("utf-8"), questions, talks, say, models=not options.bars_only
    )
    path.write_text(text, "utf-8")
    print(f"settings written to {path}", file=sys.stderr)
    return ExitCode.DONE
