"""The figures as one page: plots and tables, no script, nothing fetched, the same bytes for the same figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from assistant.evaluation.calibration import Calibration
from assistant.evaluation.glossary import GLOSSARY
from assistant.evaluation.labels import ANSWERABLE
from assistant.evaluation.missing import CAUSES, Miss
from assistant.evaluation.page_parts import (
    COLUMNS,
    Heading,
    Missed,
    Misses,
    Pair,
    Paragraph,
    Part,
    Plot,
    figures_page,
    fold,
    share_cells,
    shares_table,
    table,
)
from assistant.evaluation.page_release import release_sections
from assistant.evaluation.plots import rankings_plot, reliability_plot, risk_plot, shares_plot
from assistant.evaluation.report import Report
from assistant.evaluation.risk import Point, RiskCurve
from assistant.evaluation.study import Study
from assistant.model import Note
from assistant.notes.signing import sign_offs, state_of
from assistant.wording import counted

__all__ = ["study_page"]


def study_page(study: Study) -> str:
    """Return the page; every text of notes and questions is escaped."""
    title = f"Figures of pack {study.report.pack}, split {study.report.split}"
    return figures_page(title, _body(study, title))


def _body(study: Study, title: str) -> Iterator[Part]:
    report = study.report
    yield Heading(1, title)
    yield Paragraph(
        f"{counted(len(report.outcomes), 'labelled question')} and "
        f"{counted(len(report.turns), 'turn of talks', 'turns of talks')}. "
        "Every share stands with its exact (Clopper-Pearson) 95 % interval, from and to."
    )
    yield from release_sections(study)
    waiting = sum(state_of(note) != "signed" for note in study.hazardous)
    yield fold("Safety sign-off", f"{waiting} of {len(study.hazardous)} notes wait", _signed(study.hazardous))
    yield fold("All figures", "", _figures(report))
    calibration = report.calibration
    missed = sum(not b.holds for b in calibration.bins) if calibration else 0
    told = f"{missed} of {len(calibration.bins)} bands miss what they state" if calibration else ""
    yield fold("Confidence", told, _confidence(study), opened=bool(missed))
    yield fold("First place right", str(report.shares["P@1"]), _places(study))
    yield fold("Rankings side by side", "", _rankings(study))
    yield fold("Misses", counted(len(study.misses), "question"), _misses(study))
    yield fold("What the words mean", "", [table("Words", ("word", "meaning"), GLOSSARY, numbers=False)])


def _figures(report: Report) -> Iterator[Part]:
    yield shares_table("Shares", "figure", ((name, share) for name, share in report.shares.items() if share.n))
    yield table(
        "The order as shown to the rep", ("measure", "mean"), [(n, f"{v:.4f}") for n, v in report.means.items()]
    )


def _signed(notes: Sequence[Note]) -> Iterator[Part]:
    yield Paragraph(
        f"{sign_offs(notes)}. The rules of the check find wording only; that a note is safe is for a person to judge."
    )
    waiting = [note for note in notes if state_of(note) != "signed"]
    rows = [(note.title, note.id, note.revision, state_of(note), ", ".join(note.hazards)) for note in waiting]
    if rows:
        head = ("note", "id", "revision", "signature", "hazards")
        yield table("Notes with a hazard that nobody has signed as they stand", head, rows, numbers=False)


def _confidence(study: Study) -> Iterator[Part]:
    calibration, risk = study.report.calibration, study.risk
    if calibration is None or risk is None:
        yield Paragraph("Too few questions came out right and wrong to judge the stated confidence.")
        return
    yield Paragraph(
        "Questions with one right note and questions that no note covers; those on which a safety note was put first "
        f"are left out. Brier score {calibration.brier:.4f}, AUROC {calibration.auroc:.4f}, area under the "
        f"risk-coverage curve {risk.aurc:.4f}; no order of these questions could bring it below {risk.best:.4f}."
    )
    yield Pair((tuple(_reliability(calibration)), tuple(_risk(study, risk))))
    bars = [(f"{b.at:.2f}", b.answered, b.right, b.wrong, b.none, b.held_back) for b in study.thresholds]
    head = ("bar", "answered", "right", "wrong", "not answered", "of these right first")
    yield table("What a bar on the confidence alone would do", head, bars)


def _reliability(calibration: Calibration) -> Iterator[Part]:
    rows = [
        (
            f"{b.low:.1f} to {b.high:.1f}",
            f"{b.confidence:.3f}",
            *share_cells(b.right),
            "holds" if b.holds else "MISSED",
        )
        for b in calibration.bins
    ]
    yield Plot("Stated confidence and share right", reliability_plot(calibration))
    yield table("Reliability", ("stated", "mean", *COLUMNS, "interval holds the mean"), rows)


def _risk(study: Study, risk: RiskCurve) -> Iterator[Part]:
    curve = [(f"{p.confidence:.3f}", f"{p.coverage:.3f}", f"{p.risk:.3f}") for p in _thinned(risk.points)]
    yield Plot("Risk against coverage", risk_plot(risk, study.outright))
    if study.outright:
        yield Paragraph(
            f"Answered outright: coverage {study.outright[0]:.3f}, risk {study.outright[1]:.3f}. Whether any note, or "
            "more than one, covers the question counts there besides the confidence."
        )
    yield table("Risk-coverage curve, at each tenth of coverage", ("confidence from", "coverage", "risk"), curve)


def _thinned(points: Sequence[Point]) -> Iterator[Point]:
    """Return the first point at or beyond each tenth of coverage, each once."""
    reached = (next(p for p in points if p.coverage >= tenth / 10 - 1e-9) for tenth in range(1, 11))
    yield from dict.fromkeys(reached)


def _places(study: Study) -> Iterator[Part]:
    shares = study.report.shares
    manners = {manner: shares[f"P@1 {manner}"] for manner in ANSWERABLE if shares[f"P@1 {manner}"].n}
    if not manners:
        yield Paragraph("No answerable question was asked.")
        return
    by_manner = (
        Plot("P@1 by manner of asking", shares_plot("manners", "P@1 by manner of asking", manners)),
        shares_table("P@1 by manner of asking", "manner", manners.items()),
        shares_table("P@1 by kind of station; a note for several counts under each", "station", study.stations.items()),
    )
    by_area = (
        Plot("P@1 by area of the right note", shares_plot("areas", "P@1 by area of the right note", study.areas)),
        shares_table("P@1 by area of the right note", "area", study.areas.items()),
    )
    yield Pair((by_manner, by_area))


def _rankings(study: Study) -> Iterator[Part]:
    comparison = study.report.comparison
    if not comparison.queries:
        yield Paragraph("No answerable question was asked.")
        return
    measures = list(next(iter(comparison.values.values())))
    yield Paragraph(
        f"{len(comparison.queries)} answerable questions over the same chunks. {measures[0]} against the best baseline "
        f"({comparison.best_baseline}): {comparison.direction}, paired randomization p = {comparison.p:.4f}."
    )
    yield Plot("Rankings side by side", rankings_plot(comparison))
    rows = [(n, *(f"{comparison.mean(n, measure):.4f}" for measure in measures)) for n in comparison.values]
    yield table("Means over the questions", ("ranking", *measures), rows)


def _misses(study: Study) -> Iterator[Part]:
    yield Paragraph(
        f"{len(study.misses)} questions were not answered outright with a right note, or got a note although none "
        "covers them, or were offered too few that fit. A miss may have several reasons; it is listed under the first."
    )
    tally = Counter(cause.kind for miss in study.misses for cause in miss.causes)
    first: dict[str, list[Miss]] = {kind: [] for kind in CAUSES}
    for miss in study.misses:
        first[miss.causes[0].kind].append(miss)
    rows = [(kind, tally[kind], len(first[kind])) for kind in CAUSES if tally[kind]]
    if rows:
        yield table("Reasons", ("reason", "misses with it", "listed under it"), rows)
    for kind, found in first.items():
        if found:
            listed = Misses(tuple(_miss(miss, study.titles) for miss in found))
            yield fold(kind.capitalize(), counted(len(found), "question"), [listed], level=3)


def _miss(miss: Miss, titles: Mapping[str, str]) -> Missed:
    q = miss.question
    return Missed(
        q.question,
        f"{q.id}, {q.manner} {q.kind}".rstrip(),
        tuple(_note(note, titles) for note in q.right_first),
        miss.decision,
        _note(miss.shown[0], titles) if miss.shown else None,
        f"{miss.confidence:.2f}",
        "; ".join(cause.text for cause in miss.causes),
    )


def _note(note: str, titles: Mapping[str, str]) -> tuple[str, str]:
    return titles.get(note, "a note that is not here"), note
