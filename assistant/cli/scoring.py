"""What the commands under ``assistant score`` share."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.common import add_eval, add_places, places_of, say, with_extra

if TYPE_CHECKING:
    from assistant.evaluation.labels import LabelledQuestion, Talk
    from assistant.evaluation.report import Report
    from assistant.evaluation.texts import Texts

__all__ = ["TUNE", "add_explain", "add_shared", "is_below", "labels_of", "print_as", "questions_of", "texts_of"]

TUNE = "tune"
"""The split that all commands but ``sealed`` read."""


def add_shared(act: argparse.ArgumentParser, run: Callable[[argparse.Namespace], int]) -> None:
    """Add what all these commands take, and what runs them."""
    add_places(act, argparse.SUPPRESS)
    add_eval(act)
    act.add_argument("--format", choices=("text", "json"), default="text")
    act.set_defaults(run=with_extra("scoring", run))


def add_explain(act: argparse.ArgumentParser) -> None:
    """Add the switch that explains the words of the figures."""
    act.add_argument("--explain", action="store_true", help="say in a line each what the words mean, at the end")


def print_as(value: Any, text: str, options: argparse.Namespace) -> None:
    """Print a value as JSON or its text, as the options ask; after the text what its words mean, with ``--explain``."""
    print(json.dumps(value, indent=1) if options.format == "json" else text.rstrip("\n"))
    if options.format == "json" or "explain" not in options:
        return
    from assistant.evaluation.glossary import glossary_lines, words_in

    if options.explain:
        print("\n".join(["", "what the words mean", *glossary_lines(words_in(text))]))
    else:
        print("--explain says in a line each what the words mean", file=sys.stderr)


def labels_of(options: argparse.Namespace) -> tuple[list[LabelledQuestion], list[Talk]]:
    """Return the labelled questions and talks; a file that is not there is told on stderr and counts as empty."""
    from assistant.evaluation.labels import read_questions, read_talks

    questions, talks = (Path(options.eval, name) for name in ("questions.jsonl", "dialogues.jsonl"))
    lacking = {path: what for path, what in ((questions, "questions"), (talks, "talks")) if not _is_there(path)}
    for path, what in lacking.items():
        print(f"{path}: is not there, so that no {what} are scored", file=sys.stderr)
    return (
        [] if questions in lacking else read_questions(questions),
        [] if talks in lacking else read_talks(talks),
    )


def questions_of(options: argparse.Namespace, what: str) -> list[LabelledQuestion]:
    """Return the labelled questions, none where their file is not there; stderr then tells that none are ``what``."""
    from assistant.evaluation.labels import read_questions

    path = Path(options.eval, "questions.jsonl")
    if _is_there(path):
        return read_questions(path)
    print(f"{path}: is not there, so that no questions are {what}", file=sys.stderr)
    return []


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def texts_of(options: argparse.Namespace) -> Texts | None:
    """Return what the baselines rank, where the folder of notes is at hand."""
    from assistant.evaluation.texts import texts_of_folder

    found = texts_of_folder(places_of(options).corpus)
    if found is None:
        say("no notes named with --corpus: other rankings see the texts of the pack, without phrases and examples")
    return found


def is_below(report: Report, baseline: str | None) -> bool:
    """Tell on stderr which figures fell below those of a saved baseline, and whether any did."""
    from assistant.evaluation.report import below_baseline

    worse = below_baseline(report, Path(baseline)) if baseline else []
    for line in worse:
        print(f"below the baseline: {line}", file=sys.stderr)
    return bool(worse)
