"""All that the page of figures shows, gathered once: report, breakdown, confidence, misses, bars."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from assistant.evaluation.bars import Aim, Bars, Judged, aim_json, aims_of, gate_json, judge
from assistant.evaluation.breakdown import by_area, by_station, stations_of
from assistant.evaluation.figures import figures_of, measured
from assistant.evaluation.missing import Miss, find_misses
from assistant.evaluation.outdated import MOST_OLD
from assistant.evaluation.release import Release, release_json
from assistant.evaluation.report import Report, report_json
from assistant.evaluation.risk import Bar, RiskCurve, answered_outright, confidences, risk_curve, threshold_table
from assistant.evaluation.run import share_of
from assistant.evaluation.statistics import Share
from assistant.model import Note
from assistant.notes.signing import has_hazard, sign_offs
from assistant.pack.reader import Pack

__all__ = ["Study", "hazardous_notes", "study", "study_json", "too_many_old"]


class Study(NamedTuple):
    """The figures and what lies behind them.

    ``outright`` is (coverage, risk) of what is really answered outright; ``titles`` maps note ids to titles; ``gate``
    is empty where no bars were given; ``hazardous`` are the notes with a hazard, which a safety officer signs;
    ``release`` holds what is signed off, where it is known.
    """

    report: Report
    areas: Mapping[str, Share]
    stations: Mapping[str, Share]
    risk: RiskCurve | None
    outright: tuple[float, float] | None
    thresholds: Sequence[Bar]
    misses: Sequence[Miss]
    titles: Mapping[str, str]
    gate: Sequence[Judged] = ()
    hazardous: Sequence[Note] = ()
    aims: Sequence[Aim] = ()
    release: Release | None = None

    @property
    def too_many_old(self) -> bool:
        """Whether more labels wait to be looked at again than a release may have."""
        return too_many_old(self.report)


def too_many_old(report: Report) -> bool:
    """Tell whether more labels wait to be looked at again than a release may have."""
    return len(report.old) > MOST_OLD * (len(report.old) + len(report.outcomes))


def study(pack: Pack, report: Report, bars: Bars | None = None, release: Release | None = None) -> Study:
    """Gather what is shown of a report on the pack that it was made with."""
    sealed = release.sealed.figures if release and release.sealed else {}
    found = report.outcomes
    judged = confidences(found)
    return Study(
        report,
        {name: share_of(tally) for name, tally in by_area(found).items()},
        {name: share_of(tally) for name, tally in by_station(found, stations_of(pack)).items()},
        risk_curve(judged),
        answered_outright(found),
        threshold_table(judged),
        find_misses(pack, found),
        dict(pack.titles),
        judge(bars.bars, measured(report, {bar.figure for bar in bars.bars})) if bars else (),
        hazardous_notes(pack),
        aims_of(bars.aims, figures_of(report), {name: share.value for name, share in sealed.items()}) if bars else (),
        release,
    )


def hazardous_notes(pack: Pack) -> tuple[Note, ...]:
    """Return the notes of a pack that have a hazard."""
    return tuple(note for note in map(pack.note, sorted(pack.titles)) if note and has_hazard(note))


def study_json(found: Study) -> dict[str, Any]:
    """Return the study as JSON-ready values: the report, and what is shown beside it."""
    risk = found.risk
    return {
        **report_json(found.report),
        "areas": {name: _share(share) for name, share in found.areas.items()},
        "stations": {name: _share(share) for name, share in found.stations.items()},
        "risk": None
        if risk is None or found.outright is None
        else {
            "aurc": round(risk.aurc, 5),
            "best_aurc": round(risk.best, 5),
            "answered_outright": {"coverage": round(found.outright[0], 4), "risk": round(found.outright[1], 4)},
            "points": [
                {"confidence": p.confidence, "coverage": round(p.coverage, 4), "risk": round(p.risk, 4)}
                for p in risk.points
            ],
        },
        "thresholds": [bar._asdict() for bar in found.thresholds],
        "misses": [
            {
                "id": miss.question.id,
                "question": miss.question.question,
                "manner": miss.question.manner,
                "wanted": list(miss.question.right_first),
                "decision": miss.decision,
                "shown": list(miss.shown),
                "confidence": miss.confidence,
                "causes": [{name: value for name, value in cause._asdict().items() if value} for cause in miss.causes],
            }
            for miss in found.misses
        ],
        "gate": gate_json(found.gate) if found.gate else None,
        "too_many_to_look_at_again": found.too_many_old,
        "aims": [aim_json(aim) for aim in found.aims],
        "release": release_json(found.release) if found.release else None,
        "signed": sign_offs(found.hazardous)._asdict(),
    }


def _share(share: Share) -> dict[str, Any]:
    return {"k": share.k, "n": share.n, "value": round(share.value, 4), "interval": list(share.interval())}
