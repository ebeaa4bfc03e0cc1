"""Labels and codes: found however they are spelt, and no sentence or command taken for one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.visiting.labels import (
    MOST_IN_A_LABEL,
    Found,
    ends_so,
    find_station,
    find_store,
    fold,
    mistaken_for,
    shown_few,
)

KNOWN = ("A-0101", "A-0102", "B-0201", "C7")
SHOPS = ("S-014", "S-002")
DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2015\u2212"


@st.composite
def spellings(draw: st.DrawFn, labels: tuple[str, ...] = KNOWN) -> tuple[str, str]:
    """Draw a known label and one of the ways in which it may be typed."""
    label = draw(st.sampled_from(labels))
    typed = ""
    for character in label.replace("-", ""):
        gap = draw(st.text(st.sampled_from(f"{DASHES} _."), max_size=2)) if typed else ""
        typed += gap + draw(st.sampled_from([character.lower(), character]))
    return label, f"{draw(st.sampled_from(['', ' ']))}{typed}{draw(st.sampled_from(['', ' ']))}"


@given(spellings())
def test_every_spelling_of_a_known_label_finds_it(drawn: tuple[str, str]) -> None:
    label, typed = drawn
    assert fold(typed) == fold(label)
    assert find_station(typed, KNOWN, SHOPS) == Found(label, True)


@given(spellings(SHOPS), st.sampled_from(["", "open ", "visit open ", "Assistant visit open ", "shop "]))
def test_a_shop_is_found_in_every_spelling_and_after_a_command(drawn: tuple[str, str], verbs: str) -> None:
    assert find_store(verbs + drawn[1], SHOPS) == Found(drawn[0], True)


@given(st.text(max_size=60))
def test_whatever_is_typed_gives_a_label_with_a_digit_or_words(text: str) -> None:
    try:
        found = find_station(text, KNOWN, SHOPS)
    except UsageError as error:
        assert "type the asset label" in str(error)
    else:
        assert any(c.isdecimal() for c in found.label)
        assert len(found.label) <= MOST_IN_A_LABEL + 1
        assert find_station(found.label, (*KNOWN, found.label)) == Found(found.label, True)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("0101", Found("A-0101", True)),
        ("101", Found("A-0101", True)),
        ("7", Found("C7", True)),
        ("1", Found("1", False)),
        ("02", Found("A-0102", True)),
    ],
)
def test_digits_alone_find_the_one_label_that_ends_so(typed: str, found: Found) -> None:
    assert find_station(typed, KNOWN) == found


def test_digits_alone_that_end_several_labels_are_asked_about() -> None:
    assert find_station("101", ["A-0101", "B-0101"]) == Found("101", False, ("A-0101", "B-0101"))
    assert ends_so("1", ["A-0101", "A-1"]) == ("A-1",)


@pytest.mark.parametrize(
    ("typed", "known", "label"),
    [
        ("a0155", ("A-0101",), "A-0155"),
        ("b 0155", ("A-0101",), "B-0155"),
        ("a-0155", ("A0101", "A0102"), "A0155"),
        ("0155", ("A-0101", "A-0102"), "A-0155"),
        ("0155", ("A-0101", "B-0102"), "0155"),
        ("155", ("A-0101",), "155"),
        ("a\u20130155", (), "A-0155"),
        ("a0155", (), "A0155"),
        ("a 01 b", (), "A-01-B"),
        ("ab-01-cd", (), "AB-01-CD"),
        ("155", ("101", "102"), "155"),
    ],
)
def test_an_unknown_label_is_written_as_the_known_ones_are(typed: str, known: tuple[str, ...], label: str) -> None:
    found = find_station(typed, known)
    assert (found.label, found.known) == (label, False)


def test_the_spelling_that_was_typed_is_taken_where_two_are_kept() -> None:
    assert find_station("a0101", ["A-0101", "A0101"]).label == "A0101"
    assert find_station("a 0101", ["A-0101", "A0101"]).label == "A-0101"


def test_near_are_the_fewest_slips_away_and_three_at_most() -> None:
    assert find_store("S-041", SHOPS) == Found("S-041", False, ("S-014",))
    assert find_station("A-9999", KNOWN).near == ()
    assert len(find_station("A-0109", [f"A-010{n}" for n in range(8)]).near) == 3


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("ALL", "'ALL' has no digit"),
        ("help", "'help' has no digit"),
        ("s014", "S-014 is a shop, not a station"),
        ("2 pads dead", "more than a label"),
        ("A-0101; drop", "more than a label"),
        ("A" + "1" * MOST_IN_A_LABEL, "longer than 40 characters"),
        (" \x1b ", "nothing was typed"),
    ],
)
def test_what_is_no_label_is_refused_with_what_to_type(typed: str, words: str) -> None:
    with pytest.raises(UsageError, match=words) as refused:
        find_station(typed, KNOWN, SHOPS)
    assert "type the asset label of the station, such as A-0101" in str(refused.value)


@pytest.mark.parametrize("typed", ["open", "help", "visit open", "open S-014 --rep Ina", "", "x" * 99])
def test_what_is_no_code_of_a_shop_is_refused(typed: str) -> None:
    with pytest.raises(UsageError, match="type the code of the shop, such as S-014, S-002"):
        find_store(typed, SHOPS)


def test_a_few_are_shown_and_the_rest_counted() -> None:
    assert shown_few(KNOWN) == "A-0101, A-0102, B-0201 and 1 more"
    assert shown_few(SHOPS) == "S-014, S-002"


@pytest.mark.parametrize(
    ("label", "known", "mistaken"),
    [
        ("A-101", "A-0101", True),
        ("A-00101", "A-0101", True),
        ("A-205", "A-0201", True),
        ("A-1044", "A-0144", True),
        ("A-0110", "A-0101", True),
        ("B-0101", "A-0101", True),
        ("A-01O1", "A-0101", True),
        ("A-7", "A-07", True),
        ("A-0102", "A-0101", False),
        ("A-0111", "A-0101", False),
        ("A-0205", "A-0101", False),
        ("A-9", "A-10", False),
        ("A-1", "A-11", False),
        ("B-0205", "A-0101", False),
    ],
)
def test_a_slip_of_another_label_is_told_from_the_next_one(label: str, known: str, mistaken: bool) -> None:
    assert mistaken_for(label, [known]) == ((known,) if mistaken else ())
    assert mistaken_for(known, [label]) == ((label,) if mistaken else ())


@given(st.integers(100, 9998))
def test_labels_in_their_order_are_no_slips(number: int) -> None:
    label, other = f"A-{number:04}", f"A-{number + 1:04}"
    assert mistaken_for(other, [label]) == ()
