"""First place right by area and by station."""

from __future__ import annotations

from assistant.evaluation.breakdown import area_of, by_area, by_station, gold_note, stations_of
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled, outcome

FOUND = [
    outcome(labelled("1", notes=("pad-a",)), ["pad-a"]),
    outcome(labelled("2", notes=("pad-b", "disc-c")), ["disc-c"]),
    outcome(labelled("3", notes=("disc-c",)), ["pad-a"]),
    outcome(labelled("4", notes=("disc-c",), danger="safety-x"), ["disc-c"]),
    outcome(labelled("5", notes=("disc-c", "pad-a"), manner="ambiguous"), ["disc-c"]),
    outcome(labelled("6", notes=(), manner="uncovered", kind="off"), []),
]


def test_the_right_note_is_the_first_labelled_or_the_safety_note() -> None:
    assert [gold_note(o.question) for o in FOUND] == ["pad-a", "pad-b", "disc-c", "safety-x", "disc-c", ""]
    assert area_of("pad-stick-cap") == "pad"


def test_areas_come_from_answerable_questions_alone() -> None:
    assert by_area(FOUND) == {
        "disc": {"3": (0, 1)},
        "pad": {"1": (1, 1), "2": (1, 1)},
        "safety": {"4": (0, 1)},
    }


def test_a_note_for_two_stations_counts_under_both() -> None:
    stations = {"pad-a": ("hand", "pad"), "pad-b": ("pad",), "disc-c": ("disc",)}
    assert by_station(FOUND, stations) == {
        "disc": {"3": (0, 1)},
        "hand": {"1": (1, 1)},
        "pad": {"1": (1, 1), "2": (1, 1)},
        "unknown": {"4": (0, 1)},
    }


def test_stations_are_those_of_the_notes(mini_pack: Pack) -> None:
    stations = stations_of(mini_pack)
    assert list(stations) == mini_pack.note_ids
    assert stations["screen-no-signal"] == ("screen",)
