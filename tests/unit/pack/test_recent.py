"""What is kept in memory: never more than it may be, and always what was put there."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.pack.listed import Ids, Titles
from assistant.pack.recent import Recent

keys = st.sampled_from("abcdefgh")


@given(st.lists(st.tuples(keys, st.integers(1, 40)), max_size=60), st.integers(40, 200))
def test_what_is_held_is_what_was_kept_last_and_no_more_than_fits(kept: list[tuple[str, int]], most: int) -> None:
    recent: Recent[int] = Recent(most, lambda size: size)
    last: dict[str, int] = {}
    for key, size in kept:
        recent.keep({key: size})
        last[key] = size
        found, missing = recent.held("abcdefgh")
        assert found.items() <= last.items()
        assert sorted([*found, *missing]) == list("abcdefgh")
        assert sum(found.values()) <= most + 40


def test_what_was_asked_for_of_late_outlives_what_was_not() -> None:
    recent: Recent[str] = Recent(8, lambda _: 1)
    recent.keep({"a": "A", "b": "B"})
    for n in range(100):
        recent.keep({f"{n}": "x"})
        assert recent.held(["a"]) == ({"a": "A"}, [])
    assert recent.held(["b"]) == ({}, ["b"])


@pytest.mark.parametrize("count", [0, 1, 3, 4, 7])
def test_ids_and_titles_read_a_few_at_a_time_are_a_list_and_a_mapping(count: int) -> None:
    names = [f"n{n}" for n in range(count)]
    read: list[int] = []

    def some(entry: int) -> list[str]:
        read.append(entry)
        return names[3 * entry : 3 * entry + 3]

    ids = Ids(count, some, 3, lambda name: names.index(name) if name in names else None)
    assert read == []
    assert (list(ids), len(ids), ids == names, ids == [*names, "x"]) == (names, count, True, False)
    assert [ids[n] for n in range(-count, count)] == [*names, *names]
    assert (ids[1:3], ids[::-1]) == (names[1:3], names[::-1])
    assert [ids.index(name) for name in names] == list(range(count))
    assert all(name in ids for name in names)
    assert "x" not in ids
    assert not ids.__contains__(3)
    for outside in (count, -count - 1):
        with pytest.raises(IndexError):
            ids[outside]
    with pytest.raises(ValueError, match="no note x"):
        ids.index("x")
    titles = Titles(ids, {name: name.upper() for name in names}.__getitem__)
    assert dict(titles) == {name: name.upper() for name in names}
    assert (len(titles), list(titles), titles.get("x")) == (count, names, None)
    with pytest.raises(KeyError):
        titles["x"]
