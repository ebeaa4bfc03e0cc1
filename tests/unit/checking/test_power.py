"""What the words of a step say of the power, and which ways lead on without it."""

from __future__ import annotations

import pytest

from assistant.checking.graph import build
from assistant.checking.power import Power
from assistant.checking.trade_words import TradeWords, read_words
from assistant.model import Corpus, Note
from tests.unit.checking.seeds import SHIPPED
from tests.unit.checking.test_graph import made

WORDS = read_words(SHIPPED)
ISOLATING = WORDS.isolating
ISOLATE = made(
    ISOLATING,
    ("Look at the plug.", [("If it is dry", "2"), ("If not", "done")]),
    "Pull out every plug of the station.",
    title="Making a station dead",
    action="inform",
)


def power_of(*notes: Note) -> Power:
    return Power(build(Corpus((*notes, ISOLATE))), WORDS)


def test_a_trade_without_words_has_nothing_on_the_mains() -> None:
    power = Power(build(Corpus((ISOLATE,))), TradeWords())
    assert power.change("Unplug the station.") is None
    assert power.change("Isolate the station at the outlet.") is None
    assert not power.is_test("Play one demo loop.")
    assert not power.opens("Lift the lid.")
    assert not power.reaches_inside("Reach behind the station.")


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("Unplug the station at the outlet.", "off"),
        ("Unplug the console. Its plug stays in sight.", "off"),
        ("Isolate the console: switch off, unplug, keep the plug in reach.", "off"),
        ("Isolate the station again.", "off"),
        ("Pull out every plug of the station.", "off"),
        ("Pull every plug out of the display by its body.", "off"),
        ("Switch off at the outlet.", "off"),
        ("Switch off at the dry wall outlet.", "off"),
        ("Switch every dark station off at its wall outlet.", "off"),
        ("Unplug its adapter at the outlet.", "off"),
        ("Blow round the key, with the display unplugged.", "off"),
        ('Do "Making a station dead" first.', "off"),
        ("Keep the station unplugged, and try no item of it.", "kept"),
        ("Keep the dock unplugged, a fault tag on its plug.", "kept"),
        ("Plug the station in.", "on"),
        ("Plug the console in again.", "on"),
        ("If its plug is out, plug the station in.", "on"),
        ("If the station is unplugged, plug it in.", "on"),
        ("Plug it in, with the door open.", "on"),
        ("Restore the power.", "on"),
        ("With the power restored, play one full demo loop.", "on"),
        ("Switch the station on at the outlet.", "on"),
        ("Switch the display off at the outlet for one minute and on again.", "on"),
        ("Play two loops with the station plugged in.", "on"),
        ("Plug the station straight into the wall outlet.", "on"),
        ("Unplug the pad.", None),
        ("Unplug the damaged lead by its plug body.", None),
        ("Switch the console off at its button.", None),
        ("Shut the console down by its menu.", None),
        ("Plug the known-good pad into the same port.", None),
        ("Pull the headphone plug out.", None),
        ("Look at the plug with the torch, hands off.", None),
        ("Plug the station's pad in.", None),
    ],
)
def test_words_of_power(text: str, state: str | None) -> None:
    assert power_of().change(text) == state


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Play one full demo loop.", "test"),
        ("Run the demo again for ten minutes.", "test"),
        ("Press the power button once.", "test"),
        ("Look at the picture.", "test"),
        ("Ask whether the demo may stop.", ""),
        ("Lift the lid of the drive.", "lid"),
        ("Open the drive lid with one finger.", "lid"),
        ("Open the lid of the box.", ""),
        ("Open the lid of the drive.", "lid"),
        ("Reach behind the console.", "inside"),
        ("Push both plugs of the video lead straight home.", "inside"),
        ("Unplug every lead from the old console.", "inside"),
        ("Unlock the cabinet.", ""),
        ("Unplug the pad lead at the front.", ""),
    ],
)
def test_acts_that_ask_for_power_or_for_none(text: str, told: str) -> None:
    power = power_of()
    kinds = {"test": power.is_test, "lid": power.opens, "inside": power.reaches_inside}
    found = [name for name, knows in kinds.items() if knows(text)]
    assert found == ([told] if told else [])


OFF, ON, LOOP = "Unplug the station at the outlet.", "Plug the station in.", "Play one demo loop."


@pytest.mark.parametrize(
    ("steps", "left"),
    [
        ((OFF, "Dry the shelf.", ON, LOOP), []),
        ((OFF, "Dry the shelf."), [(2, "end")]),
        ((OFF, ("Dry it.", [("If it is dry", "3"), ("If not", "done")]), ON), [(2, "end")]),
        ((OFF, ("Dry it.", [("If it stays wet", "visit-out"), ("If not", "3")]), ON), []),
        ((OFF, ("Dry it.", [("If it stays wet", "safety-spill"), ("If not", "3")]), ON), []),
        ((OFF, ("Dry it.", [("If it stays wet", "pad-back"), ("If not", "3")]), ON), []),
        ((OFF, ("Dry it.", [("If it stays wet", "visit-report"), ("If not", "3")]), ON), [(2, "go")]),
        ((("Stop the demo.", [("If it stops", f"do {ISOLATING}, 2"), ("If not", "done")]), "Dry it."), [(2, "end")]),
        ((("Stop the demo.", [("If it stops", f"do {ISOLATING}, 2"), ("If not", "done")]), "Dry it.", ON), []),
        ((OFF, ("Fit it.", [("If it fits", "do pad-back, 3"), ("If not", "visit-out")]), LOOP), []),
        ((("Ask.", [("If it is wet", "do visit-out, 2"), ("If not", "2")]), "Write it down."), []),
        (
            (
                ("Ask.", [("If it is wet", "do visit-out, 2"), ("If not", "2")]),
                ("Write.", [("If it is full", "do visit-report, 3"), ("If not", "3")]),
                "Sign.",
            ),
            [],
        ),
        ((OFF, "Keep the station unplugged."), []),
        ((OFF, ("Look.", [("If another note sent you here", "done"), ("If not", "3")]), ON), []),
    ],
)
def test_ways_that_are_left_without_power(steps: tuple[object, ...], left: list[tuple[int, str]]) -> None:
    note = made("pad-note", *steps)  # type: ignore[arg-type]
    others = (
        made("visit-out", OFF, action="withdraw"),
        made("safety-spill", OFF, action="escalate"),
        made("visit-report", "Write it down."),
        made("pad-back", ON, LOOP),
    )
    power = power_of(note, *others)
    assert [(way.start.step, way.kind) for way in power.left_off(note)] == left
    assert not any(list(power.left_off(one)) for one in others)


@pytest.mark.parametrize(
    ("choices", "states"),
    [
        ([("If it has a lid", f"do {ISOLATING}, 2"), ("If it has a slot", "done")], {"off"}),
        ([("If it has a lid", f"do {ISOLATING}, 2"), ("If not", "done")], {"off"}),
        ([("If it is hot", "done"), ("If it is wet", "done")], {"on"}),
        ([("If it is hot", f"do {ISOLATING}, 2")], {"on", "off"}),
    ],
)
def test_choices_that_leave_nothing_over_have_no_way_past_them(
    choices: list[tuple[str, str]], states: set[str]
) -> None:
    note = made("disc-a", ("Look.", choices), "Lift the lid of the drive.", ON)
    assert power_of(note).reached(note)[2] == states


def test_power_starts_as_before_you_start_says() -> None:
    note = made("pad-note", "Dry it.", before_you_start=("Unplug the station at the outlet.",))
    assert power_of(note).reached(note)[1] == {"off"}
    assert power_of().reached(ISOLATE)[1] == {"on"}


def test_notes_that_do_each_other_come_to_an_end() -> None:
    one = made("pad-a", OFF, ("Look.", [("If lit", "do pad-b, 3"), ("If not", "3")]), ON)
    other = made("pad-b", ("Look.", [("If lit", "do pad-a, 2"), ("If not", "2")]), "Close the door.")
    power = power_of(one, other)
    assert power.reached(one)[3] == {"off"}
    assert list(power.left_off(one)) == []
