"""What a release is signed off by: what it was made of, what changed since an earlier one, who signs."""

from __future__ import annotations

import hashlib
import json
import subprocess
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError
from assistant.evaluation.sealed import Opening
from assistant.notes.text import regular
from assistant.pack.codec import note_to_json
from assistant.pack.reader import Pack

__all__ = [
    "Changes",
    "Release",
    "Saved",
    "changes_since",
    "git_revision",
    "note_digests",
    "read_saved",
    "release_json",
    "settings_digest",
]

_DIGITS = 12
_SETTINGS = ("fields", "analysis", "decision")


class Saved(NamedTuple):
    """An earlier release or baseline; ``notes`` maps ids to digests and is None where they were not saved."""

    name: str
    day: str
    pack: str
    figures: Mapping[str, float]
    notes: Mapping[str, str] | None


class Changes(NamedTuple):
    """What is other than in an earlier release; ``figures`` holds (name, before, now) of those that moved."""

    since: Saved
    added: tuple[str, ...]
    changed: tuple[str, ...]
    gone: tuple[str, ...]
    figures: tuple[tuple[str, float, float], ...]


class Release(NamedTuple):
    """What stands above the signatures.

    ``revision`` is that of git, empty where there is none; ``notes`` maps ids to digests of what the rep reads;
    ``sealed`` is the last opening of the sealed questions.
    """

    day: date
    version: str
    revision: str
    pack: str
    settings: str
    notes: Mapping[str, str]
    sealed: Opening | None = None
    changes: Changes | None = None
    signed_by: str = ""


def note_digests(pack: Pack) -> dict[str, str]:
    """Return for each note 12 digits of the SHA-256 of what the rep reads of it, signature and last look left out."""
    notes = (note for note_id in sorted(pack.titles) if (note := pack.note(note_id)))
    return {note.id: _digest(note_to_json(note._replace(safety_review=None, reviewed=""))) for note in notes}


def settings_digest(pack: Pack) -> str:
    """Return 12 digits of the SHA-256 of the settings and bars that a pack was compiled with."""
    return _digest("\n".join(pack.manifest.get(key, "") for key in _SETTINGS))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:_DIGITS]


def git_revision(folder: Path) -> str:
    """Return the revision of a folder under git, with a word where files below it were changed since; else empty."""
    try:
        head, changed = (
            subprocess.run(  # noqa: S603 - a fixed program
                ["git", "-C", str(folder), *arguments],  # noqa: S607
                capture_output=True,
                check=True,
                text=True,
            ).stdout.strip()
            for arguments in (("rev-parse", f"--short={_DIGITS}", "HEAD"), ("status", "--porcelain", "--", "."))
        )
    except (OSError, subprocess.CalledProcessError):
        return ""
    return f"{head}, notes changed since" if changed else head


def read_saved(path: Path) -> Saved:
    """Read what ``score report`` wrote beside its page, or what ``score run --save-baseline`` wrote.

    Raises
    ------
    NotesError
        If it is neither.
    """
    try:
        data = json.loads(regular(path).read_text("utf-8"))
        if "splits" in data:
            return Saved(path.name, "", "", _numbers(data["splits"]["tune"]), None)
        facts = data.get("release") or {}
        notes = facts.get("notes")
        return Saved(
            path.name,
            str(facts.get("day", "")),
            str(data["pack"]),
            _figures(data),
            None if notes is None else {str(note): str(digest) for note, digest in notes.items()},
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise NotesError([Fault(str(path), 1, "neither figures of a report nor a saved baseline")]) from error


def _figures(data: Mapping[str, Any]) -> dict[str, float]:
    figures = {name: float(share["value"]) for name, share in data["shares"].items() if share["n"]}
    figures |= {f"as shown: {name}": value for name, value in _numbers(data["means"]).items()}
    if stated := data.get("confidence"):
        figures |= {
            "confidence: Brier score": float(stated["brier"]),
            "confidence: AUROC": float(stated["auroc"]),
        }
    if risk := data.get("risk"):
        figures["confidence: AURC"] = float(risk["aurc"])
    return figures


def _numbers(values: Mapping[str, Any]) -> dict[str, float]:
    return {str(name): float(value) for name, value in values.items()}


def changes_since(saved: Saved, notes: Mapping[str, str], figures: Mapping[str, float]) -> Changes:
    """Return what is other now; a figure has moved where its first four places have."""
    before = notes if saved.notes is None else saved.notes
    moved = (
        (name, was, round(figures[name], 4))
        for name, was in saved.figures.items()
        if name in figures and round(was, 4) != round(figures[name], 4)
    )
    return Changes(
        saved,
        tuple(sorted(set(notes) - set(before))),
        tuple(note for note in sorted(set(notes) & set(before)) if notes[note] != before[note]),
        tuple(sorted(set(before) - set(notes))),
        tuple(moved),
    )


def release_json(release: Release) -> dict[str, Any]:
    """Return the facts as JSON-ready values."""
    changes, sealed = release.changes, release.sealed
    return {
        "day": release.day.isoformat(),
        "version": release.version,
        "revision": release.revision or None,
        "corpus": release.pack,
        "settings": release.settings,
        "signed_by": release.signed_by or None,
        "notes": dict(release.notes),
        "sealed": None
        if sealed is None
        else {
            "date": sealed.date,
            "pack": sealed.pack,
            "why": sealed.why,
            "opened": sealed.number,
            "figures": {name: [share.k, share.n] for name, share in sealed.figures.items()},
        },
        "changes": None
        if changes is None
        else {
            "since": changes.since.name,
            "notes_known": changes.since.notes is not None,
            "added": list(changes.added),
            "changed": list(changes.changed),
            "gone": list(changes.gone),
            "figures": [{"name": name, "before": was, "now": now} for name, was, now in changes.figures],
        },
    }
