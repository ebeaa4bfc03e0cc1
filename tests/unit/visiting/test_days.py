"""Days in words: read where they are one day, refused in words where they are none or two."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.visiting.days import read_day

TODAY = date(2026, 11, 25)  # a Wednesday
NEAR_DAYS = st.dates(TODAY, TODAY + timedelta(days=180))


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("", ""),
        (" ", ""),
        ("2026-11-30", "2026-11-30"),
        ("2026/11/30", "2026-11-30"),
        ("today", "2026-11-25"),
        ("Tomorrow", "2026-11-26"),
        ("friday", "2026-11-27"),
        ("by Fri", "2026-11-27"),
        ("tues", "2026-12-01"),
        ("wed", "2026-12-02"),
        ("in 3 days", "2026-11-28"),
        ("in two weeks", "2026-12-09"),
        ("in a day", "2026-11-26"),
        ("30 nov", "2026-11-30"),
        ("on nov 30", "2026-11-30"),
        ("30th of November", "2026-11-30"),
        ("Nov 30, 2027", "2027-11-30"),
        ("30.11.", "2026-11-30"),
        ("30.11", "2026-11-30"),
        ("30.11.2026", "2026-11-30"),
        ("30/11", "2026-11-30"),
        ("11/30/2026", "2026-11-30"),
        ("12/12", "2026-12-12"),
        ("3 jan", "2027-01-03"),
    ],
)
def test_a_day_from_today_on(typed: str, day: str) -> None:
    assert read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("today", "2026-11-25"),
        ("yesterday", "2026-11-24"),
        ("tue", "2026-11-24"),
        ("wednesday", "2026-11-18"),
        ("thu", "2026-11-19"),
        ("3 days ago", "2026-11-22"),
        ("a week ago", "2026-11-18"),
        ("1 nov", "2026-11-01"),
        ("2026-11-25", "2026-11-25"),
    ],
)
def test_a_day_up_to_today(typed: str, day: str) -> None:
    assert read_day(typed, TODAY, past=True) == day


@pytest.mark.parametrize(
    ("typed", "past", "words"),
    [
        ("yesterday", False, "Tue 2026-11-24 is past"),
        ("20 nov", False, "Fri 2026-11-20 is past"),
        ("tomorrow", True, "Thu 2026-11-26 is still to come"),
        ("03/04", False, "'03/04' may be 3 apr or 4 mar"),
        ("03/04/2027", False, "may be 3 apr or 4 mar"),
        ("next week", False, "no day: type it as"),
        ("next friday", False, "no day"),
        ("tomorow", False, "'tomorow' is no day"),
        ("2026-13-45", False, "no day"),
        ("31 nov", False, "no day"),
        ("40/50", False, "no day"),
        ("in 999999999999 days", False, "no day"),
        ("in many days", False, "no day"),
        ("2062-11-30", False, "more than two years away"),
        ("soon", True, "yesterday or 3 days ago"),
    ],
)
def test_what_is_no_day_or_may_be_two_is_refused(typed: str, past: bool, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        read_day(typed, TODAY, past=past)


@given(NEAR_DAYS, st.sampled_from(["%Y-%m-%d", "%d %b", "%B %d", "%d.%m.", "%d.%m.%Y", "%d %b %Y", "%A"]))
def test_every_form_of_a_day_is_read_as_that_day(day: date, form: str) -> None:
    read = read_day(day.strftime(form), TODAY)
    if form == "%A":
        assert 1 <= (date.fromisoformat(read) - TODAY).days <= 7
        assert date.fromisoformat(read).weekday() == day.weekday()
    else:
        assert read == day.isoformat()


@given(st.text(max_size=30), st.booleans())
def test_whatever_is_typed_gives_a_day_on_the_right_side_or_words(text: str, past: bool) -> None:
    try:
        read = read_day(text, TODAY, past=past)
    except UsageError:
        return
    assert not read or (date.fromisoformat(read) <= TODAY if past else date.fromisoformat(read) >= TODAY)
