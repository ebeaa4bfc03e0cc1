"""The pack's file format: one SQLite file, integer weights in blobs."""

from __future__ import annotations

import sys
from array import array

__all__ = ["APPLICATION_ID", "FIELDS", "FORMAT", "SCHEMA", "pack_numbers", "unpack_numbers"]

FORMAT = 2
APPLICATION_ID = 0x53744173
"""``PRAGMA application_id`` that tells a pack from any other SQLite file."""

FIELDS = ("title", "examples", "condition", "steps", "rest")
"""Fields of a chunk; a blob stores the place in this tuple."""

SCHEMA = """
CREATE TABLE manifest (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE note (
    number INTEGER PRIMARY KEY,  -- from 0, in the order of the ids
    id TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL,
    content TEXT NOT NULL        -- the note as JSON
);
CREATE TABLE chunk (number INTEGER PRIMARY KEY, note INTEGER NOT NULL, kind TEXT NOT NULL, content TEXT NOT NULL);
CREATE TABLE example (number INTEGER PRIMARY KEY, note INTEGER NOT NULL, content TEXT NOT NULL);  -- note -1: none
CREATE TABLE owner (kind TEXT PRIMARY KEY, notes BLOB NOT NULL) WITHOUT ROWID;  -- note of every chunk, example
CREATE TABLE term (
    term TEXT PRIMARY KEY,
    mass INTEGER NOT NULL,       -- idf in thousandths
    chunks BLOB NOT NULL,        -- chunk, weight, field; thrice an int32
    learned BLOB NOT NULL,       -- note, weight
    examples BLOB NOT NULL       -- example, weight
) WITHOUT ROWID;
CREATE TABLE form (form TEXT PRIMARY KEY, term TEXT NOT NULL, count INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE meaning (form TEXT PRIMARY KEY, words TEXT NOT NULL) WITHOUT ROWID;  -- JSON [[word, percent], ...]
CREATE TABLE step (note INTEGER PRIMARY KEY, weights TEXT NOT NULL);  -- JSON {term: [[step, weight], ...]}
CREATE TABLE cue (cue TEXT PRIMARY KEY, weights BLOB NOT NULL) WITHOUT ROWID;  -- one int32 a class of turns
CREATE TABLE tell (
    kind TEXT NOT NULL,          -- what a turn of phrase tells of: harm, or a turn on the note in hand
    cue TEXT NOT NULL,
    points INTEGER NOT NULL,     -- hundredths, as is the mass
    mass INTEGER NOT NULL,
    PRIMARY KEY (kind, cue)
) WITHOUT ROWID;
CREATE TABLE kin (
    note INTEGER NOT NULL,
    other INTEGER NOT NULL,      -- a note that the same questions fit
    weight INTEGER NOT NULL,     -- how often, log1p in thousandths
    PRIMARY KEY (note, other)
) WITHOUT ROWID;
"""


def pack_numbers(numbers: list[int]) -> bytes:
    """Return the numbers as little-endian signed 32-bit values."""
    values = array("i", numbers)
    if sys.byteorder == "big":
        values.byteswap()
    return values.tobytes()


def unpack_numbers(blob: bytes) -> array[int]:
    """Return the numbers of a blob written by `pack_numbers`."""
    values = array("i")
    values.frombytes(blob)
    if sys.byteorder == "big":
        values.byteswap()
    return values
