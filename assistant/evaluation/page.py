"""The figures as one page: plots and tables, no script, nothing fetched, the same bytes for the same figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from assistant.evaluation.labels import ANSWERABLE
from assistant.evaluation.missing import CAUSES, Miss
from assistant.evaluation.plots import rankings_plot, reliability_plot, risk_plot, shares_plot
from assistant.evaluation.risk import Point
from assistant.evaluation.statistics import Share
from assistant.evaluation.study import Study
from assistant.model import Note
from assistant.notes.signing import sign_offs, state_of
from assistant.webpage import safe, webpage

__all__ = ["study_page"]

_STYLE = """
:root { color-scheme: light; }
body { margin: 0; background: #fff; color: #1a1a1a; font: 1rem/1.5 sans-serif; overflow-wrap: anywhere; }
main { max-width: 66rem; margin: 0 auto; padding: .75rem; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: .2em 0; }
h2 { font-size: 1.25rem; margin: 1.8em 0 .4em; padding-bottom: .15em; border-bottom: 2px solid #0072b2; }
h3 { font-size: 1.05rem; margin: 1.2em 0 .3em; }
p { margin: .4em 0; max-width: 46rem; }
figure { margin: .8em 0; }
figcaption { font-weight: 700; }
svg { display: block; width: 100%; max-width: 34rem; height: auto; stroke-linejoin: round; stroke-linecap: butt; }
.pair { display: grid; gap: 0 1.5rem; grid-template-columns: repeat(auto-fit, minmax(min(100%, 26rem), 1fr)); }
.pair > * { min-width: 0; }
.wide { overflow-x: auto; max-width: 100%; margin: .6em 0; }
.wide:focus-visible { outline: 3px solid #0072b2; }
table { border-collapse: collapse; font-size: .875em; font-variant-numeric: tabular-nums; overflow-wrap: normal; }
caption { text-align: left; font-weight: 700; padding: .2em 0; }
th, td { border-bottom: 1px solid #b5b5b5; padding: .2em .6em .2em 0; text-align: left; vertical-align: top; }
td { white-space: nowrap; }
th[scope="row"] { font-weight: 400; min-width: 5rem; }
thead th { border-bottom: 2px solid #555; vertical-align: bottom; }
.number { text-align: right; }
.misses { padding-left: 1.1em; }
.misses li { margin: 0 0 .6em; }
@media print {
  @page { size: A4; margin: 12mm; }
  body { font-size: 9pt; }
  main { max-width: none; padding: 0; }
  .pair { grid-template-columns: 1fr 1fr; }
  .wide { overflow: visible; }
  figure, tr, .misses li { break-inside: avoid; }
  h2, h3, caption { break-after: avoid; }
}
"""
_COLUMNS = ("right", "of", "share", "from", "to")


def study_page(study: Study) -> str:
    """Return the page; every text of notes and questions is escaped."""
    title = f"Figures of pack {study.report.pack}, split {study.report.split}"
    return webpage(title, _STYLE, "\n".join(_body(study, title)))


def _body(study: Study, title: str) -> Iterator[str]:
    report = study.report
    yield f"<h1>{safe(title)}</h1>"
    yield _paragraph(
        f"{len(report.outcomes)} labelled questions and {len(report.turns)} turns of talks. "
        "Every share stands with its exact (Clopper-Pearson) 95 % interval, from and to."
    )
    if study.gate:
        yield from _gate(study)
    yield from _signed(study.hazardous)
    yield "<h2>All figures</h2>"
    yield _shares_table("Shares", "figure", ((name, share) for name, share in report.shares.items() if share.n))
    yield _table(
        "The order as shown to the rep", ("measure", "mean"), [(n, f"{v:.4f}") for n, v in report.means.items()]
    )
    yield from _confidence(study)
    yield from _places(study)
    yield from _rankings(study)
    yield from _misses(study)


def _gate(study: Study) -> Iterator[str]:
    short = [row for row in study.gate if not row.passed]
    yield "<h2>Release gate</h2>"
    yield _paragraph(f"{len(short)} of {len(study.gate)} bars are not reached." if short else "All bars are reached.")
    rows = [
        (
            row.bar.figure,
            "not measured" if row.value is None else f"{row.value:.3f}",
            f"{row.bar.end.replace('_', ' ')} {row.bar.value:g}",
            "reached" if row.passed else "not reached",
        )
        for row in sorted(study.gate, key=lambda row: row.passed)
    ]
    yield _table("Bars", ("figure", "value", "bar", "result"), rows, numbers=False)


def _signed(notes: Sequence[Note]) -> Iterator[str]:
    yield "<h2>Safety sign-off</h2>"
    yield _paragraph(
        f"{sign_offs(notes)}. The rules of the check find wording only; that a note is safe is for a person to judge."
    )
    waiting = [note for note in notes if state_of(note) != "signed"]
    rows = [(note.title, note.id, note.revision, state_of(note), ", ".join(note.hazards)) for note in waiting]
    if rows:
        head = ("note", "id", "revision", "signature", "hazards")
        yield _table("Notes with a hazard that nobody has signed as they stand", head, rows, numbers=False)


def _confidence(study: Study) -> Iterator[str]:
    yield "<h2>Confidence</h2>"
    calibration, risk = study.report.calibration, study.risk
    if calibration is None or risk is None:
        yield _paragraph("Too few questions came out right and wrong to judge the stated confidence.")
        return
    yield _paragraph(
        "Questions with one right note and questions that no note covers; those on which a safety note was put first "
        f"are left out. Brier score {calibration.brier:.4f}, AUROC {calibration.auroc:.4f}, area under the "
        f"risk-coverage curve {risk.aurc:.4f}; no order of these questions could bring it below {risk.best:.4f}."
    )
    reliability = [
        (f"{b.low:.1f} to {b.high:.1f}", f"{b.confidence:.3f}", *_share_cells(b.right)) for b in calibration.bins
    ]
    curve = [(f"{p.confidence:.3f}", f"{p.coverage:.3f}", f"{p.risk:.3f}") for p in _thinned(risk.points)]
    yield '<div class="pair"><div>'
    yield _figure("Stated confidence and share right", reliability_plot(calibration))
    yield _table("Reliability", ("stated", "mean", *_COLUMNS), reliability)
    yield "</div><div>"
    yield _figure("Risk against coverage", risk_plot(risk, study.outright))
    if study.outright:
        yield _paragraph(
            f"Answered outright: coverage {study.outright[0]:.3f}, risk {study.outright[1]:.3f}. Whether any note, or "
            "more than one, covers the question counts there besides the confidence."
        )
    yield _table("Risk-coverage curve, at each tenth of coverage", ("confidence from", "coverage", "risk"), curve)
    yield "</div></div>"
    bars = [(f"{b.at:.2f}", b.answered, b.right, b.wrong, b.none, b.held_back) for b in study.thresholds]
    head = ("bar", "answered", "right", "wrong", "not answered", "of these right first")
    yield _table("What a bar on the confidence alone would do", head, bars)


def _thinned(points: Sequence[Point]) -> Iterator[Point]:
    """Return the first point at or beyond each tenth of coverage, each once."""
    reached = (next(p for p in points if p.coverage >= tenth / 10 - 1e-9) for tenth in range(1, 11))
    yield from dict.fromkeys(reached)


def _places(study: Study) -> Iterator[str]:
    shares = study.report.shares
    manners = {manner: shares[f"P@1 {manner}"] for manner in ANSWERABLE if shares[f"P@1 {manner}"].n}
    yield "<h2>First place right</h2>"
    if not manners:
        yield _paragraph("No answerable question was asked.")
        return
    yield '<div class="pair"><div>'
    yield _figure("P@1 by manner of asking", shares_plot("manners", "P@1 by manner of asking", manners))
    yield _shares_table("P@1 by manner of asking", "manner", manners.items())
    yield _shares_table(
        "P@1 by kind of station; a note for several counts under each", "station", study.stations.items()
    )
    yield "</div><div>"
    yield _figure("P@1 by area of the right note", shares_plot("areas", "P@1 by area of the right note", study.areas))
    yield _shares_table("P@1 by area of the right note", "area", study.areas.items())
    yield "</div></div>"


def _rankings(study: Study) -> Iterator[str]:
    comparison = study.report.comparison
    yield "<h2>Rankings side by side</h2>"
    if not comparison.queries:
        yield _paragraph("No answerable question was asked.")
        return
    measures = list(next(iter(comparison.values.values())))
    yield _paragraph(
        f"{len(comparison.queries)} answerable questions over the same chunks. {measures[0]} against the best baseline "
        f"({comparison.best_baseline}): {comparison.direction}, paired randomization p = {comparison.p:.4f}."
    )
    yield _figure("Rankings side by side", rankings_plot(comparison))
    rows = [(n, *(f"{comparison.mean(n, measure):.4f}" for measure in measures)) for n in comparison.values]
    yield _table("Means over the questions", ("ranking", *measures), rows)


def _misses(study: Study) -> Iterator[str]:
    yield "<h2>Misses</h2>"
    yield _paragraph(
        f"{len(study.misses)} questions were not answered outright with a right note, or got a note although none "
        "covers them, or were offered too few that fit. A miss may have several reasons; it is listed under the first."
    )
    counted = Counter(cause.kind for miss in study.misses for cause in miss.causes)
    first: dict[str, list[Miss]] = {kind: [] for kind in CAUSES}
    for miss in study.misses:
        first[miss.causes[0].kind].append(miss)
    rows = [(kind, counted[kind], len(first[kind])) for kind in CAUSES if counted[kind]]
    if rows:
        yield _table("Reasons", ("reason", "misses with it", "listed under it"), rows)
    for kind, found in first.items():
        if found:
            yield f"<h3>{safe(kind.capitalize())}</h3>"
            yield f'<ul class="misses">{"".join(_miss(miss, study.titles) for miss in found)}</ul>'


def _miss(miss: Miss, titles: Mapping[str, str]) -> str:
    q = miss.question
    wanted = " or ".join(_note(note, titles) for note in q.right_first) or "no note"
    shown = _note(miss.shown[0], titles) if miss.shown else "nothing"
    asked = f"<q>{safe(q.question)}</q> ({safe(f'{q.id}, {q.manner} {q.kind}'.rstrip())})"
    came = f"Wanted {wanted}. Came: {safe(miss.decision)}, first {shown}, confidence {miss.confidence:.2f}."
    causes = "; ".join(safe(cause.text) for cause in miss.causes)
    return f"<li>{asked}<br>{came}<br>Why: {causes}.</li>"


def _note(note: str, titles: Mapping[str, str]) -> str:
    return f"<b>{safe(titles.get(note, 'a note that is not here'))}</b> [{safe(note)}]"


def _figure(caption: str, svg: str) -> str:
    return f"<figure><figcaption>{safe(caption)}</figcaption>{svg}</figure>"


def _shares_table(caption: str, what: str, shares: Iterable[tuple[str, Share]]) -> str:
    return _table(caption, (what, *_COLUMNS), [(name, *_share_cells(share)) for name, share in shares])


def _share_cells(share: Share) -> tuple[str, ...]:
    low, high = share.interval()
    return str(share.k), str(share.n), f"{share.value:.3f}", f"{low:.3f}", f"{high:.3f}"


def _table(caption: str, head: Sequence[str], rows: Iterable[tuple[object, ...]], *, numbers: bool = True) -> str:
    """Return a table in a box that scrolls by itself where the page is too narrow; the first cell names its row."""
    kind = ' class="number"' if numbers else ""
    names = "".join(f'<th scope="col"{kind if place else ""}>{safe(name)}</th>' for place, name in enumerate(head))
    body = "".join(
        f'<tr><th scope="row">{safe(str(row[0]))}</th>'
        + "".join(f"<td{kind}>{safe(str(cell))}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="wide" role="region" aria-label="{safe(caption)}" tabindex="0"><table><caption>{safe(caption)}'
        f"</caption><thead><tr>{names}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _paragraph(text: str) -> str:
    return f"<p>{safe(text)}</p>"
