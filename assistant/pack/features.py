"""The rows of a linear model, looked up in the file of a pack and kept in memory for a while."""

from __future__ import annotations

from assistant.analysis.features import grams
from assistant.pack.format import feature_table, unpack_feature
from assistant.pack.recent import NOTHING, Recent
from assistant.ranking.linear import FeatureRow, WordRow

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

    from assistant.pack.file import PackFile, Reading

__all__ = ["Features"]

_FEATURE_ROOM, _WORD_ROOM = 32 * 2**20, 24 * 2**20
"""Bytes of what is kept in memory of a model: features, and words."""
_MOST_CLASSES = 2048
"""Of more classes no word is weighed as a whole: its row would be long, and few of its runs are of many classes."""


class Features:
    """The features of one linear model.

    Parameters
    ----------
    file
        The open file.
    model
        Which of the two models.
    classes
        Numbers of all classes.
    reading
        Gives the context that turns what goes wrong with a value into the error that says so.
    """

    def __init__(
        self,
        file: PackFile,
        model: str,
        classes: Collection[int],
        reading: Callable[[str], Reading],
    ) -> None:
        self._file = file
        self._table = feature_table(model)
        self._classes = frozenset(classes)
        self._least, self._most = min(classes, default=0), max(classes, default=-1)
        self._unbroken = len(self._classes) == self._most - self._least + 1
        self._size = size = self._most + 2
        self._reading = reading
        self._rows: Recent[FeatureRow | None] = Recent(_FEATURE_ROOM, lambda row: row.room(size) if row else NOTHING)
        self._words: Recent[WordRow] = Recent(_WORD_ROOM, lambda row: row.room)

    def rows(self, features: Iterable[str]) -> dict[str, FeatureRow]:
        """Return idf and weights of the features that the model knows."""
        rows, missing = self._rows.held(features)
        if missing:
            found = self._read(missing)
            read = {feature: found.get(feature) for feature in missing}
            self._rows.keep(read)
            rows |= read
        return {feature: row for feature, row in rows.items() if row is not None}

    def words(self, words: Iterable[str]) -> dict[str, WordRow] | None:
        """Return the row of each word with its runs of letters; None where there are too many classes for that."""
        if self._size > _MOST_CLASSES:
            return None
        rows, missing = self._words.held(dict.fromkeys(words))
        if missing:
            runs = self.rows(dict.fromkeys(run for word in missing for run in grams(word)))
            made = {word: WordRow(word, runs, self._size) for word in missing}
            self._words.keep(made)
            rows |= made
        return rows

    def _known(self, classes: Sequence[int]) -> bool:
        """Tell whether rising class numbers are all of this model."""
        if self._unbroken:
            return not classes or (self._least <= classes[0] and classes[-1] <= self._most)
        return self._classes.issuperset(classes)

    def _read(self, wanted: Collection[str]) -> dict[str, FeatureRow]:
        with self._reading("feature"):
            found = self._file.entries(self._table, wanted)
            rows = {feature: unpack_feature(raw) for feature, raw in found.items()}
            if not all(self._known(row.classes) for row in rows.values()):
                raise ValueError("a weight belongs to no class of this pack")
            return rows
