"""Learning a linear model: each class alone against other lines, side by side on all cores."""

from __future__ import annotations

import signal
import threading
from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import scipy
import sklearn
from sklearn.utils.parallel import Parallel, delayed

from assistant.compiling.begun import Begun, key_of
from assistant.compiling.classes import ClassWeights, Problem, learn_block, problem_of
from assistant.compiling.lines import Lines
from assistant.compiling.sample import Sampling
from assistant.compiling.settings import LinearSettings
from assistant.compiling.vectors import Vectors
from assistant.languages import CODES
from assistant.pack.format import FORMAT
from assistant.progress import Progress, silent
from assistant.ranking.linear import UNIT, FeatureRow

__all__ = ["EXACT_CLASSES", "LinearModel", "ended_whole", "learn_linear", "model_key", "sampling_for"]

EXACT_CLASSES = 501
"""Up to so many classes (500 notes and none) each is learned against all other lines, else against a sample of them."""
_LONG = 1_000_000
"""From so many pairs of a line and a class on the work is shared among all cores, and kept where it is broken off."""
_TOGETHER = 32
"""So many classes with a sample are learned at once, as finding near lines costs less for many."""
_MAKING = (
    "analysis/features.py",
    "analysis/tokens.py",
    "compiling/classes.py",
    "compiling/counted.py",
    "compiling/linear.py",
    "compiling/sample.py",
    "compiling/vectors.py",
    "languages/__init__.py",
)
"""The modules that make lines into weights, beside that of the language: a change of theirs may change the weights."""


@dataclass(frozen=True, slots=True)
class LinearModel:
    """Features as a pack stores them, and the bias of every class."""

    rows: Mapping[str, FeatureRow]
    bias: Mapping[int, int]


class _Rows(Mapping[str, FeatureRow]):
    """The features with their weights: held in arrays, made into rows one by one."""

    def __init__(self, names: Sequence[str], idf: Any, learned: Mapping[int, ClassWeights]) -> None:
        self._names = names
        self._idf = idf
        self._places: dict[str, int] = {}
        columns = np.concatenate([np.asarray(found.columns, dtype=np.int32) for found in learned.values()])
        weights = np.concatenate([np.asarray(found.weights, dtype=np.int32) for found in learned.values()])
        classes = np.repeat(
            np.asarray(list(learned), dtype=np.int32), [len(found.columns) for found in learned.values()]
        )
        order = np.lexsort((classes, columns))
        self._classes, self._weights = classes[order], weights[order]
        self._ends = np.searchsorted(columns[order], np.arange(len(self._names) + 1))

    def __len__(self) -> int:
        return len(self._names)

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __getitem__(self, name: str) -> FeatureRow:
        self._places = self._places or {held: place for place, held in enumerate(self._names)}
        place = self._places[name]
        start, end = self._ends[place : place + 2]
        return FeatureRow(
            round(UNIT * float(self._idf[place])),
            array("i", self._classes[start:end].tolist()),
            array("i", self._weights[start:end].tolist()),
        )


def sampling_for(classes: int) -> Sampling | None:
    """Return how many lines each of so many classes is learned against; None for all of them."""
    return Sampling() if classes > EXACT_CLASSES else None


@contextmanager
def ended_whole() -> Iterator[None]:
    """Take the signal that ends a program for an interruption: processes and files of the learning then go."""
    if threading.current_thread() is not threading.main_thread() or signal.getsignal(signal.SIGTERM) != signal.SIG_DFL:
        yield
        return
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)


@ended_whole()
def learn_linear(
    lines: Lines,
    settings: LinearSettings,
    progress: Progress = silent,
    *,
    keep: Callable[[Vectors, dict[int, ClassWeights]], None] | None = None,
    sampling: Sampling | None = None,
    workers: int | None = None,
    begun: Path | None = None,
) -> LinearModel:
    """Learn all classes of ``lines``; an empty model where they do not hold two classes.

    Parameters
    ----------
    keep
        Is handed what was learned by class, for a caller that will learn one of them anew.
    sampling
        How many lines each class is learned against. Where nothing is told it is all of them up to `EXACT_CLASSES`.
    workers
        How many processes learn side by side, which changes nothing of what is learned; by default all cores where it
        is worth their start.
    begun
        The file in which what was learned is kept while the work goes on, and from which it goes on.
    """
    classes = _classes(lines)
    if len(classes) < len((True, False)):
        return LinearModel({}, {})
    sampling = sampling or sampling_for(len(classes))
    vectors = Vectors(lines.keys(), settings, short=sampling is not None)
    problem = problem_of(vectors.matrix, lines.values(), classes, sampling)
    long = len(lines) * len(classes) >= _LONG
    file = Begun(begun, model_key(lines, settings, sampling), len(vectors.names)) if begun and long else None
    learned = _learn_all(problem, classes, settings, progress, workers or (-1 if long else 1), file)
    if keep:
        keep(vectors, learned)
    if file:
        file.drop()
    names, idf = vectors.names, vectors.idf
    del vectors, problem  # before as much again is needed: the matrix is what takes most room
    return LinearModel(_Rows(names, idf, learned), {number: found.bias for number, found in learned.items()})


def _learn_all(
    problem: Problem,
    classes: Sequence[int],
    settings: LinearSettings,
    progress: Progress,
    workers: int,
    file: Begun | None,
) -> dict[int, ClassWeights]:
    """Return what each class has learned, in their order."""
    held = file.found() if file else {}
    if held:
        progress(f"{len(held)} of {len(classes)} classes were learned before")
    left = [place for place, number in enumerate(classes) if number not in held]
    step = _TOGETHER if problem.sampling else 1
    blocks = [left[start : start + step] for start in range(0, len(left), step)]
    message = f"learning {len(classes)} classes"
    done = len(classes) - len(left)
    progress(message, done, len(classes))
    pool = Parallel(n_jobs=workers, return_as="generator", max_nbytes="1M")
    results = pool(delayed(learn_block)(problem, block, settings) for block in blocks)
    try:
        with closing(results):
            for block, learned in zip(blocks, results, strict=True):
                found = {classes[place]: weights for place, weights in zip(block, learned, strict=True)}
                if file:
                    file.add(found)
                held |= found
                done += len(block)
                progress(message, done, len(classes))
    except BrokenExecutor as error:
        raise MemoryError("a process that learned was killed") from error
    return {number: held[number] for number in classes}


def model_key(lines: Lines, settings: LinearSettings, sampling: Sampling | None = None) -> str:
    """Return a digest of all that a model hangs on: lines, settings, what counts and learns them, pack format."""
    sampling = sampling or sampling_for(len(_classes(lines)))
    made_by = (sklearn.__version__, scipy.__version__, np.__version__, str(FORMAT), *_sources(settings.language))
    numbers = (" ".join(map(str, sorted(found))) for found in lines.values())
    return key_of((*made_by, repr(settings), repr(sampling)), lines, numbers)


def _sources(language: str) -> Iterator[str]:
    for name in (*_MAKING, f"languages/{CODES[language]}.py"):
        yield resources.files("assistant").joinpath(name).read_text("utf-8")


def _classes(lines: Lines) -> list[int]:
    return sorted({number for numbers in lines.values() for number in numbers})
