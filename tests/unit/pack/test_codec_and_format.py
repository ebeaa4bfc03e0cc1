"""Round trips: notes as JSON, numbers as blobs."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.model import Contact, Item, Note, Phrases, Trade
from assistant.pack.codec import note_from_json, note_to_json, trade_from_json, trade_to_json
from assistant.pack.format import FIELDS, pack_postings, pack_weights, unpack_postings, unpack_weights
from tests.making import notes


@given(notes())
def test_a_note_comes_back_without_its_phrases_and_questions(note: Note) -> None:
    text = note_to_json(note._replace(phrases=Phrases(("stick cap",), ("gone",))))
    assert note_from_json(text) == note._replace(examples=(), phrases=Phrases())
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


texts = st.text(max_size=9)
keyed = st.dictionaries(texts, texts, max_size=3)
items = st.lists(st.builds(Item, texts, texts, texts, st.integers(1, 99), st.lists(texts, max_size=2).map(tuple)))
lists = st.dictionaries(texts, st.lists(texts, max_size=2).map(tuple), max_size=2)
trades = st.builds(
    Trade,
    stations=keyed,
    areas=keyed,
    actions=keyed,
    tools=items.map(tuple),
    parts=items.map(tuple),
    contacts=st.lists(st.builds(Contact, texts, texts, texts)).map(tuple),
    words=lists,
    publishers=keyed,
    countries=lists,
)


@given(trades)
def test_the_trade_comes_back_in_its_order_without_the_words_of_the_check(trade: Trade) -> None:
    back = trade_from_json(trade_to_json(trade))
    assert back == trade._replace(words={}, publishers={}, countries={})
    assert list(back.stations) == list(trade.stations)


@given(trades, st.sampled_from(["stations", "areas", "actions", "tools", "parts", "contacts"]))
def test_a_trade_that_lacks_a_key_is_refused(trade: Trade, key: str) -> None:
    data = {name: value for name, value in json.loads(trade_to_json(trade)).items() if name != key}
    with pytest.raises(KeyError):
        trade_from_json(json.dumps(data))


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("stations", {"pad": 3}),
        ("stations", ["pad"]),
        ("tools", [{"name": "torch"}]),
        ("tools", ["torch"]),
        ("contacts", [{"key": "desk", "name": "desk", "number": 3}]),
        ("contacts", [{"key": "desk", "colour": "red"}]),
    ],
)
def test_what_is_no_trade_is_refused(key: str, value: object) -> None:
    data = {**json.loads(trade_to_json(Trade())), key: value}
    with pytest.raises((ValueError, KeyError, TypeError, AttributeError)):
        trade_from_json(json.dumps(data))


whole = st.integers(-(2**15), 2**15 - 1)


@given(st.lists(st.tuples(whole, whole)))
def test_weights_come_back_as_they_were(pairs: list[tuple[int, int]]) -> None:
    blob = pack_weights(pairs)
    assert unpack_weights(blob) == pairs
    assert blob == b"".join(number.to_bytes(2, "little", signed=True) for pair in pairs for number in pair)


@given(st.lists(st.tuples(st.integers(0, 2**31 - 1), st.integers(-(2**27), 2**27), st.integers(0, len(FIELDS) - 1))))
def test_postings_come_back_as_they_were(postings: list[tuple[int, int, int]]) -> None:
    blob = pack_postings(postings)
    assert unpack_postings(blob) == postings
    assert len(blob) == 8 * len(postings)


def test_postings_are_little_endian_pairs_of_a_chunk_and_its_weight_with_the_field() -> None:
    assert pack_postings([(1, 3, 2)]) == b"\x01\x00\x00\x00\x1a\x00\x00\x00"


@pytest.mark.parametrize("unpack", [unpack_postings, unpack_weights])
@pytest.mark.parametrize("blob", [b"a", b"abc", b"ab" * 5, b"abcd" * 3])
def test_half_a_pair_is_refused(unpack: Callable[[bytes], object], blob: bytes) -> None:
    if unpack is unpack_weights and len(blob) % 4 == 0:
        assert len(unpack_weights(blob)) == len(blob) // 4
    else:
        with pytest.raises(ValueError, match=r"length|shorter|longer"):
            unpack(blob)


@pytest.mark.parametrize("pairs", [[(2**15, 0)], [(0, -(2**15) - 1)]])
def test_a_weight_that_does_not_fit_is_not_stored_as_another(pairs: list[tuple[int, int]]) -> None:
    with pytest.raises(OverflowError):
        pack_weights(pairs)
