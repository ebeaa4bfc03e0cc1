"""What all benchmarks stand on: the notes, their pack, a folder to work in, and how large things are to be."""

from __future__ import annotations

import random
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from assistant.evaluation.labels import read_questions
from assistant.evaluation.texts import Texts, texts_of_folder
from eval.bench.growing import write_notes
from eval.bench.measure import ASSISTANT, cost_of

__all__ = ["SIZES", "Ground", "Sizes"]


class Sizes(NamedTuple):
    """How large things are made: chunks of a collection, notes, lines of a batch, questions kept in a journal.

    ``questions`` are asked of each ranking, fewer of the slow ones; ``words`` are misspelt.
    """

    chunks: tuple[int, ...]
    notes: tuple[int, ...]
    lines: tuple[int, ...]
    journals: tuple[int, ...]
    questions: int
    words: int


SIZES = {
    "tiny": Sizes((100,), (4, 8), (3,), (0, 20), 5, 5),
    "usual": Sizes((10_000, 100_000), (100, 300, 1000), (500,), (0, 10_000, 300_000), 100, 200),
    "full": Sizes(
        (10_000, 100_000, 1_000_000),
        (100, 300, 1000, 3000, 10_000, 20_000),
        (500, 100_000),
        (0, 10_000, 300_000),
        1000,
        200,
    ),
}
"""``tiny`` shows that all works, and nothing of speed; ``full`` takes hours, most of them to compile notes."""


class Ground:
    """Places and sizes of one run of the benchmarks.

    Parameters
    ----------
    corpus
        A folder of notes.
    questions
        A file of labelled questions.
    work
        An empty folder, which everything is written to.
    runs
        How often each process is run.
    pack
        The pack of the notes; compiled when it is needed if None.
    """

    def __init__(
        self, corpus: Path, questions: Path, work: Path, sizes: Sizes, runs: int, pack: Path | None = None
    ) -> None:
        self.corpus = corpus.resolve()
        self.labelled = questions.resolve()
        self.work = work
        self.sizes = sizes
        self.runs = runs
        self._pack = pack

    @cached_property
    def pack(self) -> Path:
        """The pack of the notes."""
        if self._pack:
            return self._pack.resolve()
        path = self.work / "notes.pack"
        named = ["--corpus", str(self.corpus), "--pack", str(path)]
        cost_of([ASSISTANT, *self.home("compiling"), "corpus", "compile", *named])
        return path

    @cached_property
    def texts(self) -> Texts:
        """Note id and text of every chunk of the notes, which all rankings see."""
        return texts_of_folder(self.corpus) or []

    @cached_property
    def questions(self) -> Sequence[str]:
        """Labelled questions, in an order that tells nothing."""
        asked = [question.question for question in read_questions(self.labelled)]
        random.Random(7).shuffle(asked)  # noqa: S311
        return asked

    def notes(self, count: int) -> Path:
        """Return a folder of so many made-up notes, which is written once."""
        folder = self.work / f"notes-{count}"
        if not folder.exists():
            write_notes(folder, count)
        return folder

    def home(self, name: str) -> tuple[str, str]:
        """Return the option for a home folder of this name."""
        return "--home", str(self.work / "homes" / name)
