"""What stands first on the page of a release: what is signed off, what changed, bars, aims, sealed figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.evaluation.bars import Aim, Judged
from assistant.evaluation.page_parts import Heading, Paragraph, Part, Signatures, Table, fold, shares_table, table
from assistant.evaluation.release import Changes, Release
from assistant.evaluation.report import less_is_better
from assistant.evaluation.sealed import Opening
from assistant.evaluation.study import Study
from assistant.wording import counted

__all__ = ["release_sections"]

_SIGNERS = ("Quality", "Safety", "Trainer of the notes")


def release_sections(study: Study) -> Iterator[Part]:
    """Yield the sections; each that tells of something failed stands open."""
    release = study.release
    if release:
        yield from _facts(release)
    if study.gate:
        short = sum(not row.passed for row in study.gate)
        told = f"{short} of {counted(len(study.gate), 'bar')} not reached." if short else "All bars are reached."
        yield fold("Release gate", told, _gate(study.gate), opened=bool(short))
    if study.report.old:
        yield fold(
            "Labels to look at again",
            f"{len(study.report.old)}, {'too many for a release' if study.too_many_old else 'few enough'}",
            _old(study),
            opened=study.too_many_old,
        )
    if study.aims:
        missed = sum(aim.missed for aim in study.aims)
        yield fold("Aims", f"{missed} of {len(study.aims)} missed; an aim shuts no gate", [_aims(study.aims)])
    if release:
        if release.changes:
            yield fold("Changes", f"since {release.changes.since.name}", _changes(release.changes, study))
        else:
            yield Paragraph("What changed is not told: no earlier release was named with --since.")
        if release.sealed:
            told = f"opened {counted(release.sealed.number, 'time')}, last on {release.sealed.date[:10]}"
            yield fold("Sealed figures", told, _sealed(release.sealed, release.pack))
        else:
            yield Paragraph("There are no sealed figures: no ledger lies beside sealed questions.")


def _facts(release: Release) -> Iterator[Part]:
    rows = [
        ("date", release.day.isoformat()),
        ("program", release.version),
        ("git revision", release.revision or "none"),
        ("digest of the notes", release.pack),
        ("digest of the settings", release.settings),
        ("notes", str(len(release.notes))),
    ]
    yield table("What is signed off", ("what", "which"), rows, numbers=False)
    yield Heading(2, "Signatures")
    if release.signed_by:
        yield Paragraph(f"Signed by {release.signed_by} on {release.day.isoformat()}.")
    yield Signatures(_SIGNERS)


def _gate(gate: Sequence[Judged]) -> Iterator[Part]:
    yield Paragraph(
        "A bar is missed where the whole 95 % interval lies on its wrong side: exact for a share, drawn by note for "
        "any other figure. The exact one takes questions as independent, though several are on one note."
    )
    ranked = sorted(gate, key=lambda row: (row.passed, row.reached))
    rows = [(row.bar.figure, str(row.figure or "not measured"), str(row.bar), row.result) for row in ranked]
    yield table("Bars", ("figure", "value", "bar", "result"), rows, numbers=False)


def _old(study: Study) -> Iterator[Part]:
    yield Paragraph(
        "A note that these labels have never named answers the question outright. They are counted in no figure here "
        "until somebody has looked at them: assistant score relabel."
    )
    rows = [(old.question.question, old.question.id, old.note) for old in study.report.old]
    yield table("Labels that a new note made old", ("question", "label", "new note"), rows, numbers=False)


def _aims(aims: Sequence[Aim]) -> Table:
    rows = [
        (
            aim.bar.figure,
            "-" if aim.tune is None else f"{aim.tune:.3f}",
            "-" if aim.sealed is None else f"{aim.sealed:.3f}",
            str(aim.bar),
            "missed" if aim.missed else "reached",
        )
        for aim in aims
    ]
    return table("Aims", ("figure", "tune", "sealed", "aim", "result"), rows, numbers=False)


def _changes(changes: Changes, study: Study) -> Iterator[Part]:
    if changes.since.notes is None:
        yield Paragraph("The earlier figures were saved without the notes, so that only figures are compared.")
    else:
        kinds = (("added", changes.added), ("changed", changes.changed), ("gone", changes.gone))
        rows = [(kind, note, study.titles.get(note, "")) for kind, notes in kinds for note in notes]
        told = ", ".join(f"{len(notes)} {kind}" for kind, notes in kinds)
        yield Paragraph(f"Notes: {told}.")
        if rows:
            yield table("Notes", ("change", "note", "title"), rows, numbers=False)
    if changes.figures:
        moved = [
            (
                name,
                f"{was:.4f}",
                f"{now:.4f}",
                f"{now - was:+.4f}",
                "worse" if (now > was) == less_is_better(name) else "better",
            )
            for name, was, now in changes.figures
        ]
        yield table("Figures that moved", ("figure", "before", "now", "by", ""), moved)
    else:
        yield Paragraph("No figure moved.")


def _sealed(opening: Opening, pack: str) -> Iterator[Part]:
    same = "these notes" if opening.pack == pack else f"other notes, of pack {opening.pack}"
    yield Paragraph(
        f"From the ledger, of {same}; opened because: {opening.why}. They were not asked anew: every look makes them "
        "less of a test."
    )
    yield shares_table("Sealed figures", "figure", opening.figures.items())
