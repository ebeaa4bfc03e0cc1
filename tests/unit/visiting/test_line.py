"""What is typed on the round: a station and how it is, and nothing of it dropped."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.tokens import clean
from assistant.errors import UsageError
from assistant.visiting.labels import Found
from assistant.visiting.line import Line, LineKind, names_station, read_line

KNOWN = ("A-0101", "A-0102", "A-0201")
SHOPS = ("S-014",)
HERE = Found("A-0101", True)


@pytest.mark.parametrize(
    ("typed", "kind", "words"),
    [
        ("A-0101", "station", ""),
        ("a 0101", "station", ""),
        ("a0101:", "station", ""),
        ("0101", "station", ""),
        ("A-0101 pass", "pass", ""),
        ("a 0101 passes.", "pass", ""),
        ("A-0101: OK", "pass", ""),
        ("A-0101 plays again", "pass", ""),
        ("A-0101 is fine now", "pass", ""),
        ("A-0101 fault", "fault", ""),
        ("A-0101 fault stick drifts", "fault", "stick drifts"),
        ("0101 stick drifts", "fault", "stick drifts"),
        ("a 0101 does not pass", "fault", "does not pass"),
        ("A-0101 2 pads dead", "fault", "2 pads dead"),
        ("A-0101 pass stick drifts", "doubt", "stick drifts"),
        ("A-0101 plays, no sound", "doubt", "no sound"),
    ],
)
def test_a_known_station_and_how_it_is(typed: str, kind: LineKind, words: str) -> None:
    assert read_line(typed, KNOWN, SHOPS) == Line(kind, HERE, words)


@pytest.mark.parametrize("typed", ["all pass", "rest", "Rest pass", "all the rest pass.", "the rest ok", "others pass"])
def test_all_the_rest_pass_and_no_station_is_called_all(typed: str) -> None:
    assert read_line(typed, KNOWN) == Line("rest")


@pytest.mark.parametrize(
    ("typed", "known", "label"),
    [
        ("A-0155 pass stick drifts", KNOWN, "A-0155"),
        ("a 0155 pass", KNOWN, "A-0155"),
        ("0155 pass", KNOWN, "A-0155"),
        ("B7 pass", KNOWN, "B-7"),
        ("a 0101 pass", (), "A-0101"),
        ("0101 pass", (), "0101"),
    ],
)
def test_an_unknown_label_is_told_as_unknown(typed: str, known: tuple[str, ...], label: str) -> None:
    line = read_line(typed, known)
    assert (line.found.label, line.found.known) == (label, False)
    assert line.kind == ("doubt" if "drifts" in typed else "pass")


@pytest.mark.parametrize(
    "typed", ["all", "help", "rest drifts", "2 pads dead", "404 no picture", "b 0101 pass", "", "pass"]
)
def test_what_begins_with_no_label_is_refused_with_what_is_known_and_what_to_type(typed: str) -> None:
    with pytest.raises(UsageError, match=r"type a label first, such as .*known here: A-0101, A-0102, A-0201"):
        read_line(typed, KNOWN)


def test_a_shop_is_no_station() -> None:
    with pytest.raises(UsageError, match="S-014 is a shop"):
        read_line("S-014 pass", KNOWN, SHOPS)


def test_a_number_of_something_is_no_first_station() -> None:
    with pytest.raises(UsageError, match="begins with no asset label"):
        read_line("2 pads dead", ())


@given(st.sampled_from(KNOWN), st.sampled_from(["pass", "ok", "fault", ""]), st.text(max_size=40))
def test_no_word_after_a_label_is_dropped(label: str, result: str, words: str) -> None:
    line = read_line(f"{label} {result} {words}", KNOWN)
    assert line.found == Found(label, True)
    if line.kind in {"fault", "doubt"} and result:
        assert line.words.split() == clean(words).split()
    if line.kind == "pass":
        assert {word.strip(".,;:!").lower() for word in clean(words).split()} <= {
            *("pass", "passes", "passed", "ok", "okay", "plays", "works", "good", "fine"),
            *("is", "it", "all", "now", "again", ""),
        }


@pytest.mark.parametrize(
    ("typed", "is_one"),
    [
        ("A-0101 fault drifts", True),
        ("a 0102", True),
        ("A-0155 fault", False),
        ("0101 drifts", False),
        ("2 pads dead", False),
        ("what is A-0101", False),
        ("", False),
    ],
)
def test_a_text_that_names_a_station_is_told_from_a_question(typed: str, is_one: bool) -> None:
    assert names_station(typed, KNOWN) is is_one
    assert not names_station("2 pads dead", ("2",))
