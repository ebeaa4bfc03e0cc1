"""Checked blocks: the rows of a pack, each of a few entries, which tell whether they are still what was written.

An entry is a key with bytes. It lies in the block whose number follows from the key, and no number is left out: a
whole block proves what the pack lacks as well as what it holds. A block begins with a CRC-32 over its table, its number
and its entries, so that a reader checks what it reads, and no more.

A CRC-32 finds every change of one or two bits and every run of changed bits up to 32, and of other damage all but one
in four thousand million. It is no signature: who writes a pack can write a block that fits.

Source
------
Koopman, 32-bit cyclic redundancy codes for Internet applications, DSN 2002 (from memory).
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

__all__ = ["block_number", "decode_block", "encode_block", "encode_blocks"]

_ENTRIES = 2
"""Entries of a block on average; few, since all of them are read for one."""
_MOST_ENTRIES = 64
_CHECK, _LENGTH = 4, 3
"""Bytes of the CRC-32 and of the length of a value."""


def block_number(key: str, count: int) -> int:
    """Return the number of the block, of ``count`` in all, in which the entry of ``key`` lies."""
    return zlib.crc32(key.encode("utf-8", "surrogatepass")) % count


def encode_blocks(table: str, entries: Iterable[tuple[str, bytes]]) -> Iterator[bytes]:
    """Yield all blocks of a table, in the order of their numbers."""
    held = dict(entries)
    count = max(1, len(held) // _ENTRIES)
    keys: list[list[str]] = [[] for _ in range(count)]
    for key in held:
        keys[block_number(key, count)].append(key)
    for number, found in enumerate(keys):
        yield encode_block(table, number, {key: held[key] for key in found})


def encode_block(table: str, number: int, entries: Mapping[str, bytes]) -> bytes:
    """Return one block.

    Raises
    ------
    ValueError
        If the entries are too many, or a key holds what ends one.
    """
    if len(entries) > _MOST_ENTRIES or any("\0" in key for key in entries):
        raise ValueError(f"{len(entries)} entries do not fit in a block")
    body = b"".join(
        b"".join((key.encode(), b"\0", len(value).to_bytes(_LENGTH, "little"), value))
        for key, value in sorted(entries.items())
    )
    return _check(table, number, body) + body


def decode_block(table: str, number: int, content: object) -> dict[str, bytes]:
    """Return the entries of a block that `encode_block` wrote for this table and number.

    Raises
    ------
    ValueError
        If it is not that block.
    """
    if not isinstance(content, bytes) or content[:_CHECK] != _check(table, number, content[_CHECK:]):
        raise ValueError(f"block {number} of '{table}' is not what was written")
    entries: dict[str, bytes] = {}
    at, end = _CHECK, len(content)
    for _ in range(_MOST_ENTRIES):
        if at >= end:
            break
        name = content.index(0, at)
        start = name + 1 + _LENGTH
        stop = start + int.from_bytes(content[name + 1 : start], "little")
        entries[content[at:name].decode()] = content[start:stop]
        at = stop
    if at != end:
        raise ValueError(f"block {number} of '{table}' holds no whole entries")
    return entries


def _check(table: str, number: int, body: bytes) -> bytes:
    return zlib.crc32(body, zlib.crc32(b"%d " % number, _begun(table))).to_bytes(_CHECK, "little")


@cache
def _begun(table: str) -> int:
    return zlib.crc32(b"%s " % table.encode())
