"""The works of a visit as a report tells them: how each ended, its steps in order, what its checks showed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from assistant.journal.records import Act, Outcome, Visit, Work
from assistant.journal.store import Journal
from assistant.languages import said, to_say
from assistant.visiting.recorder import spent_minutes
from assistant.visiting.report_model import WorkReport
from assistant.visiting.shops import ON_THE_WAY, Shop, visit_at
from assistant.visiting.times import shown_time
from assistant.visiting.words import outcome_word

__all__ = ["UNFINISHED", "minutes_beside", "whole_minutes", "works_of"]

UNFINISHED = to_say("not finished")


def works_of(journal: Journal, visit: Visit, shop: Shop) -> list[tuple[Work, WorkReport]]:
    """Return the works that were begun or gone on with at a visit, each as it stood at the end of the visit.

    Parameters
    ----------
    shop
        What was read of its shop.
    """
    found = []
    for work in shop.works:
        first, ended_in = shop.begun[work.id], shop.ended.get(work.id, visit.id)
        if first > visit.id or (first != visit.id and ended_in < visit.id):
            continue
        acts = [act for act in journal.all(Act, work=work.id) if visit_at(shop.visits, first, act.at) <= visit.id]
        last = visit_at(shop.visits, first, acts[-1].at) if acts else first
        outcome = shop.outcomes.get(work.id) if ended_in <= visit.id else None
        if visit.id in {first, last} or outcome:
            found.append((work, _work(journal, work, acts, outcome)))
    return found


def whole_minutes(minutes: float) -> int:
    """Return minutes as people tell them.

    >>> whole_minutes(0.4), whole_minutes(11.6), whole_minutes(0)
    (1, 12, 0)
    """
    return max(1, round(minutes)) if minutes > 0 else 0


def minutes_beside(minutes: int) -> str:
    """Return the minutes of a work as they stand behind how it ended; empty for none."""
    return said(", {n} min", n=minutes) if minutes else ""


def _work(journal: Journal, work: Work, acts: Sequence[Act], outcome: Outcome | None) -> WorkReport:
    ended = outcome_word(outcome.outcome) if outcome else ""
    parent = journal.get(Work, work.parent) if work.parent else None
    times = [work.at, *(act.at for act in acts), *([outcome.at] if outcome else [])]
    return WorkReport(
        work.note,
        work.title,
        ended,
        whole_minutes(outcome.minutes if outcome else spent_minutes(times)),
        work.at,
        outcome.at if outcome else "",
        parent.note if parent else "",
        _resumed(times),
        outcome is None or outcome.outcome != ON_THE_WAY,
        outcome.remark if outcome else "",
        tuple(_line(act) for act in acts),
        _checks(work, acts, ended),
    )


def _resumed(times: Sequence[str]) -> bool:
    """Tell whether there was a pause so long that it counts as having been away."""
    return any(spent_minutes([one, other]) == 0 and one[:16] != other[:16] for one, other in pairwise(times))


def _checks(work: Work, acts: Sequence[Act], ended: str) -> str:
    """Return what was chosen or skipped at each step of a work that asks for it, and how the work ended."""
    told = [
        f"{act.text} {act.choice.partition(':')[0]}"
        if act.choice
        else said("{text} skipped: {reason}", text=act.text, reason=act.reason)
        for act in acts
        if act.act in {"done", "skipped"} and (act.choice or act.reason)
    ]
    return f"{work.title}: {'; '.join([*told, ended or said(UNFINISHED)])}"


def _line(act: Act) -> str:
    if act.act == "acknowledged":
        return said("read before step {n}: {text}", n=act.step, text=act.text)
    if act.act == "waiting":
        begun = shown_time(act.at)
        return said("step {n}: waited from {time}, {seconds} s told", n=act.step, time=begun, seconds=act.seconds)
    if act.act == "back":
        return said("went back to step {n}", n=act.step)
    if act.act == "skipped":
        return said("step {n} skipped ({reason}): {text}", n=act.step, reason=act.reason, text=act.text)
    text = f"{act.text} -> {act.choice}" if act.choice else act.text
    if act.reason:
        return said("step {n} done ({reason}): {text}", n=act.step, reason=act.reason, text=text)
    return said("step {n} done: {text}", n=act.step, text=text)
