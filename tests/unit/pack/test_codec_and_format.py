"""Round trips: notes as JSON, numbers as blobs."""

from __future__ import annotations

import json
from array import array
from collections.abc import Callable, Sequence

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
    pack_numbers,
    pack_postings,
    pack_title,
    part_key,
    unpack_count,
    unpack_directory,
    unpack_feature,
    unpack_numbers,
    unpack_part,
    unpack_title,
)
from assistant.ranking.postings import PART, TermRow
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
    assert back == trade._replace(words={}, publishers={}, countries={}, language="en")
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


@given(st.integers(0, 2**20), st.dictionaries(whole, whole))
def test_features_come_back_as_they_were(idf: int, weights: dict[int, int]) -> None:
    classes = sorted(weights)
    blob = pack_feature(idf, classes, [weights[number] for number in classes])
    row = unpack_feature(blob)
    assert (row.idf, row.pairs()) == (idf, sorted(weights.items()))
    assert blob[:4] == pack_count(idf) == idf.to_bytes(4, "little", signed=True)
    values = [*classes, *(weights[number] for number in classes)]
    assert blob[4:] == b"".join(value.to_bytes(2, "little", signed=True) for value in values)
    assert unpack_count(blob[:4]) == idf


def entries_of_term(chunks: Sequence[int], weights: Sequence[int], fields: Sequence[int]) -> dict[str, bytes]:
    return dict(pack_postings("cap", array("I", chunks), array("H", weights), bytes(fields)))


def row_of(entries: dict[str, bytes]) -> TermRow:
    count, first, tops, part = unpack_directory(entries["cap"])
    if part:
        return TermRow(count, first, tops, lambda numbers: [part] * len(numbers))
    sizes = [min(PART, count - start) for start in range(0, count, PART)]
    parts = [unpack_part(entries[part_key("cap", number)], size) for number, size in enumerate(sizes)]
    assert entries.keys() == {"cap", *(part_key("cap", number) for number in range(len(parts)))}
    return TermRow(count, first, tops, lambda numbers: [parts[number] for number in numbers])


@given(
    st.dictionaries(
        st.integers(0, 2**32 - 1), st.tuples(st.integers(0, 2**16 - 1), st.integers(0, len(FIELDS) - 1)), max_size=50
    )
)
def test_postings_come_back_as_they_were(held: dict[int, tuple[int, int]]) -> None:
    chunks = sorted(held)
    entries = entries_of_term(chunks, [held[chunk][0] for chunk in chunks], [held[chunk][1] for chunk in chunks])
    row = row_of(entries)
    assert row.chunks == [(chunk, *held[chunk]) for chunk in chunks]
    assert (row.count, row.top) == (len(held), max((weight for weight, _ in held.values()), default=0))
    assert len(entries["cap"]) == 4 + 7 * len(held)


@pytest.mark.parametrize("count", [PART - 1, PART, PART + 1, 2 * PART, 2 * PART + 7])
def test_a_long_list_comes_back_part_by_part(count: int) -> None:
    chunks, weights, fields = (
        [3 * n for n in range(count)],
        [n * 7 % 1000 for n in range(count)],
        [n % 5 for n in range(count)],
    )
    entries = entries_of_term(chunks, weights, fields)
    assert len(entries) == (1 if count <= PART else 1 + -(-count // PART))
    row = row_of(entries)
    assert row.chunks == list(zip(chunks, weights, fields, strict=True))
    assert list(row.first) == chunks[::PART]
    assert list(row.tops) == [max(weights[at : at + PART]) for at in range(0, count, PART)]
    for place in {0, 1, PART - 1, PART, count - 1} & set(range(count)):
        assert row.at(chunks[place]) == (weights[place], fields[place])
        assert row.at(chunks[place] + 1) is None


def test_postings_are_little_endian_chunks_then_weights_then_fields() -> None:
    assert entries_of_term([1, 258], [3, 515], [2, 4]) == {
        "cap": b"\x02\0\0\0\x01\0\0\0\x02\x01\0\0\x03\0\x03\x02\x02\x04"
    }


@given(st.lists(st.integers(0, 2**32 - 1)), st.integers(0, 2**31 - 1), st.text())
def test_numbers_and_titles_come_back_as_they_were(numbers: list[int], number: int, title: str) -> None:
    assert unpack_numbers(pack_numbers(numbers)).tolist() == numbers
    assert unpack_title(pack_title(number, title)) == (number, title)


@pytest.mark.parametrize("unpack", [unpack_directory, unpack_feature, unpack_count, unpack_numbers, unpack_title])
@pytest.mark.parametrize("blob", [b"a", b"abc", b"ab" * 5 + b"a", b"abcd" * 3 + b"ab" + b"c"])
def test_half_a_number_or_pair_is_refused(unpack: Callable[[bytes], object], blob: bytes) -> None:
    if unpack is unpack_title and len(blob) >= 4:
        blob = blob[:3]
    with pytest.raises(ValueError, match=r"length|shorter|longer|bytes"):
        unpack(blob)


@pytest.mark.parametrize("pairs", [[(2**15, 0)], [(0, -(2**15) - 1)]])
def test_a_weight_that_does_not_fit_is_not_stored_as_another(pairs: list[tuple[int, int]]) -> None:
    with pytest.raises(OverflowError):
        pack_feature(0, [number for number, _ in pairs], [weight for _, weight in pairs])


@pytest.mark.parametrize("weight", [-1, 2**16])
def test_a_weight_of_a_posting_that_does_not_fit_is_not_stored_as_another(weight: int) -> None:
    with pytest.raises(OverflowError):
        entries_of_term([1], [weight], [0])


@pytest.mark.parametrize(
    ("old", "new"), [('"least": 2', '"least": 1000'), ('"least": 2', '"least": 0'), ('"days": 5', '"days": 366')]
)
def test_the_trade_of_a_pack_has_the_bounds_of_the_file(old: str, new: str) -> None:
    item, contact = Item("pad", "pads", "kit", 2), Contact("desk", "support desk", "1", 5)
    text = trade_to_json(Trade({"pad": "pad"}, {"pad": "pad"}, {"mend": "Mend"}, (item,), (), (contact,)))
    assert trade_from_json(text).contacts == (contact,)
    assert old in text
    with pytest.raises(ValueError, match="is no whole number from"):
        trade_from_json(text.replace(old, new))
