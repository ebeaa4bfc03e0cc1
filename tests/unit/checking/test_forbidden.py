"""Forbidden acts are found by what is done to what, and neither in a ban nor in a condition."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from assistant.checking.advice import advises
from assistant.checking.forbidden import ActFinder, finder_of
from assistant.checking.small_words import is_command
from assistant.model import Act, Forbidden, Item, Trade
from assistant.notes.forbidden import read_forbidden
from assistant.notes.trade import read_trade

ROOT = Path(__file__).parents[3]
ACTS = read_forbidden(ROOT / "corpus")
LINES = (ROOT / "tests/data/forbidden_wording.tsv").read_text("utf-8").splitlines()
CASES = [tuple(line.split("\t")) for line in LINES if not line.startswith("#")]
BAD = [case for case in CASES if case[0] != "-"]
GOOD = [text for act, text in CASES if act == "-"]

OPENED = Act("opened", ("open", "take off", "get _ open"), ("console", "adapter"), (), (), (), "w", "s")
SHELL = Act("shell", ("lift off",), ("cover",), ("console",), (), ("feet",), "w", "s")
WET = Act("wet", ("plug in",), ("console",), (), ("wet",), (), "w", "s")
TAPE = Act("tape", ("=strip of tape ~ over _", "spray ~ on _"), ("crack",), (), (), (), "w", "s")
SMALL = Forbidden((OPENED, SHELL, WET, TAPE), harmless=("console box",), idioms=("cannot hurt",), others=("workshop",))
FINDER = finder_of(Trade(parts=(Item("adapter", "adapters", "kit", 1, ("charger",)),)), SMALL)


@cache
def shipped_finder() -> ActFinder:
    return finder_of(read_trade(ROOT / "corpus"), ACTS)


def keys(text: str, finder: ActFinder = FINDER) -> list[str]:
    return [act.key for act, _ in finder.found(text)]


@pytest.mark.parametrize(
    "text",
    [
        "Open the console.",
        "Then open both of the old adapters.",
        "Unplug the adapter and open it.",
        "Take the adapter. Open it with a coin.",
        "If the lamp is dark, open the console.",
        "Try opening the console.",
        "The console can be opened from below.",
        "Open the charger.",
        "Get the console open with a coin.",
        "It cannot hurt to open the console.",
        "Instead of waiting for a spare, open the console.",
    ],
)
def test_an_act_is_found_in_every_form(text: str) -> None:
    assert keys(text) == ["opened"]


@pytest.mark.parametrize(
    "text",
    [
        "Open the console menu.",
        "Open the menu of the console.",
        "Open the cabinet and unplug the console.",
        "Open the console box.",
        "Never open the console.",
        "Do not open the adapter.",
        "Exchange the adapter instead of opening it.",
        "If somebody may open the console, lock the door.",
        "Look whether the children open the console.",
        "Ask the workshop to open the console.",
        "The open console stays where it is.",
        'Go to "Open the console".',
        "Open it.",
    ],
)
def test_what_is_no_such_act_is_left_alone(text: str) -> None:
    assert keys(text) == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Lift off the cover of the console.", True),
        ("Lift the cover off the console.", True),
        ("Turn the console over and lift off its cover.", True),
        ("Lift off the cover of the seat.", False),
        ("Lift off the cover of the seat and look at the console.", False),
        ("Lift off the cover of the console on its feet.", False),
    ],
)
def test_the_owner_of_a_thing_counts(text: str, found: bool) -> None:
    assert keys(text) == ["shell"] * found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Plug in the wet console.", True),
        ("Plug the console in while it is wet.", True),
        ("Plug in the console.", False),
        ("Plug in the console, which is not wet.", False),
    ],
)
def test_a_mark_must_be_said_and_not_denied(text: str, found: bool) -> None:
    assert keys(text) == ["wet"] * found


def test_words_as_they_stand_and_words_between() -> None:
    assert keys("A strip of tape laid over the crack will do.") == ["tape"]
    assert keys("Spray a little of it on the crack.") == ["tape"]
    assert keys("A strip of tape lies beside the crack.") == []


def test_a_noun_is_no_command() -> None:
    assert is_command("", "tape", " the lead.")
    assert is_command("you can ", "tape", " it.")
    assert not is_command("the ", "tape", " on the box.")
    assert not is_command("an outlet, ", "plug", " or adapter is wet.")
    assert not is_command("", "heat", " can warp it.")


def test_a_clause_that_begins_anew_is_no_longer_denied() -> None:
    assert advises("Instead of waiting, open the lid.", "open the lid")
    assert not advises("Do not open the lid.", "open the lid")


@pytest.mark.parametrize(("act", "text"), BAD)
def test_the_shipped_acts_are_found(act: str, text: str) -> None:
    assert act in keys(text, shipped_finder())


@pytest.mark.parametrize("text", GOOD)
def test_what_a_rep_may_do_is_not_found(text: str) -> None:
    assert keys(text, shipped_finder()) == []


def test_every_shipped_act_has_a_sentence() -> None:
    assert {act for act, _ in BAD} == {act.key for act in ACTS.acts}


def test_a_trade_without_acts_finds_nothing() -> None:
    assert keys("Open the console.", finder_of(Trade(), Forbidden())) == []
