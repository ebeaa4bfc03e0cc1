"""``assistant corpus graph``."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.making import write_corpus


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Two valid notes below this folder."""
    return write_corpus(tmp_path / "corpus")


@pytest.mark.usefixtures("notes")
def test_it_counts_the_ways_and_tells_dead_ends(run: Run) -> None:
    ran = run("corpus", "graph")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("2 notes, 6 steps\n")
    assert "Closed circles: " in ran.out
    assert "Dead ends without power: none\n" in ran.out
    told = json.loads(run("corpus", "graph", "--format", "json").out)
    assert told["counts"]["notes"] == 2
    assert set(told) == {"counts", "circles", "open_circles", "left_without_power", "unentered", "entered"}


def test_it_writes_a_picture(run: Run, notes: Path, tmp_path: Path) -> None:
    ran = run("corpus", "graph", "--corpus", str(notes), "--svg", str(tmp_path / "notes.svg"))
    assert ran.code == 0
    assert ran.err == f"{tmp_path / 'notes.svg'}: written\n"
    boxes = ET.parse(tmp_path / "notes.svg").getroot().iter("{http://www.w3.org/2000/svg}g")  # noqa: S314 - ours
    assert {box[0].text for box in boxes} >= {"Pad lamp stays dark", "Another pad"}


def test_a_folder_or_a_file_that_is_not_there_is_told(run: Run, tmp_path: Path) -> None:
    assert run("corpus", "graph", "--corpus", str(tmp_path / "no")).code == 2
    write_corpus(tmp_path / "corpus")
    ran = run("corpus", "graph", "--svg", str(tmp_path / "no/notes.svg"))
    assert ran.code != 0
    assert "cannot be written" in ran.err
