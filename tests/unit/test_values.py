"""The named tuples of `assistant.values` beside those of the standard library."""

from __future__ import annotations

import copy
import typing
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.values import Literal, NamedTuple, get_args


class Own(NamedTuple):
    """Ours."""

    n: int
    text: str = ""
    more: tuple[int, ...] = ()

    def doubled(self) -> int:
        """Return a sum."""
        return self.n * 2


class Theirs(typing.NamedTuple):
    """Theirs."""

    n: int
    text: str = ""
    more: tuple[int, ...] = ()

    def doubled(self) -> int:
        """Return a sum."""
        return self.n * 2


def outcome(act: Callable[[], object]) -> object:
    try:
        made = act()
    except (TypeError, ValueError, AttributeError) as error:
        return type(error)
    return repr(made).replace("Own", "Theirs"), made


given_values = st.lists(st.integers(0, 9) | st.text(max_size=3), max_size=5)
named_values = st.dictionaries(st.sampled_from(["n", "text", "more", "other"]), st.integers(0, 9))


@given(given_values, named_values)
def test_making_one(positional: list[typing.Any], named: dict[str, typing.Any]) -> None:
    assert outcome(lambda: Own(*positional, **named)) == outcome(lambda: Theirs(*positional, **named))


@given(named_values)
def test_replacing(named: dict[str, typing.Any]) -> None:
    if "other" in named:
        with pytest.raises((TypeError, ValueError)):
            Own(1)._replace(**named)
    else:
        assert outcome(lambda: Own(1)._replace(**named)) == outcome(lambda: Theirs(1)._replace(**named))


def test_what_both_can_do() -> None:
    own: typing.Any = Own(1, "a", (2,))
    theirs: typing.Any = Theirs(1, "a", (2,))
    assert own == theirs
    assert (hash(own), own < (2,), own.doubled()) == (hash(theirs), theirs < (2,), 2)
    assert (own._fields, own._asdict(), own.text) == (theirs._fields, theirs._asdict(), "a")
    assert Own._field_defaults == Theirs._field_defaults == {"text": "", "more": ()}
    assert type(Own._make([1, "a", ()])) is Own
    assert outcome(lambda: Own._make([])) is TypeError
    assert outcome(lambda: Theirs._make([])) is TypeError
    assert type(copy.copy(own)) is type(copy.deepcopy(own)) is Own
    assert copy.deepcopy(own) == own
    match own:
        case Own(n, text):
            assert (n, text) == (1, "a")
    for made in (own, theirs):
        assert not hasattr(made, "__dict__")
        with pytest.raises(AttributeError):
            made.n = 2


def test_a_field_without_a_default_does_not_follow_one_with_a_default() -> None:
    made: typing.Any = type(Own)
    body = {"__annotations__": {"a": "int", "b": "int"}, "a": 1}
    with pytest.raises(TypeError, match="a field without a default follows"):
        made("Wrong", (NamedTuple,), body)


def test_words_are_in_their_order() -> None:
    assert get_args(Literal["b", "a"]) == ("b", "a")
    assert get_args(Literal["one"]) == ("one",)
    assert set(get_args(int | str)) == {int, str}
