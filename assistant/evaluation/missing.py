"""Why a question came out wrong: unknown words, another note above the right one, a bar not reached, safety."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from assistant.analysis.tokens import printable
from assistant.answering.decide import margins_of
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.run import Outcome, came_right
from assistant.model import ScoredNote
from assistant.pack.reader import Pack

__all__ = ["CAUSES", "Cause", "Miss", "find_misses", "miss_line"]

CAUSES = (
    "safety",
    "outranked",
    "unknown word",
    "below threshold",
    "offered among options",
    "too few offered",
    "answered without a note",
    "offered without a note",
)
"""Kinds of cause in the order in which they are told; a miss may have several."""
_ASKED_FOR = 50
"""Percent from which a term stands for a word of the question and not for one that may mean it."""
_SHOWN = 3


class Cause(NamedTuple):
    """One reason for a miss; with ``outranked`` the note above, by how many points, and the term that brought most."""

    kind: str
    text: str
    note: str = ""
    points: int = 0
    term: str = ""


class Miss(NamedTuple):
    """A question that was not answered as its label asks: what was shown, best first, and why."""

    question: LabelledQuestion
    decision: str
    shown: tuple[str, ...]
    confidence: float
    causes: tuple[Cause, ...]


def find_misses(pack: Pack, found: Sequence[Outcome]) -> list[Miss]:
    """Return the questions that were not answered outright with a right note, or were although no note covers them.

    An ambiguous question is missed where fewer than two fitting notes are offered, and a look-alike that no note covers
    only where one is shown outright.
    """
    retriever = Retriever(pack)
    return [
        Miss(
            outcome.question,
            outcome.decision,
            tuple(note for note, _ in outcome.order[:_SHOWN]),
            outcome.confidence,
            tuple(_causes(outcome, retriever)),
        )
        for outcome in found
        if _missed(outcome)
    ]


def miss_line(miss: Miss) -> str:
    """Return a miss on one line: question, label, what came and why."""
    q = miss.question
    kind = f" {q.kind}" if q.kind else ""
    wanted = ", ".join(q.right_first) or "no note"
    causes = "; ".join(cause.text for cause in miss.causes)
    came = f"{miss.decision} {', '.join(miss.shown)}".rstrip()
    return printable(f"{q.id} {q.manner}{kind}: wanted {wanted}; {came}; {causes} | {q.question}")


def _missed(outcome: Outcome) -> bool:
    manner = outcome.question.manner
    if manner == "uncovered":
        return outcome.decision != "none"
    if manner in ("ambiguous", "forbidden") or not outcome.question.notes:
        return not came_right(outcome)
    return not came_right(outcome) or outcome.decision != "answer"


def _causes(outcome: Outcome, retriever: Retriever) -> Iterator[Cause]:
    q = outcome.question
    first = outcome.order[0][0] if outcome.order else ""
    if not q.notes:
        word = "answered" if outcome.decision == "answer" else "offered"
        if outcome.safety_first:
            yield Cause("safety", f"an alarm put {first} first", first)
        yield Cause(f"{word} without a note", f"{word} although no note covers it, confidence {outcome.confidence:.2f}")
        return
    wrong = first not in (q.relevant if q.manner in ("forbidden", "cry") else q.right_first)
    if wrong and q.danger:
        yield Cause("safety", f"the safety note {' or '.join(q.danger)} is not first", q.danger[0])
    elif wrong and outcome.safety_first:
        yield Cause("safety", f"an alarm put {first} first", first)
    retrieval = retriever(q.question)
    if wrong and q.manner != "ambiguous":
        yield from _outranked(q, retrieval, retriever)
    if wrong or outcome.decision == "none":
        yield from _unknown(retrieval)
    if outcome.decision != "answer" and not (wrong and outcome.decision == "choose"):
        yield Cause("below threshold", _bar_not_reached(retrieval, retriever.pack))
    if q.manner == "ambiguous":
        yield Cause("too few offered", f"fewer than two of {', '.join(q.notes)} are offered")
    elif outcome.decision == "choose" and set(outcome.offered) & set(q.right_first):
        place = min(outcome.offered.index(note) for note in q.right_first if note in outcome.offered) + 1
        yield Cause("offered among options", f"offered at place {place} of {len(outcome.offered)}")


def _outranked(q: LabelledQuestion, retrieval: Retrieval, retriever: Retriever) -> Iterator[Cause]:
    ids = retriever.pack.note_ids
    total = retrieval.scores.total
    right = [ids.index(note) for note in q.right_first if note in ids]
    if not right:
        yield Cause("outranked", f"the notes do not hold {', '.join(q.right_first)}")
        return
    if not retrieval.scores.order:
        return
    above = retrieval.scores.order[0]
    best = min(right, key=lambda note: (-total.get(note, 0), note))
    if above == best:
        return
    points = total[above] - total.get(best, 0)
    term, brought = _difference(retriever.explain(retrieval, above), retriever.explain(retrieval, best))
    yield Cause(
        "outranked",
        f"outranked by {ids[above]} by {points} points, of which '{term}' brought {brought}",
        ids[above],
        points,
        term,
    )


def _difference(above: ScoredNote, below: ScoredNote) -> tuple[str, int]:
    """Return the term that brought most more to the note above than to the one below, and how many points."""
    gained: Counter[str] = Counter()
    for sign, note in ((1, above), (-1, below)):
        for reason in note.reasons:
            gained[reason.term] += sign * reason.points
    return min(gained.items(), key=lambda pair: (-pair[1], pair[0]), default=("", 0))


def _unknown(retrieval: Retrieval) -> Iterator[Cause]:
    words = [
        term.origin
        for term in retrieval.query.terms
        if term.weight >= _ASKED_FOR and not (term.term in retrieval.rows and retrieval.rows[term.term].chunks)
    ]
    if words:
        yield Cause("unknown word", f"no note has {', '.join(map(repr, dict.fromkeys(words)))}")
    elif not retrieval.terms:
        yield Cause("unknown word", "no word to search for")


def _bar_not_reached(retrieval: Retrieval, pack: Pack) -> str:
    if not retrieval.scores.order:
        return "no note shares a word"
    margins, bars = margins_of(retrieval), pack.decision["bars"]
    if margins.over_none < bars["over_none"]:
        return f"{margins.over_none} points over no note, {bars['over_none']} needed"
    if margins.points < bars["points"]:
        return f"{margins.points} points, {bars['points']} needed"
    return f"{margins.lead} points over the second note, {bars['lead']} needed"
