"""Whole notes left out: how many of their questions are answered outright, and whether stated probabilities hold.

Five packs are compiled, each without a fifth of the notes, and asked the tune questions of the notes that it lacks.
Run it from the repository: ``python eval/bench/left_out.py``.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from assistant.answering.decide import probability
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.settings import default_settings
from assistant.evaluation.calibration import calibrate
from assistant.evaluation.labels import read_questions
from assistant.evaluation.statistics import Share
from assistant.evaluation.tuning import Asked, asked_of, left_out
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack

_IN_FIVE = 5
"""One in so many questions of left-out notes: some 30 % are then uncovered."""


def outright(row: Asked, bars: dict[str, int]) -> bool:
    """Tell whether a question is answered outright by the bars."""
    margins = row.margins
    return margins.lead >= bars["lead"] and margins.over_none >= bars["over_none"] and margins.points >= bars["points"]


def show(name: str, rows: Sequence[Asked], decision: dict[str, Any], target: str) -> None:
    """Print a line for each band of stated probabilities."""
    stated = [probability(row.margins, decision[target]) for row in rows]
    found = calibrate(stated, [getattr(row, target) for row in rows])
    print(f"{name}: {len(rows)} questions")
    for band in found.bins if found else ():
        low, high = band.right.interval()
        held = "" if low <= band.confidence <= high else "  MISSED"
        print(f"  stated {band.low:.1f} to {band.high:.1f}, mean {band.confidence:.3f}: {band.right}{held}")


def main() -> None:
    """Print the figures."""
    corpus, settings = read_corpus(Path("corpus")), default_settings()
    questions = read_questions(Path("eval/questions.jsonl"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "full.pack")
        compile_corpus(corpus, settings, path)
        with Pack(path) as pack:
            asked = asked_of(pack, questions)
    gone = left_out(corpus, settings, questions, lambda message, done=0, total=0: print(message, file=sys.stderr))
    decision = settings.decision
    answered = Share(sum(outright(row, decision["bars"]) for row in gone), len(gone))
    print(f"questions of left-out notes answered outright: {answered}")
    both = [*asked, *gone[::_IN_FIVE]]
    for target, name in (("right", "first note right"), ("covered", "covered by any note")):
        show(f"{name}, tune", asked, decision, target)
        show(f"{name}, tune and left-out notes", both, decision, target)


if __name__ == "__main__":
    main()
