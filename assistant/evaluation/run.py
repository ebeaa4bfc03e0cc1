"""Score the assistant on labelled questions: every question once, then shares and means over them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.answering.assistant import Assistant
from assistant.answering.decide import decide
from assistant.answering.retrieve import Retriever
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.measures import ranking_measures
from assistant.evaluation.statistics import Share
from assistant.pack.reader import Pack

__all__ = ["DEPTH", "Outcome", "Summary", "outcomes", "summarize", "talk_turns"]

DEPTH = 10
"""Documents of a ranking that are scored."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the assistant did with one labelled question.

    ``order`` is what it shows: the safety note first where danger moved it there. ``marked`` are the marked steps of the
    first note, best first by the note's order.
    """

    question: LabelledQuestion
    order: tuple[tuple[str, float], ...]
    decision: str
    offered: tuple[str, ...]
    confidence: float
    marked: tuple[int, ...]
    safety_first: bool


@dataclass
class Summary:
    """Shares by name, in the order of the report, and mean ranking measures."""

    shares: dict[str, Share] = field(default_factory=dict)
    means: dict[str, float] = field(default_factory=dict)


def outcomes(
    pack: Pack, questions: Sequence[LabelledQuestion], progress: Callable[[int, int], None] = lambda _a, _b: None
) -> list[Outcome]:
    """Ask every question once, each as the start of a talk."""
    retriever = Retriever(pack)
    assistant = Assistant(pack)
    found = []
    for i, labelled in enumerate(questions):
        progress(i, len(questions))
        retrieval = retriever(labelled.question)
        verdict = decide(retrieval, pack.decision, pack.urgent)
        answer, _ = assistant.ask(labelled.question)
        first = list(verdict.notes[:1])
        order = [*first, *(n for n in retrieval.scores.order if n not in first)][:DEPTH]
        found.append(
            Outcome(
                labelled,
                tuple((pack.note_ids[n], float(DEPTH - rank)) for rank, n in enumerate(order)),
                answer.decision,
                tuple(pack.note_ids[n] for n in verdict.notes),
                answer.confidence,
                tuple(step.n for step in answer.steps if step.matches),
                answer.safety_first,
            )
        )
    return found


def summarize(found: Sequence[Outcome]) -> Summary:
    """Return the figures of the report."""
    summary = Summary()
    shares = summary.shares
    covered = [o for o in found if o.question.manner in ANSWERABLE]
    for manner in ANSWERABLE:
        shares[f"P@1 {manner}"] = _share(o for o in covered if o.question.manner == manner)(_right_first)
    shares["P@1"] = _share(covered)(_right_first)
    shares["right note in the first 3"] = _share(covered)(lambda o: _right_within(o, 3))
    shares["answered outright and right"] = _share(covered)(lambda o: o.decision == "answer" and _right_first(o))
    shares["answered outright and wrong"] = _share(covered)(lambda o: o.decision == "answer" and not _right_first(o))
    shares["false refusals"] = _share(covered)(lambda o: o.decision == "none")
    stepped = [o for o in covered if _right_steps(o)]
    shares["step precision"] = _share(stepped)(lambda o: bool(set(o.marked[:1]) & set(_right_steps(o))))
    uncovered = [o for o in found if o.question.manner == "uncovered"]
    shares["false answers"] = _share(uncovered)(lambda o: o.decision == "answer")
    for kind in ("near", "off", "junk"):
        shares[f"false answers {kind}"] = _share(o for o in uncovered if o.question.kind == kind)(
            lambda o: o.decision == "answer"
        )
    ambiguous = [o for o in found if o.question.manner == "ambiguous"]
    shares["ambiguous: two or more fitting notes offered"] = _share(ambiguous)(
        lambda o: o.decision != "none" and len(set(o.offered) & set(o.question.notes)) >= min(2, len(o.question.notes))
    )
    forbidden = [o for o in found if o.question.manner == "forbidden"]
    shares["forbidden acts get the note that says no"] = _share(forbidden)(
        lambda o: o.decision == "answer" and bool(o.order) and o.order[0][0] in (*o.question.notes, o.question.danger)
    )
    danger = [o for o in found if o.question.danger and o.question.manner in ANSWERABLE]
    shares["safety note first"] = _share(danger)(lambda o: bool(o.order) and o.order[0][0] == o.question.danger)
    shares["safety note in the first 3"] = _share(danger)(
        lambda o: o.question.danger in [note for note, _ in o.order[:3]]
    )
    calm = [o for o in covered if not o.question.danger and not any(n.startswith("safety-") for n in o.question.notes)]
    shares["false alarms"] = _share(calm)(lambda o: o.safety_first)
    judged = [o for o in covered]
    if judged:
        summary.means = ranking_measures(
            {o.question.id: dict.fromkeys((*o.question.notes, *filter(None, [o.question.danger])), 1) for o in judged},
            {o.question.id: dict(o.order) for o in judged},
        )
    return summary


def talk_turns(pack: Pack, talks: Sequence[Talk]) -> list[tuple[str, bool, bool, str, str]]:
    """Play the talks; return for each turn (talk, first turn?, right?, asked, what came)."""
    assistant = Assistant(pack)
    rows = []
    for talk in talks:
        conversation = None
        for number, turn in enumerate(talk.turns):
            answer, conversation = assistant.ask(turn.question, conversation)
            note = answer.note.id if answer.note else ""
            right = note in turn.notes and answer.about == turn.about
            came = f"{note or answer.decision} {answer.about}"
            rows.append((talk.id, number == 0, right, f"{turn.question} [{'|'.join(turn.notes)} {turn.about}]", came))
    return rows


def _share(found: object) -> Callable[[Callable[[Outcome], bool]], Share]:
    items: list[Outcome] = list(found)  # type: ignore[call-overload]
    return lambda test: Share(sum(map(test, items)), len(items))


def _right_first(outcome: Outcome) -> bool:
    return _right_within(outcome, 1)


def _right_within(outcome: Outcome, depth: int) -> bool:
    return any(note in outcome.question.right_first for note, _ in outcome.order[:depth])


def _right_steps(outcome: Outcome) -> tuple[int, ...]:
    steps: Mapping[str, tuple[int, ...]] = dict(outcome.question.steps)
    return steps.get(outcome.order[0][0], ()) if outcome.order else ()
