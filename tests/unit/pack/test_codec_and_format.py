"""Round trips: notes as JSON, numbers as blobs."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.model import Contact, Item, Note, Phrases, Trade
from assistant.notes.reader import read_note
from assistant.pack.codec import decision_from_json, note_from_json, note_to_json, trade_from_json, trade_to_json
from assistant.pack.format import (
    FIELDS,
    pack_count,
    pack_feature,
    pack_postings,
    unpack_count,
    unpack_feature,
    unpack_postings,
)
from tests.making import NOTE_PATH, NOTE_TEXT, notes, plain_settings


@given(notes())
def test_a_note_comes_back_without_its_phrases_and_questions(note: Note) -> None:
    text = note_to_json(note._replace(phrases=Phrases(("stick cap",), ("gone",))))
    assert note_from_json(text) == note._replace(examples=(), phrases=Phrases())
    assert note_to_json(note_from_json(text)) == text


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "{}", "null", "NaN", '{"station": 3}', "[" * 100_000, '{"id":' * 100_000]
)
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        note_from_json(text)


@given(notes())
def test_a_note_that_lacks_a_key_or_has_one_more_is_refused(note: Note) -> None:
    data = json.loads(note_to_json(note))
    for key in data:
        with pytest.raises(ValueError, match=f"lacks '{key}'"):
            note_from_json(json.dumps({name: value for name, value in data.items() if name != key}))
    with pytest.raises(ValueError, match="keys that are not known"):
        note_from_json(json.dumps({**data, "colour": "red"}))


REVIEW = {"by": "A. Rep", "on": "2026-11-02", "revision": 3, "digest": "0", "fits": True}
BAD: dict[tuple[str | int, ...], list[object]] = {
    ("id",): [None, 3, ["pad-demo"]],
    ("title",): [None, 3, "\ud800"],
    ("action",): [None, ["replace"]],
    ("minutes",): ["6", 0, -1, True, None, 6.0, 10**6, 10**400],
    ("revision",): [0, "3", None],
    ("station",): ["pad", None, ["pad", 3], {"pad": 1}],
    ("tools",): [[None], [["torch"]], "torch"],
    ("safety_review",): [[], {}, "signed", {**REVIEW, "fits": 1}, {**REVIEW, "on": None}, {**REVIEW, "colour": ""}],
    ("steps",): [[], {}, None, "Look.", [3], [{"n": 1}]],
    ("steps", 0, "n"): [0, 2, -1, "1", None, True, 1.0],
    ("steps", 1, "n"): [1, 3],
    ("steps", 0, "text"): [None, 3, ["Look."]],
    ("steps", 0, "line"): [-1, "1", None],
    ("steps", 0, "branches"): [None, {}, [3], [{}]],
    ("steps", 0, "branches", 1, "step"): [0, 4, "3", True, 3.0],
    ("steps", 2, "branches", 0, "note"): [3, ["pad-other"]],
    ("safety",): [{}, None, "Hot.", [3], [{}], [["WARNING"]]],
    ("safety", 0, "before_step"): [0, 4, 99, -1, "2", None, True, 2.0, 10**30],
    ("safety", 0, "signal"): ["", "warning", "WARNINF", None, 3, ["WARNING"]],
    ("safety", 0, "text"): [None, 3, ["Hot."]],
    ("safety", 0, "line"): [-1, None, "1"],
    ("safety", 0, "colour"): ["red"],
    ("steps", 0, "colour"): ["red"],
}


def with_value(note: Note, path: tuple[str | int, ...], value: object) -> str:
    data = at = json.loads(note_to_json(note))
    for part in path[:-1]:
        at = at[part]
    at[path[-1]] = value
    return json.dumps(data)


@pytest.mark.parametrize(("path", "value"), [(path, value) for path, values in BAD.items() for value in values])
def test_a_note_with_a_value_that_none_has_is_refused(path: tuple[str | int, ...], value: object) -> None:
    note = read_note(NOTE_TEXT, NOTE_PATH)
    assert note_from_json(with_value(note, ("title",), note.title)) == note
    with pytest.raises(ValueError, match=r".+"):
        note_from_json(with_value(note, path, value))


def test_a_decision_comes_back_as_it_was() -> None:
    decision = plain_settings().decision
    assert decision_from_json(json.dumps(decision)) == decision
    assert decision_from_json(json.dumps({**decision, "more": "text"})) == {**decision, "more": "text"}


BAD_BARS: dict[tuple[str, ...], list[object]] = {
    ("bm25f_share",): [None, "500", 1.5, True, 10**30, float("nan"), float("inf")],
    ("bars",): [None, [], {"lead": 300, "over_none": 0}],
    ("bars", "lead"): [None, "300", float("inf")],
    ("harm", "right"): [-1, 1001, 0.9],
    ("harm", "offered"): [None, {"points": -600}],
    ("right",): [None, [], {"weights": [1, 2, 3]}, {"table": []}],
    ("right", "weights"): [None, [], [1, 2], [1, 2, 3, 4], [1, 2, "3"], [1, 2, float("nan")]],
    ("right", "table"): [None, {}, [[1]], [[1, 2, 3]], [["1", 2]], [[0, 1001]], [[0, -1]], [[10**30, 1]]],
    ("covered", "table"): [7, [7]],
    ("turn",): [3, {}],
    ("turn", "sure_at"): [None, "300"],
}


@pytest.mark.parametrize(("path", "value"), [(path, value) for path, values in BAD_BARS.items() for value in values])
def test_a_decision_with_a_bar_that_is_none_is_refused(path: tuple[str, ...], value: object) -> None:
    data = at = json.loads(json.dumps(plain_settings().decision))
    for part in path[:-1]:
        at = at[part]
    at[path[-1]] = value
    with pytest.raises(ValueError, match=r".+"):
        decision_from_json(json.dumps(data))


@pytest.mark.parametrize("key", ["bm25f_share", "bars", "refuse_below", "choose_within", "harm", "right", "turn"])
def test_a_decision_that_lacks_a_bar_names_it(key: str) -> None:
    decision = plain_settings().decision
    with pytest.raises(ValueError, match=f"lacks '{key}'"):
        decision_from_json(json.dumps({name: value for name, value in decision.items() if name != key}))


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
    contacts=st.lists(st.builds(Contact, texts, texts, texts, st.integers(0, 99))).map(tuple),
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
    with pytest.raises(ValueError, match=f"lacks '{key}'"):
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
        ("contacts", [{"key": "desk", "name": "desk", "number": "1", "days": "3"}]),
        ("contacts", {}),
        ("parts", [{"name": "a", "plural": "b", "place": "kit", "least": "many", "other": []}]),
        ("parts", [{"name": "a", "plural": "b", "place": "kit", "least": 1, "other": "c"}]),
    ],
)
def test_what_is_no_trade_is_refused(key: str, value: object) -> None:
    data = {**json.loads(trade_to_json(Trade())), key: value}
    with pytest.raises(ValueError, match=r".+"):
        trade_from_json(json.dumps(data))


whole = st.integers(-(2**15), 2**15 - 1)


@given(st.integers(-(2**31), 2**31 - 1), st.lists(st.tuples(whole, whole)))
def test_features_come_back_as_they_were(idf: int, pairs: list[tuple[int, int]]) -> None:
    blob = pack_feature(idf, pairs)
    assert unpack_feature(blob) == (idf, pairs)
    assert blob[:4] == pack_count(idf) == idf.to_bytes(4, "little", signed=True)
    assert blob[4:] == b"".join(number.to_bytes(2, "little", signed=True) for pair in pairs for number in pair)
    assert unpack_count(blob[:4]) == idf


@given(st.lists(st.tuples(st.integers(0, 2**31 - 1), st.integers(-(2**27), 2**27), st.integers(0, len(FIELDS) - 1))))
def test_postings_come_back_as_they_were(postings: list[tuple[int, int, int]]) -> None:
    blob = pack_postings(postings)
    assert unpack_postings(blob) == postings
    assert len(blob) == 8 * len(postings)


def test_postings_are_little_endian_pairs_of_a_chunk_and_its_weight_with_the_field() -> None:
    assert pack_postings([(1, 3, 2)]) == b"\x01\x00\x00\x00\x1a\x00\x00\x00"


@pytest.mark.parametrize("unpack", [unpack_postings, unpack_feature, unpack_count])
@pytest.mark.parametrize("blob", [b"a", b"abc", b"ab" * 5, b"abcd" * 3 + b"ab"])
def test_half_a_number_or_pair_is_refused(unpack: Callable[[bytes], object], blob: bytes) -> None:
    with pytest.raises(ValueError, match=r"length|shorter|longer|bytes"):
        unpack(blob)


@pytest.mark.parametrize("pairs", [[(2**15, 0)], [(0, -(2**15) - 1)]])
def test_a_weight_that_does_not_fit_is_not_stored_as_another(pairs: list[tuple[int, int]]) -> None:
    with pytest.raises(OverflowError):
        pack_feature(0, pairs)
