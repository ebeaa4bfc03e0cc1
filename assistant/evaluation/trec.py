"""Runs and judgements in the text form of the TREC conferences, for other programs to score."""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.errors import AssistantError
from assistant.evaluation.measures import Qrels, Run

__all__ = ["QRELS_NAME", "run_name", "trec_files", "trec_qrels", "trec_run"]

QRELS_NAME = "qrels.txt"
_NOT_IN_NAMES = re.compile(r"[^a-z0-9]+")


def trec_files(qrels: Qrels, runs: Mapping[str, Run]) -> dict[str, str]:
    """Return the files by name: the judgements, and one run for each ranking.

    Raises
    ------
    AssistantError
        If an id is empty or has a blank in it, which the form cannot hold, or two rankings would share a file.
    """
    files = {QRELS_NAME: trec_qrels(qrels)}
    for name, run in runs.items():
        file = f"{run_name(name)}.run"
        if file in files:
            raise AssistantError(f"{file}: two rankings of that name")
        files[file] = trec_run(run, run_name(name))
    return files


def run_name(ranking: str) -> str:
    """Return the name of a ranking in small letters, digits and hyphens."""
    return _NOT_IN_NAMES.sub("-", ranking.lower()).strip("-") or "run"


def trec_qrels(qrels: Qrels) -> str:
    """Return the judgements: topic, 0, document and grade a line."""
    rows = [(topic, document, grade) for topic in sorted(qrels) for document, grade in sorted(qrels[topic].items())]
    return "".join(f"{_field(topic)} 0 {_field(document)} {grade}\n" for topic, document, grade in rows)


def trec_run(run: Run, tag: str) -> str:
    """Return a run: topic, Q0, document, rank from 1, score and tag a line, best first.

    Other programs order by the score, in single precision, and by the id where scores are equal, whatever the rank
    says. So the score is the place counted from the end: a whole number that no other document of the topic has.
    """
    lines = []
    for topic in sorted(run):
        ranked = sorted(run[topic], key=lambda document: -run[topic][document])
        lines += [
            f"{_field(topic)} Q0 {_field(document)} {rank} {len(ranked) - rank + 1} {tag}\n"
            for rank, document in enumerate(ranked, start=1)
        ]
    return "".join(lines)


def _field(name: str) -> str:
    if not name or any(character.isspace() for character in name):
        raise AssistantError(f"{name!r}: an id with a blank, or none, cannot stand in a run")
    return name
