"""Score the assistant on labelled questions: every question once, then shares and means over them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.answering.assistant import Assistant
from assistant.answering.compose import matching_steps
from assistant.answering.converse import Conversation
from assistant.answering.decide import decide
from assistant.answering.retrieve import Retrieval, Retriever
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk, TalkTurn
from assistant.evaluation.measures import ranking_measures
from assistant.evaluation.statistics import Share
from assistant.pack.reader import Pack

__all__ = [
    "DEPTH",
    "Outcome",
    "Summary",
    "TurnOutcome",
    "any_note",
    "decided",
    "leavers",
    "outcomes",
    "right_first",
    "summarize",
    "talk_turns",
]

_FOLDS_APART = 5
DEPTH = 10
"""Documents of a ranking that are scored."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the assistant did with one labelled question.

    ``order`` is what it shows: the safety note first where danger moved it. ``marked`` are the marked steps of the
    first note, best first by the note's order.
    """

    question: LabelledQuestion
    order: tuple[tuple[str, float], ...]
    decision: str
    offered: tuple[str, ...]
    confidence: float
    marked: tuple[int, ...]
    safety_first: bool


@dataclass(frozen=True, slots=True)
class TurnOutcome:
    """One turn of a talk: whether note and kind were right, and what came."""

    talk: str
    first: bool
    right: bool
    turn: TalkTurn
    came: str


@dataclass
class Summary:
    """Shares by name, in the order of the report, and mean ranking measures."""

    shares: dict[str, Share] = field(default_factory=dict)
    means: dict[str, float] = field(default_factory=dict)


def outcomes(pack: Pack, questions: Sequence[LabelledQuestion]) -> list[Outcome]:
    """Ask every question once, each as the start of a talk."""
    retriever = Retriever(pack)
    return [_outcome(pack, labelled, retriever(labelled.question)) for labelled in questions]


def decided(pack: Pack, questions: Sequence[LabelledQuestion], retrievals: Sequence[Retrieval]) -> list[Outcome]:
    """Decide on retrievals made before; for trying thresholds."""
    return [_outcome(pack, q, retrieval, steps=False) for q, retrieval in zip(questions, retrievals, strict=True)]


def _outcome(pack: Pack, labelled: LabelledQuestion, retrieval: Retrieval, *, steps: bool = True) -> Outcome:
    verdict = decide(retrieval, pack.decision, pack.urgent)
    first = list(verdict.notes[:1])
    order = [*first, *(n for n in retrieval.scores.order if n not in first)][:DEPTH]
    note = pack.note(pack.note_ids[order[0]]) if order and steps and labelled.steps else None
    marked = matching_steps(note, retrieval.terms, pack.step_weights(note.id)) if note else ()
    return Outcome(
        labelled,
        tuple((pack.note_ids[n], float(DEPTH - rank)) for rank, n in enumerate(order)),
        verdict.decision,
        tuple(pack.note_ids[n] for n in verdict.notes),
        verdict.confidence,
        tuple(step.n for step in marked if step.matches),
        verdict.safety_first,
    )


def summarize(found: Sequence[Outcome]) -> Summary:
    """Return the figures of the report."""
    summary = Summary()
    shares = summary.shares
    covered = [o for o in found if o.question.manner in ANSWERABLE]
    for manner in ANSWERABLE:
        shares[f"P@1 {manner}"] = _share(o for o in covered if o.question.manner == manner)(right_first)
    shares["P@1"] = _share(covered)(right_first)
    shares["right note in the first 3"] = _share(covered)(lambda o: _right_within(o, 3))
    shares["answered outright and right"] = _share(covered)(lambda o: o.decision == "answer" and right_first(o))
    shares["answered outright and wrong"] = _share(covered)(lambda o: o.decision == "answer" and not right_first(o))
    shares["false refusals"] = _share(covered)(lambda o: o.decision == "none")
    stepped = [o for o in covered if _right_steps(o)]
    marked = [n in _right_steps(o) for o in stepped for n in o.marked]
    shares["step precision: marked steps that are right"] = Share(sum(marked), len(marked))
    shares["a right step is marked"] = _share(stepped)(lambda o: bool(set(o.marked) & set(_right_steps(o))))
    uncovered = [o for o in found if o.question.manner == "uncovered"]
    shares["false answers"] = _share(uncovered)(lambda o: o.decision == "answer")
    for kind in ("near", "off", "junk"):
        shares[f"false answers {kind}"] = _share(o for o in uncovered if o.question.kind == kind)(
            lambda o: o.decision == "answer"
        )
    shares["uncovered and told so"] = _share(uncovered)(lambda o: o.decision == "none")
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
    if covered:
        summary.means = ranking_measures(
            {o.question.id: dict.fromkeys((*o.question.notes, *filter(None, [o.question.danger])), 1) for o in covered},
            {o.question.id: dict(o.order) for o in covered},
        )
    return summary


def talk_turns(assistant: Assistant, talks: Sequence[Talk]) -> list[TurnOutcome]:
    """Play the talks and judge every turn: the right note, and about what was asked."""
    rows = []
    for talk in talks:
        conversation = None
        for number, turn in enumerate(talk.turns):
            answer, conversation = assistant.ask(turn.question, conversation)
            note = answer.note.id if answer.note else ""
            right = note in turn.notes and answer.about == turn.about
            rows.append(TurnOutcome(talk.id, number == 0, right, turn, f"{note or answer.decision} {answer.about}"))
    return rows


def leavers(pack: Pack, questions: Sequence[LabelledQuestion]) -> Share:
    """Ask short questions while a note is in hand that has nothing to do with them; count those that leave it."""
    assistant = Assistant(pack)
    left = []
    for labelled in questions:
        in_hand = pack.note_ids[any_note(labelled.question, len(pack.note_ids))]
        if labelled.manner != "long" and in_hand not in labelled.notes:
            answer, _ = assistant.ask(labelled.question, Conversation(in_hand))
            left.append(answer.note is None or answer.note.id != in_hand)
    return Share(sum(left), len(left))


def any_note(text: str, count: int) -> int:
    """Return a note number drawn by the hash of a text: the same on every machine."""
    return int(hashlib.sha256(text.encode("utf-8")).hexdigest(), 16) // _FOLDS_APART % count


def _share(found: Iterable[Outcome]) -> Callable[[Callable[[Outcome], bool]], Share]:
    items = list(found)
    return lambda test: Share(sum(map(test, items)), len(items))


def right_first(outcome: Outcome) -> bool:
    """Tell whether the first note is right: the safety note where the question tells of danger."""
    return _right_within(outcome, 1)


def _right_within(outcome: Outcome, depth: int) -> bool:
    return any(note in outcome.question.right_first for note, _ in outcome.order[:depth])


def _right_steps(outcome: Outcome) -> tuple[int, ...]:
    steps: Mapping[str, tuple[int, ...]] = dict(outcome.question.steps)
    return steps.get(outcome.order[0][0], ()) if outcome.order else ()
