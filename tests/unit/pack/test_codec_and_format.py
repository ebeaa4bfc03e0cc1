"""Round trips: notes as JSON, numbers as blobs."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.model import Note
from assistant.pack.codec import note_from_json, note_to_json
from assistant.pack.format import pack_numbers, unpack_numbers
from tests.making import notes


@given(notes())
def test_a_note_comes_back_as_it_was(note: Note) -> None:
    text = note_to_json(note)
    assert note_from_json(text) == note
    assert note_to_json(note_from_json(text)) == text


@pytest.mark.parametrize("text", ["", "{", "[]", "{}", "null", '{"station": 3}'])
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises((ValueError, KeyError, TypeError)):
        note_from_json(text)


@given(notes())
def test_a_note_that_lacks_a_key_is_refused(note: Note) -> None:
    data = json.loads(note_to_json(note))
    for key in ("id", "steps", "safety", "station"):
        with pytest.raises((ValueError, KeyError, TypeError)):
            note_from_json(json.dumps({name: value for name, value in data.items() if name != key}))


@given(st.lists(st.integers(-(2**31), 2**31 - 1)))
def test_numbers_come_back_as_they_were(numbers: list[int]) -> None:
    blob = pack_numbers(numbers)
    assert list(unpack_numbers(blob)) == numbers
    assert blob == b"".join(number.to_bytes(4, "little", signed=True) for number in numbers)


def test_half_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="length"):
        unpack_numbers(b"abc")
