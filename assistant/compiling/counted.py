"""How often each feature stands in each line, by blocks of lines: words with their pairs, and runs of letters.

Words are numbers here and pairs two numbers in one. A line has of each run of letters what its words have of it, which
is a product of two matrices: no text is held but that of the words and of the features that count.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from scipy.sparse import csr_matrix

from assistant.analysis.features import grams
from assistant.analysis.tokens import tokenize
from assistant.languages import Language

__all__ = ["AT_ONCE", "Grams", "ReadLines", "WordPairs", "read_lines"]

AT_ONCE = 1 << 14
"""Lines whose runs of letters are counted at a time."""


class ReadLines(NamedTuple):
    """Lines as numbers of words.

    ``words`` are in the order in which they first came; ``numbers`` are those of all lines, one after another, and
    ``starts`` where each begins and the last ends.
    """

    words: list[str]
    numbers: Any
    starts: Any


def read_lines(lines: Iterable[str], language: Language) -> ReadLines:
    """Return the words of lines as numbers."""
    known: dict[str, int] = {}
    numbers, starts = array("i"), array("q", [0])
    for line in lines:
        numbers.extend(known.setdefault(word, len(known)) for word in tokenize(line, language))
        starts.append(len(numbers))
    return ReadLines(list(known), np.frombuffer(numbers, dtype=np.int32), np.frombuffer(starts, dtype=np.int64))


class WordPairs:
    """Words and pairs of neighbours that stand in ``least`` lines or more.

    ``names`` are sorted; ``frequency`` tells in how many lines each stands, shape (features,).
    """

    def __init__(self, read: ReadLines, least: int, dtype: Any) -> None:
        words, numbers, starts = read
        many, places = len(words), np.arange(len(numbers))
        line = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
        inside = np.flatnonzero(line[:-1] == line[1:])
        pair = numbers[inside].astype(np.int64) * many + numbers[inside + 1]
        pairs, first, which = np.unique(pair, return_index=True, return_inverse=True)
        came = np.concatenate(
            (  # the words of a line come before its pairs
                (places + starts[line])[np.unique(numbers, return_index=True)[1]],
                (inside + starts[line[inside] + 1])[first],
            )
        )
        columns = np.concatenate((numbers, (many + which).astype(np.int32)))
        rows = np.concatenate((line, line[inside])).astype(np.int32)
        shape = (len(starts) - 1, len(came))
        held = csr_matrix((np.ones(len(rows), dtype=dtype), (rows, columns)), shape=shape)
        frequency = np.bincount(held.indices, minlength=shape[1])
        kept = np.flatnonzero(frequency >= least)
        kept = kept[np.argsort(came[kept])]
        names = [
            words[column] if column < many else " ".join(words[n] for n in divmod(int(pairs[column - many]), many))
            for column in kept.tolist()
        ]
        self._matrix = held[:, kept]
        self._matrix.sort_indices()
        self.names, order, renamed = _by_name(names)
        self._matrix.indices = renamed[self._matrix.indices]
        self.frequency = frequency[kept][order]

    def counts(self, start: int, end: int) -> Any:
        """Return a row for each of these lines, shape (lines, features), its features as they first came anywhere."""
        return self._matrix[start:end]


class Grams:
    """Runs of letters inside words that stand in ``least`` lines or more; ``names`` and ``frequency`` as there."""

    def __init__(self, read: ReadLines, least: int, dtype: Any) -> None:
        known: dict[str, int] = {}
        columns, ends = array("i"), array("q", [0])
        for word in read.words:
            columns.extend(known.setdefault(gram, len(known)) for gram in grams(word))
            ends.append(len(columns))
        in_words = _ones(np.frombuffer(columns, dtype=np.int32), ends, len(known), dtype)
        self._words = _ones(read.numbers, read.starts, len(read.words), dtype)
        frequency = np.zeros(len(known), dtype=np.int64)
        for start in range(0, self._words.shape[0], AT_ONCE):
            found = self._words[start : start + AT_ONCE] @ in_words
            frequency += np.bincount(found.indices, minlength=len(known))
        kept = np.flatnonzero(frequency >= least)
        self._in_words = in_words[:, kept]
        names = list(known)
        self.names, order, self._renamed = _by_name([names[column] for column in kept.tolist()])
        self.frequency = frequency[kept][order]

    def counts(self, start: int, end: int) -> Any:
        """Return a row for each of these lines, shape (lines, features), its features as they first came anywhere."""
        found = self._words[start:end] @ self._in_words
        found.sort_indices()
        found.indices = self._renamed[found.indices]
        return found


def _ones(columns: Any, ends: Sequence[int], width: int, dtype: Any) -> Any:
    """Return a matrix of ones; what stands twice in a row is held twice."""
    return csr_matrix((np.ones(len(columns), dtype=dtype), columns, np.asarray(ends)), shape=(len(ends) - 1, width))


def _by_name(names: Sequence[str]) -> tuple[list[str], Any, Any]:
    """Return the names sorted, the old place of each, and the new place of each."""
    order = np.array(sorted(range(len(names)), key=names.__getitem__), dtype=np.int64)
    renamed = np.empty(len(names), dtype=np.int32)
    renamed[order] = np.arange(len(names), dtype=np.int32)
    return [names[place] for place in order.tolist()], order, renamed
