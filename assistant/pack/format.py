"""The pack's file format: one SQLite file of checked blocks, with whole-number weights."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Mapping, Sequence
from operator import lt
from types import MappingProxyType

from assistant.model import ABOUTS
from assistant.ranking.linear import FeatureRow
from assistant.ranking.postings import PART, Part

__all__ = [
    "APPLICATION_ID",
    "FIELDS",
    "FIGURES",
    "FIRST_AT_ONCE",
    "FORMAT",
    "IDS_AT_ONCE",
    "NOTES_MODEL",
    "SCHEMA",
    "TABLES",
    "TURNS_MODEL",
    "TURN_CLASSES",
    "feature_table",
    "pack_count",
    "pack_feature",
    "pack_form",
    "pack_numbers",
    "pack_postings",
    "pack_title",
    "part_key",
    "unpack_count",
    "unpack_directory",
    "unpack_feature",
    "unpack_form",
    "unpack_numbers",
    "unpack_part",
    "unpack_title",
]

FORMAT = 6
"""``PRAGMA user_version``; packs of formats before 5 have 0 there."""
APPLICATION_ID = 0x53744173
"""``PRAGMA application_id`` that tells a pack from any other SQLite file."""

FIELDS = ("title", "examples", "condition", "steps", "rest")
"""Fields of a chunk; a blob stores the place in this tuple."""
NOTES_MODEL, TURNS_MODEL = "note", "turn"
"""The two linear models: one class a note and one for none, and one class a kind of turn."""
TURN_CLASSES: tuple[str, ...] = (*ABOUTS, "new")
"""Kinds of turns by class number; the last leaves the note in hand."""

IDS_AT_ONCE, FIRST_AT_ONCE = 256, 65_536
"""How many notes an entry of ``id`` and of ``first`` tells of."""
_COUNT = 4
"""Bytes of a number."""
_FIELD_NUMBERS = bytes(range(len(FIELDS)))
_MOST_IDF = 2**20
"""In thousandths; of any number of texts that fit a machine it is below 50,000."""

TABLES = (
    "manifest",  # one block; key: text
    "id",  # which 256 of the notes: their ids as JSON, in order
    "title",  # id: the number of the note, and its title
    "first",  # which 65,536 of the notes: the first chunk of each
    "note",  # id: the note as JSON
    "step",  # id: JSON {term: [[step, weight], ...]}
    "term",  # term: its postings, or where the parts of a long list begin; term, blank, number: a part
    "note_feature",  # a word, two words, or ~ and a run of letters: idf and weights in the model of notes
    "turn_feature",  # the same in the model of turns
    "alarm",  # first word of a phrase: JSON [[rank, phrase, note, 1 where it lifts], ...]
    "form",  # word form: how often it stands in the corpus
    "slip",  # what deleted letters leave: the forms that it may come from
    "meaning",  # form of the vocabulary: JSON [[word, percent], ...]
)
"""Tables with what their blocks hold (see `assistant.pack.blocks`): key and value."""
FIGURES = "figure"
"""A table that only a pack of notes with pictures has, after the others; digest of a file: the picture as shown."""
SCHEMA: Mapping[str, str] = MappingProxyType(
    {name: f"CREATE TABLE {name} (number INTEGER PRIMARY KEY, content BLOB NOT NULL)" for name in (*TABLES, FIGURES)}
)
"""The statement that makes each table; a pack holds these and nothing else."""


def feature_table(model: str) -> str:
    """Return the table that holds the features of a linear model."""
    return f"{model}_feature"


def part_key(term: str, number: int) -> str:
    """Return the key of a part of a long list of postings; no term holds a blank."""
    return f"{term} {number}"


def pack_postings(term: str, chunks: array[int], weights: array[int], fields: bytes) -> list[tuple[str, bytes]]:
    """Return the entries of a term: how many postings it has, then chunks, weights (below 65,536) and fields of all.

    Of a long list the first chunk and the highest weight of each part come instead, and each part is an entry.
    """
    count = len(chunks)
    starts = range(0, count, PART)
    parts = [
        b"".join((_bytes(chunks[at : at + PART]), _bytes(weights[at : at + PART]), fields[at : at + PART]))
        for at in starts
    ]
    if count <= PART:
        return [(term, b"".join((pack_count(count), *parts)))]
    first = _bytes(array("I", [chunks[at] for at in starts]))
    tops = _bytes(array("H", [max(weights[at : at + PART]) for at in starts]))
    listed = [(part_key(term, number), part) for number, part in enumerate(parts)]
    return [(term, b"".join((pack_count(count), first, tops))), *listed]


def unpack_directory(blob: bytes) -> tuple[int, Sequence[int], Sequence[int], Part | None]:
    """Return of a term's entry how many postings it has, first chunk and highest weight by part, and the part if one.

    Raises
    ------
    ValueError
        If it is of another length, or its parts are not in order.
    """
    count = unpack_count(blob[:_COUNT])
    if count <= PART:
        part = unpack_part(blob[_COUNT:], count)
        return count, part.chunks[:1], [max(part.weights)] if count else [], part
    parts = -(-count // PART)
    _check_length(blob, _COUNT + 6 * parts)
    first = _values("I", blob[_COUNT : _COUNT + 4 * parts])
    if first.tolist() != sorted(set(first)):
        raise ValueError("parts that are not in order")
    return count, first, _values("H", blob[_COUNT + 4 * parts :]), None


def unpack_part(blob: bytes, count: int) -> Part:
    """Return a part of ``count`` postings.

    Raises
    ------
    ValueError
        If it has another length, or names a field that there is none of.
    """
    _check_length(blob, 7 * count)
    chunks, weights, fields = (
        _values("I", blob[: 4 * count]),
        _values("H", blob[4 * count : 6 * count]),
        blob[6 * count :],
    )
    if fields.translate(None, _FIELD_NUMBERS):
        raise ValueError("a field that there is none of")
    return Part(chunks, weights, fields)


def pack_feature(idf: int, classes: Sequence[int], weights: Sequence[int]) -> bytes:
    """Return an idf as a little-endian signed 32-bit value, then classes, rising, and weights as 16-bit ones."""
    return b"".join((pack_count(idf), _bytes(array("h", classes)), _bytes(array("h", weights))))


def unpack_feature(blob: bytes) -> FeatureRow:
    """Return the row of a blob written by `pack_feature`.

    Raises
    ------
    ValueError
        If a weight lacks its class, the classes are not in order, or the idf is none.
    """
    idf = unpack_count(blob[:_COUNT])
    values = _values("h", blob[_COUNT:])
    half, odd = divmod(len(values), 2)
    classes = values[:half]
    if odd:
        raise ValueError("a class without its weight: one is shorter")
    if not all(map(lt, classes, classes[1:])):
        raise ValueError("classes that are not in order")
    if not 0 <= idf <= _MOST_IDF:
        raise ValueError(f"{idf} is no idf")
    return FeatureRow(idf, classes, values[half:])


def pack_title(number: int, title: str) -> bytes:
    """Return the number of a note with its title."""
    return pack_count(number) + title.encode()


def unpack_title(blob: bytes) -> tuple[int, str]:
    """Return number and title of a blob written by `pack_title`."""
    return unpack_count(blob[:_COUNT]), blob[_COUNT:].decode()


def pack_form(count: int, spelled: str = "") -> bytes:
    """Return how often a form stands in the notes, and how it is spelt there where that is otherwise."""
    return pack_count(count) + spelled.encode()


def unpack_form(blob: bytes) -> tuple[int, str]:
    """Return the count and the spelling of a blob written by `pack_form`."""
    return unpack_count(blob[:_COUNT]), blob[_COUNT:].decode()


def pack_numbers(numbers: Sequence[int]) -> bytes:
    """Return numbers as little-endian unsigned 32-bit values."""
    return _bytes(array("I", numbers))


def unpack_numbers(blob: bytes) -> array[int]:
    """Return the numbers of a blob written by `pack_numbers`."""
    return _values("I", blob)


def pack_count(count: int) -> bytes:
    """Return a number as a little-endian signed 32-bit value."""
    return count.to_bytes(4, "little", signed=True)


def unpack_count(blob: bytes) -> int:
    """Return the number of a blob written by `pack_count`."""
    _check_length(blob, _COUNT)
    return int.from_bytes(blob, "little", signed=True)


def _check_length(blob: bytes, length: int) -> None:
    if len(blob) != length:
        raise ValueError(f"{len(blob)} bytes where there must be {length}")


def _bytes(values: array[int]) -> bytes:
    if sys.byteorder == "big":
        values = values[:]
        values.byteswap()
    return values.tobytes()


def _values(kind: str, blob: bytes) -> array[int]:
    values: array[int] = array(kind)
    values.frombytes(blob)
    if sys.byteorder == "big":
        values.byteswap()
    return values
