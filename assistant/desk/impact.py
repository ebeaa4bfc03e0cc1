"""What a change of the notes does to questions: labelled ones and those of the journals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence, Set
from typing import Literal, NamedTuple

from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.outdated import OldLine, is_old, lines_answered, named_since, old_lines
from assistant.evaluation.run import Outcome, came_right, outcomes
from assistant.evaluation.statistics import Share, sign_flip
from assistant.model import Corpus
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["Change", "Impact", "Kind", "as_labelled", "change_of", "impact", "worst_first"]

Kind = Literal["gain", "loss", "safety lost", "safety gained", "label to look at again", "changed"]
_ORDER: tuple[Kind, ...] = ("safety lost", "loss", "label to look at again", "safety gained", "gain", "changed")
_ASKED = "asked"


class Change(NamedTuple):
    """One question whose first note, decision or safety order differs between the two states.

    ``before`` and ``after`` are (decision, first note, whether a safety note was put first).
    """

    kind: Kind
    question: str
    wanted: tuple[str, ...]
    before: tuple[str, str, bool]
    after: tuple[str, str, bool]


class Impact(NamedTuple):
    """The changes, worst first, and what they come to.

    ``right`` holds the shares of labelled questions that come out right before and after, ``p`` the paired
    randomization test between them, of all labels but those to look at again. ``thief`` is the note that came first on
    most questions whose right note lost the first place, with their number; empty where there are none. ``lines`` are
    those of ``uncovered.txt`` that a new note covers.
    """

    changes: tuple[Change, ...]
    right: tuple[Share, Share]
    p: float
    asked: int
    thief: tuple[str, int]
    lines: tuple[OldLine, ...] = ()

    def count(self, kind: Kind) -> int:
        """Return how many changes are of a kind."""
        return sum(change.kind == kind for change in self.changes)


def as_labelled(texts: Iterable[str]) -> list[LabelledQuestion]:
    """Return questions of journals, which nobody has labelled, in the form in which questions are asked."""
    return [
        LabelledQuestion(f"journal-{number}", text, _ASKED, (), "", "")
        for number, text in enumerate(sorted(set(texts)), start=1)
    ]


def impact(
    before: Pack,
    after: Pack,
    labelled: Sequence[LabelledQuestion],
    asked: Sequence[str] = (),
    progress: Progress = silent,
    corpus: Corpus | None = None,
) -> Impact:
    """Ask every question in both states and return what differs.

    Parameters
    ----------
    labelled
        Questions with their right notes.
    asked
        Questions of journals; a change among them is neither gain nor loss, as nobody has labelled them.
    corpus
        The notes behind ``after``, whose ``uncovered.txt`` is held against the new ones among them.
    """
    new = frozenset(after.note_ids) - frozenset(before.note_ids)
    named = named_since(labelled)
    questions = [*labelled, *as_labelled(asked)]
    pairs = list(zip(outcomes(before, questions, progress), outcomes(after, questions, progress), strict=True))
    changes = [change for pair in pairs if (change := change_of(*pair, named, new))]
    judged = [
        (came_right(one), came_right(other))
        for one, other in pairs
        if one.question.manner != _ASKED and not is_old(other, named, new)
    ]
    was, now = [float(one) for one, _ in judged], [float(other) for _, other in judged]
    stolen = Counter(
        change.after[1]
        for change in changes
        if change.kind in {"loss", "safety lost"} and change.after[1] and change.after[1] != change.before[1]
    )
    thief = min(stolen.items(), key=lambda pair: (-pair[1], pair[0])) if stolen else ("", 0)
    return Impact(
        worst_first(changes),
        (Share(sum(map(int, was)), len(was)), Share(sum(map(int, now)), len(now))),
        sign_flip(now, was),
        sum(question.manner == _ASKED for question in questions),
        thief,
        tuple(old_lines(corpus, new, lines_answered(after, corpus.uncovered, progress))) if corpus and new else (),
    )


def worst_first(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Return the changes in the order in which they are told."""
    return tuple(sorted(changes, key=lambda change: (_ORDER.index(change.kind), change.question)))


def _seen(outcome: Outcome) -> tuple[str, str, bool]:
    return outcome.decision, outcome.order[0][0] if outcome.order else "", outcome.safety_first


def change_of(
    one: Outcome, other: Outcome, named: Mapping[str, str] | None = None, new: Set[str] = frozenset()
) -> Change | None:
    """Return what has become of a question between two states; None where the rep sees the same.

    Parameters
    ----------
    named, new
        As of `assistant.evaluation.outdated.is_old`: which labels a new note has made old.
    """
    before, after = _seen(one), _seen(other)
    question = one.question
    kind: Kind = "changed"
    if question.manner != _ASKED and came_right(one) != came_right(other):
        kind = "loss" if came_right(one) else "gain"
    if question.danger and (before[1] in question.danger) != (after[1] in question.danger):
        kind = "safety lost" if before[1] in question.danger else "safety gained"
    if is_old(other, named or {}, new):
        kind = "label to look at again"
    if kind == "changed" and before == after:
        return None
    return Change(kind, question.question, question.right_first, before, after)
