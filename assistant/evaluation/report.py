"""The figures of a scoring run: gathered once, printed as text or JSON, held against a saved baseline."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.analysis.tokens import printable
from assistant.answering.assistant import Assistant
from assistant.evaluation.calibration import Calibration, calibrate
from assistant.evaluation.compare import OURS, Comparison, Ranked, compare
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.measures import Qrels, Run
from assistant.evaluation.missing import find_misses, miss_line
from assistant.evaluation.outdated import OldLabel, named_since, new_to_labels, old_labels
from assistant.evaluation.risk import stated
from assistant.evaluation.run import (
    Outcome,
    Reading,
    TurnOutcome,
    leavers,
    readings,
    share_of,
    shown_run,
    summarize,
    talk_tallies,
    talk_turns,
)
from assistant.evaluation.sides import baseline_shares
from assistant.evaluation.statistics import Share
from assistant.evaluation.texts import Texts
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = [
    "Report",
    "below_baseline",
    "comparison_json",
    "comparison_lines",
    "less_is_better",
    "look_again_json",
    "misses",
    "report_json",
    "report_runs",
    "report_text",
    "score_notes",
]

MEASURES = ("P@1", "P@3", "MRR", "nDCG@10")
TOLERANCE = 0.01
"""A share may fall by so much against the saved baseline before the gate shuts."""
_UNRANKED = Comparison((), {}, "", 1.0)


@dataclass(frozen=True, slots=True)
class Report:
    """Figures of one split on one pack; ``old`` are labels that were left out of them, to be looked at again.

    ``comparison`` is of no ranking where none was asked for.
    """

    pack: str
    split: str
    shares: Mapping[str, Share]
    means: Mapping[str, float]
    comparison: Comparison
    calibration: Calibration | None
    outcomes: tuple[Outcome, ...] = ()
    turns: tuple[TurnOutcome, ...] = ()
    old: tuple[OldLabel, ...] = ()


def score_notes(
    pack: Pack,
    questions: Sequence[LabelledQuestion],
    talks: Sequence[Talk],
    split: str,
    progress: Progress = silent,
    texts: Texts | None = None,
    *,
    without_old: bool = False,
    ranked: bool = True,
) -> Report:
    """Score the questions and talks of one split, and the rankings of three baselines over ``texts`` beside ours.

    Parameters
    ----------
    without_old
        Whether labels that a new note has made old are left out, as a release is not to be judged by them.
    ranked
        Whether baselines are ranked at all: they take half of the time, and no figure but their own hangs on them.
    """
    chosen = [q for q in questions if q.split == split]
    read = readings(pack, chosen, progress)
    old: list[OldLabel] = []
    if without_old:
        named = named_since(questions, talks)
        old = old_labels((one.outcome for one in read), named, new_to_labels(pack.note_ids, named))
        waiting = {label.question.id for label in old}
        read = [one for one in read if one.outcome.question.id not in waiting]
        chosen = [q for q in chosen if q.id not in waiting]
    found = [one.outcome for one in read]
    summary = summarize(found)
    judged_confidence = stated(found)
    calibration = calibrate([c for c, _ in judged_confidence], [right for _, right in judged_confidence])
    rows = talk_turns(Assistant(pack), [talk for talk in talks if talk.split == split])
    more = {**talk_tallies(rows), "new questions that leave the note in hand": leavers(read)}
    shares = {**summary.shares, **{name: share_of(tally) for name, tally in more.items()}}
    comparison = _compared(pack, chosen, read, texts, progress) if ranked else _UNRANKED
    return Report(
        pack.digest, split, shares, summary.means, comparison, calibration, tuple(found), tuple(rows), tuple(old)
    )


def _compared(
    pack: Pack, chosen: Sequence[LabelledQuestion], read: Sequence[Reading], texts: Texts | None, progress: Progress
) -> Comparison:
    judged = [q for q in chosen if q.manner in ANSWERABLE]
    return compare(
        pack,
        {q.id: q.question for q in judged},
        {q.id: dict.fromkeys(q.relevant, 1) for q in judged},
        MEASURES,
        texts=texts,
        ours=Ranked({one.outcome.question.question: one.ranked for one in read}),
        progress=progress,
    )


def report_text(report: Report) -> str:
    """Return the report as plain lines: k/n with the exact 95 % interval, then the rankings side by side."""
    lines = [f"pack {report.pack}, split {report.split}; k/n with the exact 95 % interval", ""]
    width = max(map(len, report.shares))
    lines += [f"{name:<{width}}  {share}" for name, share in report.shares.items() if share.n]
    means = ", ".join(f"{name} {value:.3f}" for name, value in report.means.items())
    lines += ["", f"as shown to the rep: {means}", "", *comparison_lines(report.comparison)]
    lines += ["", *_calibration_lines(report.calibration)] if report.calibration else []
    return "\n".join(lines) + "\n"


def _calibration_lines(calibration: Calibration) -> list[str]:
    lines = [f"confidence: Brier score {calibration.brier:.3f}, AUROC {calibration.auroc:.3f}"]
    lines += [
        f"  stated {b.low:.1f} to {b.high:.1f}, mean {b.confidence:.2f}: right {b.right}{'' if b.holds else '  MISSED'}"
        for b in calibration.bins
    ]
    return lines


def comparison_lines(comparison: Comparison) -> list[str]:
    """Return the rankings side by side, a line each, and the paired test; nothing where none was asked for."""
    if not comparison.values:
        return []
    measures = list(comparison.values[OURS])
    width = max(map(len, comparison.values))
    lines = [f"{'ranking':<{width}}  " + "  ".join(f"{measure:>9}" for measure in measures)]
    for name in comparison.values:
        cells = "  ".join(f"{comparison.mean(name, measure):>9.4f}" for measure in measures)
        lines.append(f"{name:<{width}}  {cells}")
    for measure in measures:
        if measure in ("P@1", "success@1"):
            for name in comparison.values:
                values = comparison.values[name][measure]
                lines.append(f"{measure} {name}: {Share(round(sum(values)), len(values))}")
    lines.append(
        f"{measures[0]} against the best baseline ({comparison.best_baseline}): {comparison.direction}, "
        f"paired randomization p = {comparison.p:.4f}, n = {len(comparison.queries)}"
    )
    return lines


def report_json(report: Report) -> dict[str, Any]:
    """Return the report as JSON-ready values."""
    return {
        "pack": report.pack,
        "split": report.split,
        "shares": {
            name: {"k": share.k, "n": share.n, "value": round(share.value, 4), "interval": list(share.interval())}
            for name, share in report.shares.items()
        },
        "means": {name: round(value, 4) for name, value in report.means.items()},
        "rankings": comparison_json(report.comparison),
        "look_again": look_again_json(report),
        "confidence": None
        if report.calibration is None
        else {
            "brier": round(report.calibration.brier, 4),
            "auroc": round(report.calibration.auroc, 4),
            "bins": [
                {
                    "low": b.low,
                    "high": b.high,
                    "mean": round(b.confidence, 4),
                    "k": b.right.k,
                    "n": b.right.n,
                    "holds": b.holds,
                }
                for b in report.calibration.bins
            ],
        },
    }


def look_again_json(report: Report) -> list[dict[str, str]]:
    """Return the labels that were left out as JSON-ready values."""
    return [{"id": old.question.id, "question": old.question.question, "note": old.note} for old in report.old]


def comparison_json(comparison: Comparison) -> dict[str, Any]:
    """Return the rankings side by side as JSON-ready values."""
    return {
        "measures": {
            name: {measure: round(comparison.mean(name, measure), 4) for measure in values}
            for name, values in comparison.values.items()
        },
        "queries": len(comparison.queries),
        "best_baseline": comparison.best_baseline,
        "p": comparison.p,
    }


def report_runs(report: Report) -> tuple[Qrels, dict[str, Run]]:
    """Return the judgements and runs behind the figures: each ranking, and the order as shown to the rep."""
    qrels, shown = shown_run([o for o in report.outcomes if o.question.manner in ANSWERABLE])
    return qrels, {**report.comparison.runs, "as shown": shown}


def less_is_better(figure: str) -> bool:
    """Tell whether a figure counts mistakes, or measures them."""
    ends = ("refused", "Brier score", "AURC")
    return figure.startswith(("false", "look-alikes answered")) or "wrong" in figure or figure.endswith(ends)


def below_baseline(report: Report, path: Path) -> list[str]:
    """Return what has become worse than the saved baseline by more than the tolerance.

    Raises
    ------
    NotesError
        If the file is no saved baseline.
    """
    saved = baseline_shares(path, report.split)
    worse = []
    for name, value in saved.items():
        share = report.shares.get(name)
        if share is None or not share.n:
            worse.append(f"{name}: was {value:.3f}, is no longer measured")
            continue
        loss = share.value - value if less_is_better(name) else value - share.value
        if loss > TOLERANCE:
            worse.append(f"{name}: was {value:.3f}, is {share.value:.3f}")
    return worse


def misses(pack: Pack, report: Report) -> list[str]:
    """Return a line for every question or turn that came out wrong, with the reasons."""
    lines = [miss_line(miss) for miss in find_misses(pack, report.outcomes)]
    for row in report.turns:
        if not row.right:
            wanted = f"{'|'.join(row.turn.notes)} {row.turn.about}"
            lines.append(f"{row.talk}: wanted {wanted}; {row.came} | {printable(row.turn.question)}")
    return lines
