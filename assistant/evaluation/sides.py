"""One side of a comparison: a pack, a settings file to compile the notes with, or a saved baseline."""

from __future__ import annotations

import json
import math
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from assistant.answering.assistant import Assistant
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import settings_from_json
from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.breakdown import by_area, by_station, cluster_of, stations_of
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.measures import per_query
from assistant.evaluation.run import (
    Outcome,
    leavers,
    readings,
    shown_run,
    talk_tallies,
    talk_turns,
    tallies,
)
from assistant.notes.corpus import read_released
from assistant.notes.text import regular
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["Labels", "Side", "baseline_shares", "read_side"]

SHOWN_MEASURES = ("MRR", "nDCG@10")
"""Measures of the order that the rep is shown, beside the shares."""
_SQLITE = b"SQLite format 3\x00"
Counted = Mapping[str, tuple[float, float]]


class Labels(NamedTuple):
    """The labelled questions and talks of one split."""

    questions: Sequence[LabelledQuestion]
    talks: Sequence[Talk]
    split: str

    def clusters(self) -> dict[str, str]:
        """Return for each question and each turn the note that it is drawn with; one without a note stands alone."""
        found = {q.id: cluster_of(q) for q in self.questions}
        for talk in self.talks:
            for place, turn in enumerate(talk.turns, start=1):
                name = f"{talk.id}/{place}"
                found[name] = next(iter(turn.notes), f"? {name}")
        return found


class Side(NamedTuple):
    """What one side scored.

    ``figures`` maps figure -> question -> (right, counted); a saved baseline has ``shares`` alone. ``pack`` is the
    digest of the notes.
    """

    name: str
    kind: str
    shares: Mapping[str, float]
    figures: Mapping[str, Counted] = {}
    outcomes: Sequence[Outcome] = ()
    pack: str = ""


def read_side(path: Path, labels: Labels, corpus: Path | None, progress: Progress = silent) -> Side:
    """Score what stands at ``path``.

    Parameters
    ----------
    corpus
        Folder of the notes that a settings file is compiled with.

    Raises
    ------
    PackError, NotesError
        If the file, or a note, is refused.
    UsageError
        If settings are named and no notes.
    """
    try:
        with regular(path).open("rb") as file:
            is_pack = file.read(len(_SQLITE)) == _SQLITE
    except OSError as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error.strerror}")]) from error
    if is_pack:
        with Pack(path) as pack:
            return _scored(f"{path}", "pack", pack, labels, progress)
    try:
        text = path.read_text("utf-8")
        data = json.loads(text)
        if isinstance(data, dict) and "splits" in data:
            return Side(f"{path}", "baseline", baseline_shares(path, labels.split))
        settings = settings_from_json(text)
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise NotesError([Fault(str(path), 1, "neither a pack, nor settings, nor a saved baseline")]) from error
    if corpus is None:
        raise UsageError(f"{path}: settings are compared on the notes: name their folder with --corpus")
    progress(f"compiling the notes with {path}")
    with tempfile.TemporaryDirectory() as folder:
        compiled = Path(folder, "side.pack")
        compile_corpus(read_released(corpus), settings, compiled)
        with Pack(compiled) as pack:
            return _scored(f"{path}", "settings", pack, labels, progress)


def baseline_shares(path: Path, split: str) -> dict[str, float]:
    """Return the saved shares of a split.

    Raises
    ------
    NotesError
        If the file is no saved baseline, or has none for the split.
    """
    try:
        saved = json.loads(regular(path).read_text("utf-8"))["splits"][split]
        shares = {str(name): float(value) for name, value in dict(saved).items()}
        if not all(map(math.isfinite, shares.values())):
            raise ValueError("a share is no number")
        return shares
    except (OSError, ValueError, TypeError, KeyError, OverflowError, RecursionError) as error:
        raise NotesError([Fault(str(path), 1, f"no saved baseline for the split '{split}'")]) from error


def _scored(name: str, kind: str, pack: Pack, labels: Labels, progress: Progress) -> Side:
    progress(name)
    read = readings(pack, labels.questions, progress)
    found = [one.outcome for one in read]
    figures: dict[str, Counted] = {
        **tallies(found),
        **talk_tallies(talk_turns(Assistant(pack), labels.talks)),
        "new questions that leave the note in hand": leavers(read),
    }
    qrels, run = shown_run([o for o in found if o.question.manner in ANSWERABLE])
    for measure in SHOWN_MEASURES:
        scored = per_query(qrels, run, measure) if qrels else {}
        figures[f"as shown: {measure}"] = {question: (value, 1) for question, value in scored.items()}
    figures |= {f"P@1 area {area}": tally for area, tally in by_area(found).items()}
    figures |= {f"P@1 station {station}": tally for station, tally in by_station(found, stations_of(pack)).items()}
    shares = {figure: value for figure, tally in figures.items() if (value := _share(tally)) is not None}
    return Side(name, kind, shares, figures, found, pack.digest)


def _share(tally: Counted) -> float | None:
    counted = sum(n for _, n in tally.values())
    return sum(k for k, _ in tally.values()) / counted if counted else None
