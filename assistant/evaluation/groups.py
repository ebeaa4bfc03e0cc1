"""Questions labelled by need: what would be one note, to hold a grouping against."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.statistics import Share
from assistant.notes.text import read_text

__all__ = ["Grouping", "NeededQuestion", "grouping_json", "grouping_of", "grouping_text", "read_needs"]

_MOST_BYTES = 8 * 2**20


class NeededQuestion(NamedTuple):
    """A question, and the need behind it: those of one need would be one note."""

    need: str
    question: str


class Grouping(NamedTuple):
    """How well groups hold what belongs together.

    ``rand`` is the Rand index adjusted for chance: 1 where both are the same, 0 where the groups are drawn. Of all
    pairs in one group ``precision`` are of one need, of all pairs of one need ``recall`` are in one group.

    Source
    ------
    Hubert and Arabie, Comparing partitions, Journal of Classification 2(1), 1985 (from memory).
    """

    questions: int
    needs: int
    groups: int
    rand: float
    precision: Share
    recall: Share


def read_needs(path: Path) -> list[NeededQuestion]:
    """Read labelled questions: a line ``{"need": ..., "question": ...}`` each.

    Raises
    ------
    NotesError
        If the file cannot be read, a line of it is none, or a question stands in it twice.
    """
    found: dict[str, NeededQuestion] = {}
    for number, line in enumerate(read_text(path, str(path), _MOST_BYTES).splitlines(), start=1):
        values = json_object(line) or {}
        need, question = values.get("need"), values.get("question")
        if not isinstance(need, str) or not isinstance(question, str) or not need or not question:
            raise NotesError([Fault(str(path), number, 'must be an object with texts "need" and "question"')])
        if question in found:
            raise NotesError([Fault(str(path), number, "this question stands here already")])
        found[question] = NeededQuestion(need, question)
    return list(found.values())


def grouping_of(labelled: Sequence[NeededQuestion], groups: Sequence[int]) -> Grouping:
    """Return how well groups hold the needs; ``groups`` has the number of the group of each question."""
    from sklearn.metrics import adjusted_rand_score

    needs = [one.need for one in labelled]
    both = _pairs(list(zip(needs, groups, strict=True)))
    return Grouping(
        questions=len(needs),
        needs=len(set(needs)),
        groups=len(set(groups)),
        rand=float(adjusted_rand_score(needs, groups)),
        precision=Share(both, _pairs(groups)),
        recall=Share(both, _pairs(needs)),
    )


def _pairs(values: Sequence[object]) -> int:
    return sum(count * (count - 1) // 2 for count in Counter(values).values())


def grouping_json(found: Grouping) -> dict[str, Any]:
    """Return the figures as JSON."""
    shares = {"precision": found.precision, "recall": found.recall}
    return {**found._asdict(), **{name: {"k": share.k, "n": share.n} for name, share in shares.items()}}


def grouping_text(found: Grouping) -> str:
    """Return the figures as lines."""
    return "\n".join(
        (
            f"{found.questions} questions of {found.needs} needs in {found.groups} groups",
            f"adjusted Rand index            {found.rand:.3f}",
            f"pairs in a group of one need   {_plain(found.precision)}",
            f"pairs of one need in a group   {_plain(found.recall)}",
        )
    )


def _plain(share: Share) -> str:
    """Return a share without an interval: pairs hang together."""
    return f"{share.k}/{share.n}" + (f" = {share.value:.3f}" if share.n else "")
