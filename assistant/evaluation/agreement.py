"""How far two labellers agree who did not see one another's labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from assistant.analysis.tokens import printable
from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.judgements import read_judgements
from assistant.evaluation.labels import LabelledQuestion, read_questions, read_talks
from assistant.evaluation.second import joined, read_second, told_apart, yes_or_no
from assistant.evaluation.statistics import Share, cohen_kappa, kappa_interval
from assistant.notes.text import regular

__all__ = ["Labels", "agreement", "agreement_of", "agreement_of_labels", "agreement_text", "read_labels"]

_NONE = "none"
_TOLD = {
    "harm": "tells of harm or not",
    "forbidden": "asks leave for a forbidden act or not",
    "about": "what a turn is about",
}
Notes = Mapping[str, Sequence[str]]
"""Question -> ids of its notes, best first; empty where no note answers it."""


class Labels(NamedTuple):
    """Labels by the text of the question; ``steps`` maps it to note -> steps, where any are singled out."""

    notes: Notes
    steps: Mapping[str, Mapping[str, Sequence[int]]]


def agreement(questions: Path, second: Sequence[Path], talks: Path | None = None) -> dict[str, Any]:
    """Return kappa on the best first note, with its interval and the questions that were labelled differently.

    Parameters
    ----------
    second
        Files of the second labeller's lines, as of `second.read_second`. The first is a sample of all questions, on
        which the figures on top stand; others hold samples of what matters most, and count for ``kinds`` and ``told``.
    talks
        The talks that turns are looked up in.

    Returns
    -------
    dict
        As of `agreement_of`, and ``kinds``: the same counts for questions that tell of danger, for those that ask
        leave for a forbidden act, and for turns of talks, each where the second labeller has any; ``told``: the same
        of what both say of a question in one word, as `second.told_apart` does.
    """
    labelled = read_questions(questions)
    first = {q.question: q.right_first for q in labelled}
    theirs, *others = map(read_second, second)
    if not first.keys() & theirs.notes.keys():
        raise NotesError([Fault(str(second[0]), 1, "no question of the first labeller")])
    found = agreement_of(first, theirs.notes)
    both = joined((theirs, *others))
    turns = {
        f"{talk.id}/{number}": turn
        for talk in (read_talks(talks) if talks and both.turns else ())
        for number, turn in enumerate(talk.turns, start=1)
    }
    kinds: dict[str, tuple[Notes, Notes]] = {
        "danger": ({q.question: q.right_first for q in labelled if _tells_of_harm(q)}, both.notes),
        "forbidden": ({q.question: q.right_first for q in labelled if q.manner == "forbidden"}, both.notes),
        "talks": ({name: turn.notes for name, turn in turns.items()}, both.turns),
    }
    words = {
        "harm": ({q.question: yes_or_no(_tells_of_harm(q)) for q in labelled}, both.harm),
        "forbidden": ({q.question: yes_or_no(q.manner == "forbidden") for q in labelled}, both.forbidden),
        "about": ({name: turn.about for name, turn in turns.items()}, both.about),
    }
    counted = {name: _alike(*sides) for name, sides in kinds.items() if sides[0].keys() & sides[1].keys()}
    return {
        **found,
        "kinds": {name: {**counts, "apart": apart} for name, (counts, apart, _) in counted.items()},
        "told": {name: told_apart(*sides) for name, sides in words.items() if sides[0].keys() & sides[1].keys()},
        "unmatched": [name for name in both.notes if name not in first]
        + [name for name in both.turns if name not in turns],
    }


def _tells_of_harm(question: LabelledQuestion) -> bool:
    return bool(question.danger) or question.manner == "cry"


def agreement_of(first: Notes, second: Notes) -> dict[str, Any]:
    """Return kappa on the best first note over the questions that both labelled, in the order of the second.

    Leniently, the best note of the second labeller agrees with any note of the first: a labeller names several where
    they would serve equally. Strictly, the best note of one is held against the best of the other.

    Returns
    -------
    dict
        ``questions``, ``agreed``, ``kappa``, ``interval`` (95 % bootstrap), ``apart``: what was labelled differently,
        all lenient; ``strict``: ``agreed`` and ``kappa``; ``unmatched``: questions of the second labeller that the
        first does not have.

    Raises
    ------
    UsageError
        If no question was labelled by both.
    """
    counted, apart, (ours, theirs) = _alike(first, second)
    interval = kappa_interval(ours, theirs)
    return {
        **counted,
        "interval": None if interval is None else [round(end, 4) for end in interval],
        "apart": apart,
        "unmatched": [question for question in second if question not in first],
    }


def _alike(first: Notes, second: Notes) -> tuple[dict[str, Any], list[dict[str, Any]], tuple[list[str], list[str]]]:
    """Return how many agree and kappa, leniently and strictly, what does not agree, and the lenient labels of both."""
    ours: list[str] = []
    theirs: list[str] = []
    strict: list[str] = []
    apart = []
    for question, notes in second.items():
        if question not in first:
            continue
        best = notes[0] if notes else _NONE
        right = tuple(first[question]) or (_NONE,)
        ours.append(best if best in right else right[0])
        strict.append(right[0])
        theirs.append(best)
        if ours[-1] != best:
            apart.append({"question": question, "first": list(right), "second": list(notes)})
    if not ours:
        raise UsageError("the two labellers have no question in common")
    counted = {
        "questions": len(ours),
        "agreed": len(ours) - len(apart),
        "kappa": round(cohen_kappa(ours, theirs), 4),
        "strict": {
            "agreed": sum(a == b for a, b in zip(strict, theirs, strict=True)),
            "kappa": round(cohen_kappa(strict, theirs), 4),
        },
    }
    return counted, apart, (ours, theirs)


def agreement_of_labels(first: Labels, second: Labels) -> dict[str, Any]:
    """Return what `agreement_of` does, and how far the two agree on steps and on what no note answers.

    Returns
    -------
    dict
        Also ``uncovered``: questions that both, the first alone and the second alone call uncovered, and kappa on
        whether a question is covered; ``steps``: of the notes on which both marked steps of the same question, on how
        many the two sets are the same.
    """
    found = agreement_of(first.notes, second.notes)
    pairs = [
        (not first.notes[question], not second.notes[question]) for question in second.notes if question in first.notes
    ]
    sets = [
        (set(steps[note]), set(numbers))
        for question, marked in second.steps.items()
        for note, numbers in marked.items()
        if numbers and (steps := first.steps.get(question, {})).get(note)
    ]
    return {
        **found,
        "uncovered": {
            "both": pairs.count((True, True)),
            "first": pairs.count((True, False)),
            "second": pairs.count((False, True)),
            "kappa": round(cohen_kappa([str(a) for a, _ in pairs], [str(b) for _, b in pairs]), 4),
        },
        "steps": {"notes": len(sets), "agreed": sum(a == b for a, b in sets)},
    }


def read_labels(path: Path) -> Labels:
    """Read the labels of one labeller: ``questions.jsonl``, lines {"question", "notes"}, or a file of judgements.

    What is unsure or not judged is left out.

    Raises
    ------
    NotesError
        With the line of every record that is not as it should be.
    """
    kind = _first_object(path)
    if "form" in kind:
        _, latest = read_judgements(path)
        sure = [judgement for judgement in latest.values() if not judgement.is_open and judgement.mark != "unsure"]
        return Labels({j.question: j.notes for j in sure}, {j.question: j.steps for j in sure if j.steps})
    if "manner" in kind:
        questions = read_questions(path)
        return Labels(
            {q.question: q.right_first for q in questions}, {q.question: dict(q.steps) for q in questions if q.steps}
        )
    return Labels(read_second(path).notes, {})


def agreement_text(found: Mapping[str, Any]) -> str:
    """Return the agreement as plain lines."""
    kappa = f"Cohen's kappa {found['kappa']:.3f}"
    if found["interval"]:
        low, high = found["interval"]
        kappa += f", 95 % bootstrap interval [{low:.3f}, {high:.3f}]"
    strict = found["strict"]
    lines = [
        f"{found['agreed']} of {found['questions']} questions labelled alike; {kappa}",
        f"best note against best note: {strict['agreed']} alike, Cohen's kappa {strict['kappa']:.3f}",
    ]
    for kind, counts in found.get("kinds", {}).items():
        best = counts["strict"]
        lines.append(
            f"{kind}: {counts['agreed']} of {counts['questions']} alike, kappa {counts['kappa']:.3f}; "
            f"best against best {best['agreed']}, kappa {best['kappa']:.3f}"
        )
    for name, counts in found.get("told", {}).items():
        lines.append(
            f"{_TOLD[name]}: {counts['agreed']} of {counts['questions']} alike, kappa {counts['kappa']:.3f}"
            + (f" [{counts['interval'][0]:.3f}, {counts['interval'][1]:.3f}]" if counts["interval"] else "")
        )
    if found["unmatched"]:
        lines.append(f"second labels that match no question, which may be no accident: {len(found['unmatched'])}")
    lines += [f"labels for a question that the first does not have: {printable(q)}" for q in found["unmatched"]]
    if both := found.get("uncovered"):
        counts = f"{both['both']} by both, {both['first']} by the first alone, {both['second']} by the second alone"
        lines.append(f"uncovered: {counts}; Cohen's kappa {both['kappa']:.3f}")
    if steps := found.get("steps"):
        share = f"the same steps {Share(steps['agreed'], steps['notes'])}" if steps["notes"] else "none"
        lines.append(f"notes on which both marked steps: {share}")
    rows = [("", a) for a in found["apart"]]
    for kind, counts in found.get("kinds", {}).items():
        rows += [(f"{kind}: ", a) for a in counts["apart"] if a not in found["apart"]]
    rows += [(f"{_TOLD[name]}: ", a) for name, counts in found.get("told", {}).items() for a in counts["apart"]]
    for kind, a in rows:
        sides = (_words(a["first"]), _words(a["second"]), a["question"])
        lines.append(f"  {kind}{' | '.join(map(printable, sides))}")
    return "\n".join(lines)


def _words(label: Sequence[str] | str) -> str:
    return label if isinstance(label, str) else ", ".join(label) or _NONE


def _first_object(path: Path) -> dict[str, Any]:
    """Return the first line as an object, by which the kind of file is told; empty where it is none."""
    with regular(path).open("rb") as file:
        return json_object(file.readline()) or {}
