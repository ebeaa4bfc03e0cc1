"""Erasing what is old never puts a station back into service, and takes the pictures with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Photo, Visit
from assistant.visiting.entries import release_and_pass
from assistant.visiting.erasing import erase, would_erase
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import stations_of
from tests.unit.visiting.scene import DEMO

LATER = "2999-01-01"
WITHDRAWS = DEMO._replace(action="withdraw")


def withdrawn(recorder: Recorder, store: str) -> None:
    recorder.open_visit(store)
    recorder.see("A-1", "fault", condition="smokes")
    recorder.end(recorder.begin(WITHDRAWS, station="A-1"), "withdrawn")
    recorder.close_visit()


def test_a_station_out_of_service_stays_so_after_erasing(recorder: Recorder) -> None:
    withdrawn(recorder, "S-1")
    assert would_erase(recorder.journal, LATER)["visit"] == 0
    erase(recorder.journal, LATER)
    assert [one.state for one in stations_of(recorder.journal, "S-1")] == ["withdrawn"]
    recorder.open_visit("S-1")
    with pytest.raises(UsageError, match="released"):
        recorder.see("A-1", "pass")


def test_once_it_is_released_the_visits_go(recorder: Recorder) -> None:
    withdrawn(recorder, "S-1")
    recorder.open_visit("S-1")
    release_and_pass(recorder, "A-1", "the desk", "7")
    recorder.close_visit()
    assert erase(recorder.journal, LATER)["visit"] == 2
    assert recorder.journal.every(Visit) == []


def test_only_the_shop_that_needs_its_visits_keeps_them(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.close_visit()
    withdrawn(recorder, "S-1")
    recorder.open_visit("S-2")
    recorder.close_visit()
    assert erase(recorder.journal, LATER)["visit"] == 2
    assert [visit.id for visit in recorder.journal.all(Visit)] == [2]


def test_a_work_that_stands_open_keeps_its_visit(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.begin(DEMO, station="A-1")
    recorder.close_visit()
    assert erase(recorder.journal, LATER)["visit"] == 0


def test_the_copies_of_erased_pictures_go_too(recorder: Recorder, tmp_path: Path) -> None:
    source = tmp_path / "one.png"
    source.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(20))
    recorder.open_visit("S-1")
    copy = recorder.photo(source).copy
    assert (tmp_path / "photos" / copy).exists()
    recorder.close_visit()
    erase(recorder.journal, LATER)
    assert recorder.journal.every(Photo) == []
    assert not (tmp_path / "photos" / copy).exists()
    assert source.exists()
