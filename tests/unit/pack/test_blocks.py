"""Blocks: what comes back is what was written there, or it is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.pack.blocks import block_number, decode_block, encode_block, encode_blocks

ENTRIES = {"stick": b"\x00\x01\x02", "cap": b"", "é ü": b"x" * 300}
keys = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=8)
tables = st.dictionaries(keys, st.binary(max_size=9), max_size=40)


@given(tables)
def test_every_entry_lies_in_the_block_of_its_key(entries: dict[str, bytes]) -> None:
    blocks = list(encode_blocks("term", entries.items()))
    held = [decode_block("term", number, block) for number, block in enumerate(blocks)]
    assert sum(map(len, held)) == len(entries)
    assert all(held[block_number(key, len(blocks))][key] == value for key, value in entries.items())
    assert list(encode_blocks("term", reversed(entries.items()))) == blocks


def test_an_empty_table_has_one_empty_block() -> None:
    (block,) = encode_blocks("term", ())
    assert decode_block("term", 0, block) == {}


def test_every_flipped_bit_is_found() -> None:
    block = encode_block("term", 7, ENTRIES)
    assert decode_block("term", 7, block) == ENTRIES
    for place in range(8 * len(block)):
        flipped = bytearray(block)
        flipped[place // 8] ^= 1 << place % 8
        with pytest.raises(ValueError, match="block 7 of 'term' is not what was written"):
            decode_block("term", 7, bytes(flipped))


@pytest.mark.parametrize("content", [None, 7, 1.5, "text", b"", b"abc", b"abcd"])
def test_what_is_no_block_is_refused(content: object) -> None:
    with pytest.raises(ValueError, match="block 7 of 'term' is not what was written"):
        decode_block("term", 7, content)


def test_a_block_belongs_to_its_place() -> None:
    block = encode_block("term", 7, ENTRIES)
    for table, number in (("form", 7), ("term", 8), ("term7", 7)):
        with pytest.raises(ValueError, match="is not what was written"):
            decode_block(table, number, block)


def sealed(body: bytes) -> bytes:
    """Return a block whose check fits a body that no writer makes."""
    from assistant.pack.blocks import _check

    return _check("term", 0, body) + body


@pytest.mark.parametrize(
    "body",
    [b"a", b"a\0", b"a\0\1\0\0", b"a\0\0\0", b"a\0\xff\xff\xffbb", b"\xff\0\0\0\0", b"a\0\0\0\0" * 64 + b"b\0\0\0\0"],
)
def test_a_sealed_body_that_is_no_list_of_entries_is_refused(body: bytes) -> None:
    with pytest.raises(ValueError, match=r"subsection not found|no whole entries|can't decode"):
        decode_block("term", 0, sealed(body))


def test_what_cannot_be_found_again_is_not_written() -> None:
    with pytest.raises(ValueError, match="do not fit in a block"):
        encode_block("term", 0, {"a\0b": b""})
    with pytest.raises(ValueError, match="65 entries do not fit in a block"):
        encode_block("term", 0, {str(number): b"" for number in range(65)})
    with pytest.raises(OverflowError):
        encode_block("term", 0, {"a": bytes(2**24)})
