"""Two sides held against one another, figure by figure and question by question."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import chain
from typing import Any, NamedTuple

from assistant.analysis.tokens import printable
from assistant.evaluation.breakdown import gold_note
from assistant.evaluation.run import Outcome, came_right
from assistant.evaluation.sides import Labels, Side
from assistant.evaluation.statistics import cluster_interval, holm, swap_test
from assistant.wording import counted

__all__ = ["Change", "FigurePair", "Versus", "compare_sides", "versus_json", "versus_text"]

_NO_NOTE = "no note"


class FigurePair(NamedTuple):
    """One figure on both sides; None stands for what one side alone, or a saved baseline, cannot give.

    ``p`` is of the paired randomization test over questions, ``interval`` the 95 % bootstrap interval of
    ``difference`` (the second side less the first) drawn by note, ``adjusted`` the p adjusted by Holm's method over all
    figures.
    """

    name: str
    first: float | None
    second: float | None
    difference: float | None
    interval: tuple[float, float] | None
    p: float | None
    adjusted: float | None
    questions: int


class Change(NamedTuple):
    """A question that came out right on one side alone; ``gained`` where that is the second."""

    question: str
    text: str
    manner: str
    note: str
    gained: bool
    first: tuple[str, str]
    second: tuple[str, str]


class Versus(NamedTuple):
    """The whole comparison; ``notes`` holds (note, gains, losses), the most losses first."""

    sides: tuple[Side, Side]
    split: str
    figures: tuple[FigurePair, ...]
    changes: tuple[Change, ...]
    notes: tuple[tuple[str, int, int], ...]


def compare_sides(first: Side, second: Side, labels: Labels, draws: int = 10_000) -> Versus:
    """Hold two sides against one another.

    Parameters
    ----------
    draws
        Of each randomization test and of each bootstrap.

    Source
    ------
    Holm, A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6, 1979 (from
    memory); tests and intervals as in `assistant.evaluation.statistics`.
    """
    clusters = labels.clusters()
    names = dict.fromkeys(chain(first.shares, second.shares))
    pairs = [_pair(name, first, second, clusters, draws) for name in names]
    tested = [pair.p for pair in pairs if pair.p is not None]
    adjusted = iter(holm(tested))
    figures = tuple(pair._replace(adjusted=next(adjusted)) if pair.p is not None else pair for pair in pairs)
    changes = tuple(_changes(first.outcomes, second.outcomes))
    gains, losses = (Counter(c.note or _NO_NOTE for c in changes if c.gained is side) for side in (True, False))
    notes = sorted(gains | losses, key=lambda note: (gains[note] - losses[note], note))
    return Versus(
        (first, second), labels.split, figures, changes, tuple((note, gains[note], losses[note]) for note in notes)
    )


def _pair(name: str, first: Side, second: Side, clusters: dict[str, str], draws: int) -> FigurePair:
    one, other = first.shares.get(name), second.shares.get(name)
    difference = other - one if one is not None and other is not None else None
    mine, theirs = first.figures.get(name, {}), second.figures.get(name, {})
    questions = list(dict.fromkeys(chain(mine, theirs)))
    if difference is None or not mine or not theirs:
        return FigurePair(name, one, other, difference, None, None, None, len(questions))
    left = [mine.get(question, (0, 0)) for question in questions]
    right = [theirs.get(question, (0, 0)) for question in questions]
    interval = cluster_interval(left, right, [clusters[question] for question in questions], draws)
    return FigurePair(name, one, other, difference, interval, swap_test(right, left, draws), None, len(questions))


def _changes(first: Sequence[Outcome], second: Sequence[Outcome]) -> list[Change]:
    after = {outcome.question.id: outcome for outcome in second}
    found = []
    for before in first:
        now = after.get(before.question.id)
        if now is not None and came_right(before) != came_right(now):
            q = before.question
            found.append(
                Change(q.id, q.question, q.manner, gold_note(q), came_right(now), _came(before), _came(now)),
            )
    return sorted(found, key=lambda change: (change.gained, change.note, change.question))


def _came(outcome: Outcome) -> tuple[str, str]:
    return outcome.order[0][0] if outcome.order else "", outcome.decision


def versus_text(versus: Versus) -> str:
    """Return the comparison as plain lines: figures, then notes, then questions, losses before gains."""
    first, second = versus.sides
    lines = [
        *(
            f"{letter}: {side.name} ({f'{side.kind} {side.pack}'.rstrip()})"
            for letter, side in zip("AB", versus.sides, strict=True)
        ),
        f"split {versus.split}; B - A with the 95 % bootstrap interval drawn by note, p of the paired randomization",
        "test over questions, and p adjusted by Holm's method over all figures",
        "",
    ]
    width = max([len("figure"), *(len(pair.name) for pair in versus.figures)])
    lines.append(f"{'figure':<{width}}      A      B   B - A  {'interval':<18}       p   Holm")
    for pair in versus.figures:
        interval = f"[{pair.interval[0]:+.3f}, {pair.interval[1]:+.3f}]" if pair.interval else ""
        lines.append(
            f"{pair.name:<{width}}  {_cell(pair.first)}  {_cell(pair.second)}  {_cell(pair.difference, '+.3f', 6)}  "
            f"{interval:<18}  {_cell(pair.p, '.4f', 6)}  {_cell(pair.adjusted)}".rstrip()
        )
    if first.outcomes and second.outcomes:
        lines += ["", *_change_lines(versus)]
    else:
        lines += ["", "a saved baseline holds shares alone: no test, and no question to name"]
    return "\n".join(map(_line, lines)) + "\n"


def _change_lines(versus: Versus) -> list[str]:
    gained = sum(change.gained for change in versus.changes)
    lines = [f"{counted(gained, 'question')} gained, {len(versus.changes) - gained} lost"]
    lines += [f"  {note}: {gains} gained, {losses} lost" for note, gains, losses in versus.notes]
    for change in versus.changes:
        sign = "gained" if change.gained else "lost"
        before, after = (f"{decision} {note}".rstrip() for note, decision in (change.first, change.second))
        wanted = change.note or _NO_NOTE
        lines.append(f"{sign} {change.question} {change.manner}: wanted {wanted}; {before} -> {after} | {change.text}")
    return lines


def _line(text: str) -> str:
    """Return a line fit for a terminal, its blanks kept."""
    return text if text.isprintable() else printable(text)


def _cell(value: float | None, form: str = ".3f", width: int = 5) -> str:
    return ("-" if value is None else format(round(value, 4) + 0.0, form)).rjust(width)


def versus_json(versus: Versus) -> dict[str, Any]:
    """Return the comparison as JSON-ready values."""
    return {
        "split": versus.split,
        "sides": [{"name": side.name, "kind": side.kind, "pack": side.pack or None} for side in versus.sides],
        "figures": [
            {
                "name": pair.name,
                "first": _rounded(pair.first),
                "second": _rounded(pair.second),
                "difference": _rounded(pair.difference),
                "interval": [_rounded(end) for end in pair.interval] if pair.interval else None,
                "p": _rounded(pair.p, 6),
                "p_holm": _rounded(pair.adjusted, 6),
                "questions": pair.questions,
            }
            for pair in versus.figures
        ],
        "notes": [{"note": note, "gained": gains, "lost": losses} for note, gains, losses in versus.notes],
        "changes": [
            {
                "id": change.question,
                "question": change.text,
                "manner": change.manner,
                "note": change.note or None,
                "change": "gained" if change.gained else "lost",
                "first": {"note": change.first[0] or None, "decision": change.first[1]},
                "second": {"note": change.second[0] or None, "decision": change.second[1]},
            }
            for change in versus.changes
        ],
    }


def _rounded(value: float | None, places: int = 4) -> float | None:
    return None if value is None else round(value, places)
