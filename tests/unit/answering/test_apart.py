from __future__ import annotations

from assistant.answering.apart import tell_apart, which_one
from assistant.notes.reader import read_note
from tests.making import NOTE_PATH, NOTE_TEXT, TRADE

NOTE = read_note(NOTE_TEXT, NOTE_PATH)


def test_parts_tell_notes_of_several_areas_apart() -> None:
    options = tell_apart([NOTE._replace(id="hand-sound"), NOTE._replace(id="sound-none")], TRADE)
    assert [option.apart for option in options] == ["handheld", "sound"]
    assert which_one(options) == "2 notes may fit. Which is it: handheld or sound?"


def test_stations_tell_notes_of_one_area_apart() -> None:
    notes = [
        NOTE._replace(id="power-a", station=("hand",)),
        NOTE._replace(id="power-b", station=("disc", "screen")),
        NOTE._replace(id="power-c", station=("all",)),
    ]
    options = tell_apart(notes, TRADE)
    assert [option.apart for option in options] == ["handheld", "console, display", "any station"]
    assert which_one(options).endswith("handheld, console, display or any station?")


def test_titles_tell_notes_of_one_area_and_station_apart() -> None:
    notes = [NOTE._replace(id="pad-a", title="Cap torn"), NOTE._replace(id="pad-b", title="Cap gone")]
    options = tell_apart(notes, TRADE)
    assert [option.apart for option in options] == ["", ""]
    assert [option.title for option in options] == ["Cap torn", "Cap gone"]
    assert which_one(options) == "2 notes may fit. Which one says what you see?"
    assert which_one(options[:1]) == "One note may fit. Does it say what you see?"
