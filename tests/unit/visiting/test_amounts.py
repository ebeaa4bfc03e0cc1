"""Amounts of parts: by any of their names, in any way of counting, and nothing that the trade does not have."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.model import Item, Trade
from assistant.visiting.amounts import Amount, read_amount, read_number, shown_amount
from assistant.visiting.typed import MOST_QUANTITY

TRADE = Trade(
    tools=(
        Item("torch", "torches", "kit", other=("flashlight",)),
        Item("safety glasses", "safety glasses", "kit"),
        Item("air puffer", "air puffers", "kit"),
    ),
    parts=(
        Item("adapter", "adapters", "kit", 2, ("charger",)),
        Item("cell", "cells", "kit", 8, ("battery",)),
        Item("out-of-order sign", "out-of-order signs", "kit"),
        Item("pad", "pads", "kit", 2, ("controller", "joypad")),
        Item("plain water", "plain water", "store"),
        Item("rubber foot", "rubber feet", "kit", 4),
        Item("wired pad", "wired pads", "kit", 2, ("pad lead",)),
    ),
)
NAMES = [item.name for item in TRADE.parts]


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("pad", Amount(1, "pad")),
        ("2 pads", Amount(2, "pad")),
        ("2 pad", Amount(2, "pad")),
        ("Two Pads", Amount(2, "pad")),
        ("a pad", Amount(1, "pad")),
        ("an adapter", Amount(1, "adapter")),
        ("2x pad", Amount(2, "pad")),
        ("2 x pad", Amount(2, "pad")),
        ("2\u00d7pad", Amount(2, "pad")),
        ("2pads", Amount(2, "pad")),
        ("pad x2", Amount(2, "pad")),
        ("pad x 2", Amount(2, "pad")),
        ("pads: 2", Amount(2, "pad")),
        ("pads 2", Amount(2, "pad")),
        ("3 controllers", Amount(3, "pad")),
        ("four batteries", Amount(4, "cell")),
        ("4 rubber feet", Amount(4, "rubber foot")),
        ("out of order sign", Amount(1, "out-of-order sign")),
        ("999 cells", Amount(999, "cell")),
    ],
)
def test_an_amount_is_read_in_any_way_of_counting(typed: str, amount: Amount) -> None:
    assert read_amount(typed, TRADE) == amount


@given(st.integers(0, MOST_QUANTITY), st.sampled_from(NAMES))
def test_what_is_shown_is_read_as_the_same(quantity: int, part: str) -> None:
    assert read_amount(shown_amount(quantity, part, TRADE), TRADE, least=0) == Amount(quantity, part)


@given(st.text(max_size=30))
def test_whatever_is_typed_gives_a_known_part_or_words(text: str) -> None:
    try:
        amount = read_amount(text, TRADE)
    except UsageError:
        return
    assert amount.part in NAMES
    assert 1 <= amount.quantity <= MOST_QUANTITY


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("2 unicorn", "'unicorn' is no part that is known here: .*keep it as a remark"),
        ("-3 pad", "how many must be 1 to 999"),
        ("\u22123 pad", "how many must be 1 to 999"),
        ("pad x -3", "how many must be 1 to 999"),
        ("0 pads", "how many must be 1 to 999"),
        ("1000 pads", "how many must be 1 to 999"),
        ("1.5 pads", "how many must be a whole number from 1 to 999"),
        ("2 padz", "did you mean pad"),
        ("wire", "is no part"),
        ("sign", "did you mean out-of-order sign?"),
        ("torch", "a torch is a tool and is not used up: keep it as a remark"),
        ("2 flashlights", "a torch is a tool"),
        ("air puffer", "an air puffer is a tool"),
        ("safety glasses", "safety glasses are tools"),
        ("2", "is no part"),
        ("\x1b", "the part is empty"),
        ("x" * 3000, "longer than"),
    ],
)
def test_what_is_no_amount_of_a_part_is_refused(typed: str, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        read_amount(typed, TRADE)


def test_at_most_three_are_named_as_near() -> None:
    trade = Trade(parts=tuple(Item(f"{kind} wipe", f"{kind} wipes", "kit") for kind in ("a", "b", "c", "d")))
    with pytest.raises(UsageError, match=r"did you mean a wipe or b wipe or c wipe\?"):
        read_amount("wipes", trade)


def test_a_count_of_the_bag_may_be_none_and_of_tools() -> None:
    assert read_amount("no pads", TRADE, least=0) == Amount(0, "pad")
    assert read_amount("2 torches", TRADE, tools=True) == Amount(2, "torch")


def test_the_own_name_of_a_part_goes_before_another_name_of_another() -> None:
    trade = Trade(parts=(Item("pad", "pads", "kit"), Item("wired pad", "wired pads", "kit", other=("pad", "lead pad"))))
    assert read_amount("pad", trade).part == "pad"


def test_without_a_trade_any_name_will_do() -> None:
    assert read_amount("2 Odd  Things", Trade()) == Amount(2, "odd things")
    assert shown_amount(2, "odd thing", Trade()) == "2 odd thing"


def test_numbers_in_words() -> None:
    assert [read_number(word) for word in ("a", "twelve", "\u22125", "40")] == [1, 12, -5, 40]
    with pytest.raises(ValueError, match="many"):
        read_number("many")
