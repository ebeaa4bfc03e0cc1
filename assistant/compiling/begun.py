"""What a compile that was broken off had learned: a file beside the pack, class by class, for the next one to go on.

Each line of it proves itself: a CRC-32, then which lines, settings and packages it was learned from, then classes. What
does not fit in any way is not taken over. It is no signature: who can write the file can write a pack as well.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from array import array
from collections.abc import Iterable, Mapping
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

from assistant.compiling.classes import ClassWeights

__all__ = ["Begun", "key_of"]

_MOST_WEIGHT = 1 << 31


def key_of(*parts: Iterable[str]) -> str:
    """Return a digest of texts, in their order."""
    digest = hashlib.sha256()
    for part in parts:
        for text in part:
            raw = text.encode("utf-8", "surrogatepass")
            digest.update(len(raw).to_bytes(8, "little") + raw)
        digest.update(b"\xff" * 8)
    return digest.hexdigest()


class Begun:
    """The file of classes that were learned; where it cannot be read or written, all are learned anew.

    Parameters
    ----------
    key
        What `key_of` returns for all that the classes hang on.
    features
        How many columns there are.
    """

    def __init__(self, path: Path, key: str, features: int) -> None:
        self._path = path
        self._key = key
        self._features = features

    def found(self) -> dict[int, ClassWeights]:
        """Return the classes that were learned from the same; a file that holds none of them is removed."""
        learned: dict[int, ClassWeights] = {}
        with suppress(OSError), self._path.open("rb") as file:
            for line in file:
                learned |= self._classes(line)
        if not learned:
            self.drop()
        return learned

    def _classes(self, line: bytes) -> dict[int, ClassWeights]:
        check, _, body = line.rstrip(b"\n").partition(b" ")
        if check != _check(body):
            return {}
        try:
            record = json.loads(body)
            if record["key"] != self._key:
                return {}
            return {int(number): self._class(*found) for number, found in record["classes"].items()}
        except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
            return {}

    def _class(self, bias: int, columns: list[int], weights: list[int]) -> ClassWeights:
        found = ClassWeights(array("i", columns), array("i", weights), bias)
        rising = all(one < other for one, other in pairwise(columns))
        inside = not columns or 0 <= columns[0] <= columns[-1] < self._features
        if type(bias) is not int or abs(bias) >= _MOST_WEIGHT or not (rising and inside):
            raise ValueError("no class")
        if len(columns) != len(weights):
            raise ValueError("a weight for each column")
        return found

    def add(self, learned: Mapping[int, ClassWeights]) -> None:
        """Add classes at the end of the file, in one piece; what a killed writer left half stays a line of its own."""
        told = {number: (found.bias, list(found.columns), list(found.weights)) for number, found in learned.items()}
        body = json.dumps({"key": self._key, "classes": told}, separators=(",", ":")).encode()
        with suppress(OSError), self._path.open("ab") as file:
            file.write(b"\n%s %s\n" % (_check(body), body))

    def drop(self) -> None:
        """Remove the file."""
        with suppress(OSError):
            self._path.unlink(missing_ok=True)


def _check(body: bytes) -> bytes:
    return b"%08x" % zlib.crc32(body)
