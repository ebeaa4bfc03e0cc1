"""The lines of a second labeller: notes, and what is said of a question in one word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.statistics import cohen_kappa, kappa_interval
from assistant.model import ABOUTS
from assistant.notes.text import regular

__all__ = ["SecondLabels", "joined", "read_second", "told_apart", "yes_or_no"]


class SecondLabels(NamedTuple):
    """Labels by the text of a question; those of a turn by its talk and its number, ``d001/2``.

    ``harm`` and ``forbidden`` say yes or no: does the question tell of harm to somebody now, does it ask leave for a
    forbidden act. ``about`` is what a turn asks for. Each holds the questions alone on which it was said.
    """

    notes: Mapping[str, Sequence[str]]
    turns: Mapping[str, Sequence[str]]
    harm: Mapping[str, str]
    forbidden: Mapping[str, str]
    about: Mapping[str, str]


def read_second(path: Path) -> SecondLabels:
    """Read JSON lines {"question", "notes"}, best note first and empty for none, perhaps with ``harm`` or ``forbidden``
    (true or false), and {"talk", "turn", "notes"}, the turn from 1, perhaps with ``about``.

    Raises
    ------
    NotesError
        With the line of the first record that is not as it should be.
    """
    labels = SecondLabels({}, {}, {}, {}, {})
    found: dict[str, dict[str, Any]] = {name: {} for name in labels._fields}
    for name, record in _records(path):
        turn = "turn" in record
        found["turns" if turn else "notes"][name] = record["notes"]
        if turn and "about" in record:
            found["about"][name] = record["about"]
        for word in () if turn else ("harm", "forbidden"):
            if word in record:
                found[word][name] = yes_or_no(record[word])
    return SecondLabels(**found)


def joined(labels: Sequence[SecondLabels]) -> SecondLabels:
    """Return the labels of several files as one; of a question that two hold the later counts."""
    fields = zip(*labels, strict=True)
    return SecondLabels(*({name: label for part in parts for name, label in part.items()} for parts in fields))


def yes_or_no(value: bool) -> str:
    """Return the word of a label that is true or false."""
    return "yes" if value else "no"


def told_apart(first: Mapping[str, str], second: Mapping[str, str]) -> dict[str, Any]:
    """Return how far two labellers say the same word of the questions that both judged; at least one.

    Returns
    -------
    dict
        ``questions``, ``agreed``, ``kappa``, ``interval`` (95 % bootstrap), ``apart``: what was labelled differently.
    """
    shared = [question for question in second if question in first]
    ours, theirs = [first[question] for question in shared], [second[question] for question in shared]
    interval = kappa_interval(ours, theirs)
    return {
        "questions": len(shared),
        "agreed": sum(a == b for a, b in zip(ours, theirs, strict=True)),
        "kappa": round(cohen_kappa(ours, theirs), 4),
        "interval": None if interval is None else [round(end, 4) for end in interval],
        "apart": [
            {"question": question, "first": a, "second": b}
            for question, a, b in zip(shared, ours, theirs, strict=True)
            if a != b
        ],
    }


def _records(path: Path) -> list[tuple[str, dict[str, Any]]]:
    """Return each record with the name of what it labels."""
    try:
        text = regular(path).read_text("utf-8")
    except UnicodeDecodeError as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error}")]) from error
    records = []
    for line, content in enumerate(text.split("\n"), start=1):
        if content.strip():
            record = json_object(content) or {}
            message = _wrong(record)
            if message:
                raise NotesError([Fault(str(path), line, message)])
            name = f"{record['talk']}/{record['turn']}" if "turn" in record else record["question"]
            records.append((name, record))
    return records


def _wrong(record: Mapping[str, Any]) -> str:
    """Return what is wrong with a record; empty where nothing is."""
    named = isinstance(record.get("question"), str)
    if "turn" in record:
        named = isinstance(record.get("talk"), str) and type(record["turn"]) is int
    notes = record.get("notes")
    if not named or not isinstance(notes, list) or any(type(note) is not str for note in notes):
        return "needs 'question' and 'notes'"
    if any(type(record.get(word, True)) is not bool for word in ("harm", "forbidden")):
        return "'harm' and 'forbidden' must be true or false"
    if record.get("about", ABOUTS[0]) not in ABOUTS:
        return f"'about' must be one of {', '.join(ABOUTS)}"
    return ""
