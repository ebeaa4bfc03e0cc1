"""The graph of the notes: its ways, the six circles that a reviewer found, and what a picture and a report show."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from collections.abc import Sequence

import pytest

from assistant.checking.circles import closed_circles
from assistant.checking.graph import Graph, Place, Way, build, circles
from assistant.checking.graph_picture import graph_svg
from assistant.checking.graph_report import graph_json, graph_report, graph_text
from assistant.checking.trade_words import read_words
from assistant.model import Branch, Corpus, Note, Step, Trade
from assistant.notes.reader import read_note
from tests.making import NOTE_PATH, NOTE_TEXT
from tests.unit.checking.seeds import SHIPPED

PLAIN = read_note(NOTE_TEXT, NOTE_PATH)
Choice = tuple[str, str]
"""A condition, and where it leads: ``3``, ``done``, the id of a note, or ``do pad-x, 3``."""


def branch(condition: str, target: str) -> Branch:
    if target.startswith("do "):
        note, step = target.removeprefix("do ").split(", ")
        return Branch(condition, f"{condition}: do {note}", step=int(step), note=note)
    if target == "done":
        return Branch(condition, f"{condition}: the work is done.")
    if target.isdigit():
        return Branch(condition, f"{condition}: go to step {target}.", step=int(target))
    return Branch(condition, f"{condition}: go to {target}", note=target)


def made(id: str, *steps: str | tuple[str, Sequence[Choice]], title: str = "", **changed: object) -> Note:
    """Return a note with these steps, each alone or with its choices."""
    whole = [(step, ()) if isinstance(step, str) else step for step in steps]
    listed = tuple(
        Step(n, text, tuple(branch(*choice) for choice in choices), n) for n, (text, choices) in enumerate(whole, 1)
    )
    fields: dict[str, object] = {"action": "adjust", "before_you_start": (), "cause": (), "on_failure": ()} | changed
    return PLAIN._replace(
        id=id,
        title=title or f"About {id}",
        steps=listed,
        safety=(),
        if_it_still_fails="Call the support desk.",
    )._replace(**fields)  # type: ignore[arg-type]


def graph_of(*notes: Note) -> Graph:
    return build(Corpus(notes))


def closed(*notes: Note) -> list[list[str]]:
    graph = graph_of(*notes)
    return [[way.start.note for way in circle] for circle in closed_circles(graph, circles(graph))]


def test_every_choice_is_a_way_of_its_kind() -> None:
    one = made(
        "pad-a",
        ("Look.", [("If lit", "done"), ("If dark", "pad-b"), ("If hot", "do pad-b, 2"), ("If cold", "3")]),
        ("Look again.", [("If not", "1")]),
        "Close the door.",
        on_failure=("pad-b", "pad-gone"),
    )
    graph = graph_of(one, made("pad-b", "Look."))
    here = Place("pad-a", 1)
    assert graph.ways[here] == (
        Way("end", here, Place("pad-a", 4), "If lit"),
        Way("go", here, Place("pad-b", 1), "If dark"),
        Way("do", here, Place("pad-b", 1), "If hot", Place("pad-a", 2)),
        Way("step", here, Place("pad-a", 3), "If cold"),
        Way("step", here, Place("pad-a", 2)),
    )
    assert [way.to.step for way in graph.ways[Place("pad-a", 2)]] == [1]
    assert [way.kind for way in graph.ways[Place("pad-a", 3)]] == ["end"]
    assert [way.to.note for way in graph.ways[Place("pad-a", 4)]] == ["pad-b"]


SIX: dict[str, tuple[Note, Note]] = {
    "an ill person who felt a shock": (
        made(
            "safety-injury",
            "Call the local emergency number.",
            ("Ask the person what happened.", [("If the person felt a shock", "safety-shock"), ("If not", "done")]),
        ),
        made(
            "safety-shock",
            "Keep everyone away.",
            ("Bring the first aider.", [("If the person is ill", "safety-injury"), ("If not", "done")]),
        ),
    ),
    "a disc in a slot": (
        made(
            "disc-stuck",
            "Restart the console.",
            ("Press eject once.", [("If the drive is a slot", "console-swap"), ("If not", "done")]),
        ),
        made(
            "console-swap",
            "Compare the asset label.",
            ("Eject the disc.", [("If the disc will not come out", "disc-stuck"), ("If it is out", "3")]),
            "Fit the known-good console.",
        ),
    ),
    "an unwanted device with data": (
        made(
            "parts-dispose",
            "Sort the scrap.",
            ("Check whether a device can hold saved data.", [("If it can", "parts-return"), ("If not", "3")]),
            "Hand the scrap over.",
        ),
        made(
            "parts-return",
            ("Ask what the desk wants.", [("If it does not want the part", "parts-dispose"), ("If it does", "2")]),
            "Wrap the part.",
        ),
    ),
    "a wrong clock and no network": (
        made(
            "console-clock",
            "Compare the date, the time and the time zone.",
            "Set the time zone of the store.",
            (
                "Look at the network line.",
                [("If it should have a network but has none", "net-offline"), ("If not", "4")],
            ),
            "Set the date and the time by hand.",
        ),
        made(
            "net-offline",
            "Ask whether other equipment is off as well.",
            ("Check the date and time of the console.", [("If they are wrong", "console-clock"), ("If not", "3")]),
            "Exchange the network lead.",
        ),
    ),
    "a password that was changed": (
        made(
            "net-offline",
            (
                "Ask the duty manager.",
                [("If the password or the network name was changed", "net-wifi-changed"), ("If not", "2")],
            ),
            "Exchange the network lead.",
        ),
        made(
            "net-wifi-changed",
            "Let the person type the password.",
            ("Run the connection test.", [("If the test passes", "done"), ("If not", "net-offline")]),
        ),
    ),
    "mirrors and sun": (
        made(
            "vr-tracking-lost",
            "Wipe the cameras.",
            ("Look for new mirrors and sun patches.", [("If you find one", "vr-play-area"), ("If not", "3")]),
            "Run the set-up.",
        ),
        made(
            "vr-play-area",
            "Clear the area.",
            ("Set the guard border.", [("If the set-up fails", "vr-tracking-lost"), ("If it fits", "done")]),
        ),
    ),
}


@pytest.mark.parametrize("name", SIX)
def test_circles_that_a_reviewer_found_are_closed(name: str) -> None:
    one, other = SIX[name]
    assert closed(one, other) == [sorted([one.id, other.id])]


@pytest.mark.parametrize("name", SIX)
def test_a_way_back_to_the_step_opens_the_circle(name: str) -> None:
    one, other = SIX[name]
    steps = tuple(
        step._replace(branches=tuple(b._replace(step=len(one.steps)) if b.note else b for b in step.branches))
        for step in one.steps
    )
    assert closed(one._replace(steps=steps), other) == []


def test_findings_that_deny_each_other_close_no_circle() -> None:
    one = made("disc-a", "Look.", ("Look in.", [("If the disc is in", "disc-b"), ("If not", "done")]))
    other = made("disc-b", "Look.", ("Look in.", [("If there is no disc", "disc-a"), ("If not", "done")]))
    assert closed(one, other) == []


def test_a_finding_that_was_dealt_with_closes_no_circle() -> None:
    one = made("disc-a", "Blow the dust off.", ("Play.", [("If it fails", "disc-b"), ("If not", "done")]))
    other = made("disc-b", "Look.", ("Look at the disc.", [("If you see dust", "disc-a"), ("If not", "done")]))
    assert closed(one, other) == []


def test_two_notes_that_sort_at_their_first_step_close_no_circle() -> None:
    one = made("pad-a", ("Look at the pad.", [("If its cells are built in", "pad-b"), ("If not", "done")]))
    other = made("pad-b", ("Look at the pad.", [("If a cover hides them", "pad-a"), ("If not", "done")]))
    assert closed(one, other) == []


@pytest.mark.parametrize(("fails", "found"), [('Go to "About pad-b".', 1), ("Call the support desk.", 0)])
def test_a_last_resort_opens_the_circle(fails: str, found: int) -> None:
    one = made("pad-a", "Look.", "Look again.", on_failure=("pad-b",), if_it_still_fails=fails)
    other = made("pad-b", "Look.", ("Shake the shelf.", [("If the shelf leans", "pad-a"), ("If not", "done")]))
    assert len(closed(one, other)) == found


def test_a_circle_of_three_notes_is_found_once() -> None:
    def leading(id: str, to: str, word: str) -> Note:
        return made(id, "Look.", (f"Look at the {word}.", [(f"If the {word} hums", to), ("If not", "done")]))

    assert closed(
        leading("pad-a", "pad-b", "shelf"), leading("pad-b", "pad-c", "floor"), leading("pad-c", "pad-a", "roof")
    ) == [["pad-a", "pad-b", "pad-c"]]


HOSTILE = '<script>alert("x")</script> & ]]> \x1b[31m'


def test_the_picture_holds_every_note_and_nothing_of_it_is_markup() -> None:
    one, other = SIX["mirrors and sun"]
    svg = graph_svg(graph_of(one._replace(title=HOSTILE), other), Trade(areas={"vr": HOSTILE}))
    root = ET.fromstring(svg)  # noqa: S314 - made here
    names = {"{http://www.w3.org/2000/svg}" + name for name in ("svg", "title", "style", "path", "text", "g", "rect")}
    assert {element.tag for element in root.iter()} == names
    titles = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}title")]
    assert '<script>alert("x")</script> & ]]> [31m' in titles
    assert any("step 2: If you find one" in title for title in titles)
    assert "\x1b" not in svg
    assert svg == graph_svg(graph_of(one._replace(title=HOSTILE), other), Trade(areas={"vr": HOSTILE}))


def test_the_report_counts_and_names_what_it_finds() -> None:
    one, other = SIX["mirrors and sun"]
    dead = made(
        "cab-move", "Isolate the station.", ("Roll it.", [("If it has no wheels", "vr-play-area"), ("If not", "done")])
    )
    report = graph_report(Corpus((dead, other, one)), read_words(SHIPPED))
    assert report.counts["notes"] == 3
    assert report.counts["go"] == 3
    assert [way.start for way in report.left_off] == [Place("cab-move", 2), Place("cab-move", 2)]
    assert report.unentered == ("cab-move",)
    assert report.entered[0] == ("vr-play-area", 2)
    lines = list(graph_text(report))
    assert "Closed circles: 1; 0 other circles can be left" in lines
    assert "  cab-move step 2 (If it has no wheels) -> vr-play-area" in lines
    told = json.loads(graph_json(report))
    assert told["left_without_power"][0] == {
        "kind": "go",
        "note": "cab-move",
        "step": 2,
        "to": "vr-play-area",
        "condition": "If it has no wheels",
    }
