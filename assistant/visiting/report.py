"""What a visit or a period comes to, as one value that every form of the report is made from."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from assistant.errors import UsageError
from assistant.journal.records import (
    Act,
    Closing,
    Escalation,
    Outcome,
    Part,
    Photo,
    Question,
    Remark,
    Sighting,
    Visit,
    Work,
)
from assistant.journal.store import Journal
from assistant.visiting.figures import Figure, RepeatFault, figures, repeat_faults
from assistant.visiting.recorder import spent_minutes
from assistant.visiting.rounds import (
    NOT_RECORDED,
    STATE_WORDS,
    Event,
    OpenPoint,
    Totals,
    events,
    left_open,
    same_shop,
    states,
    sum_of,
    totals,
    visit_at,
)

__all__ = [
    "DESK_ASKS",
    "Report",
    "StationReport",
    "VisitReport",
    "WorkReport",
    "period_report",
    "shown_time",
    "visit_report",
]

DESK_ASKS = (
    "asset label",
    "shop",
    "fault as seen",
    "since",
    "why handed over",
    "checks made",
    "remarks",
    "parts used",
    "pictures",
    "state",
    "safe",
    "job number",
    "contact",
    "promised for",
)
"""What a support desk asks for, in this order, and what every hand-over of a report tells."""


class WorkReport(NamedTuple):
    """The work through one note.

    ``lines`` tell what was done in order, ``checks`` what each check showed; ``led_by`` is the note that led on to this
    one; ``resumed`` tells that it was broken off and taken up again; ``outcome`` is empty while it has not ended.
    """

    note: str
    title: str
    outcome: str
    minutes: float
    begun: str
    ended: str
    led_by: str
    resumed: bool
    remark: str
    lines: tuple[str, ...]
    checks: str


class StationReport(NamedTuple):
    """One station: as found, what was done, as left. ``escalations`` hold one value for each of `DESK_ASKS`."""

    station: str
    model: str
    state: str
    found: tuple[str, ...]
    works: tuple[WorkReport, ...]
    used: tuple[str, ...]
    wanted: tuple[str, ...]
    photos: tuple[str, ...]
    remarks: tuple[str, ...]
    escalations: tuple[tuple[str, ...], ...]


class VisitReport(NamedTuple):
    """One visit; ``loose`` holds what belongs to no station, ``asked`` every question, answered or not."""

    id: int
    store: str
    rep: str
    time_in: str
    time_out: str
    remark: str
    stations: tuple[StationReport, ...]
    loose: StationReport | None
    totals: Totals
    open_points: tuple[OpenPoint, ...]
    repeats: tuple[RepeatFault, ...]
    asked: tuple[str, ...]
    unanswered: tuple[str, ...]


class Report(NamedTuple):
    """One visit, or all visits of a period with what they come to and its figures."""

    title: str
    since: str
    until: str
    visits: tuple[VisitReport, ...]
    figures: tuple[Figure, ...] = ()
    totals: Totals | None = None


def visit_report(journal: Journal, visit: int | None = None) -> Report:
    """Return the report of a visit, the newest where none is named.

    Raises
    ------
    UsageError
        If there is no such visit.
    """
    found = journal.get(Visit, visit) if visit is not None else next(reversed(journal.all(Visit)), None)
    if found is None:
        raise UsageError("no such visit in the journal")
    made = _visit(journal, found)
    return Report(f"Visit {made.id}, shop {made.store}", made.time_in, made.time_out, (made,))


def period_report(journal: Journal, since: str, until: str) -> Report:
    """Return the report of the visits that began from one day to another, both included; ISO 8601 dates."""
    chosen = [visit for visit in journal.all(Visit) if since <= visit.at[:10] <= until]
    visits = tuple(_visit(journal, visit) for visit in chosen)
    found = tuple(figures(journal, since, until))
    return Report(
        f"Visits from {since} to {until}", since, until, visits, found, sum_of([visit.totals for visit in visits])
    )


def _visit(journal: Journal, visit: Visit) -> VisitReport:
    closing = next(iter(journal.all(Closing, visit=visit.id)), None)
    works = _works(journal, visit)
    labels = [
        *(sighting.station for sighting in journal.all(Sighting, visit=visit.id)),
        *(work.station for work, _ in works),
        *(part.station for part in journal.all(Part, visit=visit.id)),
        *(photo.station for photo in journal.all(Photo, visit=visit.id)),
        *(remark.station for remark in journal.all(Remark, visit=visit.id)),
        *(escalation.station for escalation in journal.all(Escalation, visit=visit.id)),
    ]
    happened = events(journal, store=visit.store, until_visit=visit.id + 1)
    stations = tuple(_station(journal, visit, label, works, happened) for label in dict.fromkeys(labels) if label)
    loose = _station(journal, visit, "", works, happened) if "" in labels else None
    questions = journal.all(Question, visit=visit.id)
    repeats = tuple(r for r in repeat_faults(journal) if r.store == visit.store and r.visit == visit.id)
    return VisitReport(
        visit.id,
        visit.store,
        visit.rep,
        visit.at,
        closing.at if closing else "",
        closing.remark if closing else "",
        stations,
        loose,
        totals(journal, visit.id),
        tuple(left_open(journal, visit.store, before_visit=visit.id + 1)),
        repeats,
        tuple(question.text for question in questions),
        tuple(question.text for question in questions if question.decision == "none"),
    )


def _works(journal: Journal, visit: Visit) -> list[tuple[Work, WorkReport]]:
    """Return the works that were begun or gone on with at a visit, each as it stood at the end of the visit."""
    there = same_shop(journal)[visit.id]
    shop = {one.id for one in there if one.id <= visit.id}
    outcomes = {outcome.work: outcome for outcome in journal.all(Outcome)}
    found = []
    for work in journal.all(Work):
        if work.visit not in shop:
            continue
        outcome = outcomes.get(work.id)
        ended_in = visit_at(there, work.visit, outcome.at) if outcome else visit.id
        if work.visit != visit.id and ended_in < visit.id:
            continue
        acts = [act for act in journal.all(Act, work=work.id) if visit_at(there, work.visit, act.at) <= visit.id]
        last = visit_at(there, work.visit, acts[-1].at) if acts else work.visit
        outcome = outcome if ended_in <= visit.id else None
        if visit.id in {work.visit, last} or outcome:
            found.append((work, _work(journal, work, acts, outcome)))
    return found


def _station(
    journal: Journal, visit: Visit, label: str, works: Sequence[tuple[Work, WorkReport]], happened: Sequence[Event]
) -> StationReport:
    sightings = journal.all(Sighting, visit=visit.id, station=label)
    mine = [(work, told) for work, told in works if work.station == label]
    parts = journal.all(Part, visit=visit.id, station=label)
    photos = journal.all(Photo, visit=visit.id, station=label)
    stand = states(event for event in happened if event.station == label)
    now = stand.get(label)
    withdrawn = now is not None and now.state == "withdrawn"
    state = STATE_WORDS[now.state if now and (sightings or mine or withdrawn) else "not_checked"]
    pictures = tuple(f"{photo.name} ({photo.shows})" if photo.shows else photo.name for photo in photos)
    done = tuple(told for _, told in mine)
    seen = tuple(_found(sighting) for sighting in sightings)
    used, wanted = (tuple(f"{p.quantity} {p.part}" for p in parts if p.use == use) for use in ("used", "wanted"))
    handed = journal.all(Escalation, visit=visit.id, station=label)
    fault = next((s for s in reversed(sightings) if s.result == "fault"), None)
    before = now.condition or now.note if now else ""
    begun = next((work.condition for work, _ in reversed(mine) if work.condition), before)
    as_seen = fault.condition or fault.note if fault else begun
    checks = " / ".join(told.checks for told in done)
    remarks = tuple(remark.text for remark in journal.all(Remark, visit=visit.id, station=label))
    return StationReport(
        label,
        now.model if now else "",
        state,
        seen,
        done,
        used,
        wanted,
        pictures,
        remarks,
        tuple(
            tuple(
                value or NOT_RECORDED
                for value in (
                    label,
                    visit.store,
                    as_seen,
                    shown_time(now.since if now and now.state != "plays" else fault.at if fault else ""),
                    escalation.reason,
                    checks,
                    "; ".join(remarks),
                    ", ".join(used),
                    ", ".join(pictures),
                    state,
                    "taken out of use" if withdrawn else "",
                    escalation.job,
                    escalation.contact,
                    escalation.due,
                )
            )
            for escalation in handed
        ),
    )


def shown_time(at: str) -> str:
    """Return a time as people read it.

    >>> shown_time("2026-11-25T16:23:37.250Z")
    '2026-11-25 16:23 UTC'
    """
    return f"{at[:10]} {at[11:16]} UTC" if at else NOT_RECORDED


def _checks(work: Work, acts: Sequence[Act], ended: str) -> str:
    """Return what was chosen or skipped at each step of a work that asks for it, and how the work ended."""
    told = [
        f"{act.text} {act.choice.partition(':')[0] if act.choice else 'skipped: ' + act.reason}"
        for act in acts
        if act.act in {"done", "skipped"} and (act.choice or act.reason)
    ]
    return f"{work.note}: {'; '.join([*told, ended or 'not finished'])}"


def _found(sighting: Sighting) -> str:
    told = sighting.condition or sighting.note
    return f"{sighting.result}: {told}" if told else sighting.result


def _work(journal: Journal, work: Work, acts: Sequence[Act], outcome: Outcome | None) -> WorkReport:
    ended = outcome.outcome.replace("_", " ") if outcome else ""
    parent = journal.get(Work, work.parent) if work.parent else None
    times = [work.at, *(act.at for act in acts), *([outcome.at] if outcome else [])]
    return WorkReport(
        work.note,
        work.title,
        ended,
        outcome.minutes if outcome else spent_minutes(times),
        work.at,
        outcome.at if outcome else "",
        parent.note if parent else "",
        _resumed(times),
        outcome.remark if outcome else "",
        _lines(acts),
        _checks(work, acts, ended),
    )


def _resumed(times: Sequence[str]) -> bool:
    """Tell whether there was a pause so long that it counts as having been away."""
    return any(spent_minutes([one, other]) == 0 and one[:16] != other[:16] for one, other in pairwise(times))


def _lines(acts: Sequence[Act]) -> tuple[str, ...]:
    lines = []
    for act in acts:
        if act.act == "acknowledged":
            lines.append(f"read before step {act.step}: {act.text}")
        elif act.act == "waiting":
            lines.append(f"step {act.step}: waited from {act.at[11:16]} UTC, {act.seconds} s told")
        elif act.act == "back":
            lines.append(f"went back to step {act.step}")
        elif act.act == "skipped":
            lines.append(f"step {act.step} skipped ({act.reason}): {act.text}")
        else:
            chosen = f" -> {act.choice}" if act.choice else ""
            early = f" ({act.reason})" if act.reason else ""
            lines.append(f"step {act.step} done{early}: {act.text}{chosen}")
    return tuple(lines)
