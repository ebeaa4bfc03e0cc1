"""The pack's file format: one SQLite file, integer weights in blobs."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Sequence

__all__ = [
    "APPLICATION_ID",
    "FIELDS",
    "FORMAT",
    "NOTES_MODEL",
    "SCHEMA",
    "TURNS_MODEL",
    "TURN_CLASSES",
    "pack_postings",
    "pack_weights",
    "unpack_postings",
    "unpack_weights",
]

from assistant.model import ABOUTS

FORMAT = 4
APPLICATION_ID = 0x53744173
"""``PRAGMA application_id`` that tells a pack from any other SQLite file."""

FIELDS = ("title", "examples", "condition", "steps", "rest")
"""Fields of a chunk; a blob stores the place in this tuple."""
NOTES_MODEL, TURNS_MODEL = "note", "turn"
"""The two linear models: one class a note and one for none, and one class a kind of turn."""
TURN_CLASSES: tuple[str, ...] = (*ABOUTS, "new")
"""Kinds of turns by class number; the last leaves the note in hand."""

_FIELD_ROOM = 8

SCHEMA = """
CREATE TABLE manifest (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE note (
    number INTEGER PRIMARY KEY,  -- from 0, in the order of the ids
    id TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL,
    content TEXT NOT NULL        -- the note as JSON
);
CREATE TABLE term (
    term TEXT PRIMARY KEY,
    chunks BLOB NOT NULL         -- chunk, 8 times weight plus field; twice an int32
) WITHOUT ROWID;
CREATE TABLE feature (
    model TEXT NOT NULL,         -- which of the linear models
    feature TEXT NOT NULL,       -- a word, two words, or ~ and a run of letters
    idf INTEGER NOT NULL,        -- thousandths
    weights BLOB NOT NULL,       -- class, weight in thousandths; twice an int16
    PRIMARY KEY (model, feature)
) WITHOUT ROWID;
CREATE TABLE alarm (
    first TEXT NOT NULL,         -- first word of the phrase
    phrase TEXT NOT NULL,
    note INTEGER NOT NULL,       -- the note that goes first, lower ranks before higher
    rank INTEGER NOT NULL,
    lifts INTEGER NOT NULL,      -- 1: lifts the words of this note's alarm that it holds
    PRIMARY KEY (first, phrase, note, lifts)
) WITHOUT ROWID;
CREATE TABLE form (form TEXT PRIMARY KEY, term TEXT NOT NULL, count INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE slip (key TEXT PRIMARY KEY, forms TEXT NOT NULL) WITHOUT ROWID;  -- what deleted letters leave; of what
CREATE TABLE meaning (form TEXT PRIMARY KEY, words TEXT NOT NULL) WITHOUT ROWID;  -- JSON [[word, percent], ...]
CREATE TABLE step (note INTEGER PRIMARY KEY, weights TEXT NOT NULL);  -- JSON {term: [[step, weight], ...]}
"""


def pack_postings(postings: Sequence[tuple[int, int, int]]) -> bytes:
    """Return (chunk, weight, field) postings as pairs of little-endian signed 32-bit values."""
    return _bytes("i", [value for chunk, weight, field in postings for value in (chunk, weight * _FIELD_ROOM + field)])


def unpack_postings(blob: bytes) -> list[tuple[int, int, int]]:
    """Return the postings of a blob written by `pack_postings`."""
    values = _values("i", blob)
    pairs = zip(values[::2], values[1::2], strict=True)
    return [(chunk, value // _FIELD_ROOM, value % _FIELD_ROOM) for chunk, value in pairs]


def pack_weights(weights: Sequence[tuple[int, int]]) -> bytes:
    """Return (class, weight) pairs as little-endian signed 16-bit values."""
    return _bytes("h", [value for pair in weights for value in pair])


def unpack_weights(blob: bytes) -> list[tuple[int, int]]:
    """Return the pairs of a blob written by `pack_weights`."""
    values = _values("h", blob)
    return list(zip(values[::2], values[1::2], strict=True))


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
