"""The pack's file format: one SQLite file of checked blocks, with whole-number weights."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Mapping, Sequence
from types import MappingProxyType

__all__ = [
    "APPLICATION_ID",
    "FIELDS",
    "FORMAT",
    "NOTES_MODEL",
    "SCHEMA",
    "TABLES",
    "TURNS_MODEL",
    "TURN_CLASSES",
    "feature_table",
    "pack_count",
    "pack_feature",
    "pack_postings",
    "unpack_count",
    "unpack_feature",
    "unpack_postings",
]

from assistant.model import ABOUTS

FORMAT = 5
"""``PRAGMA user_version``; packs of formats before 5 have 0 there."""
APPLICATION_ID = 0x53744173
"""``PRAGMA application_id`` that tells a pack from any other SQLite file."""

FIELDS = ("title", "examples", "condition", "steps", "rest")
"""Fields of a chunk; a blob stores the place in this tuple."""
NOTES_MODEL, TURNS_MODEL = "note", "turn"
"""The two linear models: one class a note and one for none, and one class a kind of turn."""
TURN_CLASSES: tuple[str, ...] = (*ABOUTS, "new")
"""Kinds of turns by class number; the last leaves the note in hand."""

_FIELD_ROOM = 8

TABLES = (
    "manifest",  # one block; key: text
    "note",  # id: the note as JSON
    "step",  # id: JSON {term: [[step, weight], ...]}
    "term",  # term: its postings
    "note_feature",  # a word, two words, or ~ and a run of letters: idf and weights in the model of notes
    "turn_feature",  # the same in the model of turns
    "alarm",  # first word of a phrase: JSON [[rank, phrase, note, 1 where it lifts], ...]
    "form",  # word form: how often it stands in the corpus
    "slip",  # what deleted letters leave: the forms that it may come from
    "meaning",  # form of the vocabulary: JSON [[word, percent], ...]
)
"""Tables with what their blocks hold (see `assistant.pack.blocks`): key and value."""
SCHEMA: Mapping[str, str] = MappingProxyType(
    {name: f"CREATE TABLE {name} (number INTEGER PRIMARY KEY, content BLOB NOT NULL)" for name in TABLES}
)
"""The statement that makes each table; a pack holds these and nothing else."""


def feature_table(model: str) -> str:
    """Return the table that holds the features of a linear model."""
    return f"{model}_feature"


def pack_postings(postings: Sequence[tuple[int, int, int]]) -> bytes:
    """Return (chunk, weight, field) postings as pairs of little-endian signed 32-bit values."""
    return _bytes("i", [value for chunk, weight, field in postings for value in (chunk, weight * _FIELD_ROOM + field)])


def unpack_postings(blob: bytes) -> list[tuple[int, int, int]]:
    """Return the postings of a blob written by `pack_postings`."""
    values = _values("i", blob)
    pairs = zip(values[::2], values[1::2], strict=True)
    return [(chunk, value // _FIELD_ROOM, value % _FIELD_ROOM) for chunk, value in pairs]


def pack_feature(idf: int, weights: Sequence[tuple[int, int]]) -> bytes:
    """Return an idf as a little-endian signed 32-bit value, then (class, weight) pairs as 16-bit ones."""
    return pack_count(idf) + _bytes("h", [value for pair in weights for value in pair])


def unpack_feature(blob: bytes) -> tuple[int, list[tuple[int, int]]]:
    """Return idf and pairs of a blob written by `pack_feature`."""
    values = _values("h", blob[4:])
    return unpack_count(blob[:4]), list(zip(values[::2], values[1::2], strict=True))


def pack_count(count: int) -> bytes:
    """Return a number as a little-endian signed 32-bit value."""
    return count.to_bytes(4, "little", signed=True)


def unpack_count(blob: bytes) -> int:
    """Return the number of a blob written by `pack_count`."""
    if len(blob) != 4:
        raise ValueError(f"a number has {len(blob)} bytes")
    return int.from_bytes(blob, "little", signed=True)


def _bytes(kind: str, numbers: Sequence[int]) -> bytes:
    values = array(kind, numbers)
    if sys.byteorder == "big":
        values.byteswap()
    return values.tobytes()


def _values(kind: str, blob: bytes) -> array[int]:
    values: array[int] = array(kind)
    values.frombytes(blob)
    if sys.byteorder == "big":
        values.byteswap()
    return values
