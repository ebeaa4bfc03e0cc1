"""A linear model as a pack holds it, and taking it over from the pack that stands there.

What a class learns hangs on every line, as the rarity of each word does: where one line is another, all are learned
anew. Where all lines are the same, as after a change of steps, messages or parts, what was learned is taken as it is;
for one who will learn one class anew it is sorted by class.
"""

from __future__ import annotations

import json
import sqlite3
from array import array
from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

import numpy as np

from assistant.compiling.classes import ClassWeights
from assistant.compiling.linear import LinearModel
from assistant.pack.blocks import decode_block
from assistant.pack.file import in_uri
from assistant.pack.format import feature_table, pack_feature, unpack_feature

__all__ = ["LEARNED", "HeldModel", "by_class", "held", "taken_over"]

LEARNED = "learned"
"""The entry of the manifest that tells what each model was learned from."""


class HeldModel(NamedTuple):
    """The entries of a model's table of features, the bias of every class, and the key of what it was learned from."""

    entries: Iterable[tuple[str, bytes]]
    bias: Mapping[int, int]
    key: str = ""


def held(model: LinearModel, key: str) -> HeldModel:
    """Return a model as a pack holds it."""
    rows = model.rows.items()
    return HeldModel(
        ((feature, pack_feature(row.idf, row.classes, row.weights)) for feature, row in rows), model.bias, key
    )


def taken_over(pack: Path | None, model: str, key: str) -> HeldModel | None:
    """Return a model of a pack where that was learned from what ``key`` stands for and is whole, else None."""
    if pack is None or not pack.is_file():
        return None
    try:
        with closing(sqlite3.connect(f"file:{in_uri(str(pack.absolute()))}?mode=ro&immutable=1", uri=True)) as db:
            ((content,),) = db.execute("SELECT content FROM manifest")
            manifest = decode_block("manifest", 0, content)
            if json.loads(manifest[LEARNED])[model] != key:
                return None
            bias = {int(number): int(value) for number, value in json.loads(manifest["bias"])[model]}
            table = feature_table(model)
            blocks = db.execute(f"SELECT number, content FROM {table} ORDER BY number")
            read = [decode_block(table, number, found) for number, found in blocks]
            if len(read) != json.loads(manifest["blocks"])[table]:
                return None
    except (OSError, sqlite3.Error, ValueError, KeyError, TypeError, RecursionError):
        return None
    return HeldModel([entry for block in read for entry in block.items()], bias, key)


def by_class(model: HeldModel, names: Sequence[str]) -> dict[int, ClassWeights] | None:
    """Return what each class of a model learned, as it was when it was learned; None where its features are others.

    Parameters
    ----------
    names
        The feature of each column of the vectors that the model was learned from.
    """
    place = {name: column for column, name in enumerate(names)}
    columns, classes, weights = array("i"), array("h"), array("h")
    try:
        for feature, blob in model.entries:
            row = unpack_feature(blob)
            columns.extend([place[feature]] * len(row.classes))
            classes.extend(row.classes)
            weights.extend(row.weights)
    except (ValueError, KeyError):
        return None
    order = np.lexsort((np.asarray(columns), np.asarray(classes)))
    rising, held, points = (np.asarray(values)[order] for values in (classes, columns, weights))
    ends = {number: np.searchsorted(rising, (number, number + 1)) for number in model.bias}
    return {
        number: ClassWeights(array("i", held[start:end].tolist()), array("i", points[start:end].tolist()), bias)
        for (number, (start, end)), bias in zip(ends.items(), model.bias.values(), strict=True)
    }
