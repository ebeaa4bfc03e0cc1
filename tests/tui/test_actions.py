"""One table of actions: a word, a letter and a key mean one thing on all screens, and no terminal uses the key."""

from __future__ import annotations

from collections import Counter
from importlib import import_module
from inspect import isclass
from pkgutil import walk_packages
from string import ascii_lowercase

import pytest
from textual.widget import Widget

import assistant.tui
from assistant.errors import UsageError
from assistant.tui.common.actions import ACTIONS, action_of, chosen, hint, typed
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.asking import line_number
from assistant.tui.common.lined import LinedScreen
from assistant.tui.common.pressable import Pressable
from assistant.tui.common.question import QuestionLine
from assistant.tui.common.text import sentence

DECIDED = {
    "help": "h",
    "undo": "u",
    "visit": "v",
    "work": "w",
    "other": "o",
    "wrong": "n",
    "save": "s",
    "copy": "c",
    "leave": "l",
    "skip": "k",
    "time": "t",
    "back": "b",
    "record": "r",
    "end": "e",
    "all": "a",
    "open": "p",
    "close": "x",
    "plan": "y",
    "bag": "g",
    "rest": "j",
    "colours": "m",
}


def _found(base: type) -> list[type]:
    """Return the classes of the rooms that are a ``base``."""
    modules = [import_module(found.name) for found in walk_packages(assistant.tui.__path__, "assistant.tui.")]
    found = {one for module in modules for one in vars(module).values() if isclass(one) and issubclass(one, base)}
    return [one for one in found if one.__module__.startswith("assistant.")]


SCREENS = sorted(
    (screen for screen in _found(LinedScreen) if screen.__module__.rpartition(".")[2] not in {"lined", "offering"}),
    key=lambda screen: screen.__name__,
)


def test_the_screens_of_all_rooms_are_found() -> None:
    assert {"StationScreen", "VisitScreen", "WorkScreen", "GroupsScreen", "ReleaseScreen", "LabelScreen"} <= {
        screen.__name__ for screen in SCREENS
    }


def test_every_word_letter_key_label_and_id_means_one_thing() -> None:
    said = Counter(word for action in ACTIONS for word in {action.word, action.letter, action.label} if word)
    assert [word for word, count in said.items() if count > 1] == []
    for told in ([action.id for action in ACTIONS], [key for action in ACTIONS for key in action.keys]):
        assert len(told) == len(set(told))


def test_letters_are_one_letter_and_as_decided() -> None:
    assert {action.word: action.letter for action in ACTIONS if action.word in DECIDED} == DECIDED
    assert all(action.letter in ascii_lowercase and len(action.letter) < 2 for action in ACTIONS)
    assert all(action.word == action.id or not action.word for action in ACTIONS)
    assert all(action.letter or action.keys for action in ACTIONS)


@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: screen.__name__)
def test_every_action_of_a_screen_is_of_the_table_and_has_its_method(screen: type[LinedScreen[object]]) -> None:
    assert all(action is action_of(action.id) for action in screen.ACTIONS)
    assert all(hasattr(screen, f"action_{action.id}") for action in screen.ACTIONS)
    assert {"help", "leave"} <= {action.id for action in screen.ACTIONS}


def test_no_function_key_and_no_ctrl_key_but_ctrl_c_is_bound_anywhere() -> None:
    bound = {(one.__name__, key) for one in {*_found(Widget), OneScreenApp} for key in _keys(one)}
    assert {key for _, key in bound} >= {"escape", "pageup", "pagedown", "up", "down", "enter", "ctrl+c"}
    wrong = {(name, key) for name, key in bound if key.startswith("ctrl+") or (key[:1] == "f" and key[1:].isdigit())}
    assert {key for _, key in wrong} == {"ctrl+c"}


def test_each_key_that_is_bound_has_the_meaning_of_the_table() -> None:
    of_table = {key: action.id for action in ACTIONS for key in action.keys}
    for one in {*_found(LinedScreen), *_found(Pressable), QuestionLine}:
        for key, action in _keys(one).items():
            if key in of_table and key not in ("tab", "shift+tab", "ctrl+c", "enter"):
                assert action == of_table[key], (one, key)


def _keys(one: type) -> dict[str, str]:
    """Return what a class binds, with what its bases hand down, by key."""
    made = one._merge_bindings() if hasattr(one, "_merge_bindings") else None
    assert made is not None
    return {key: binding.action for key, found in made.key_to_bindings.items() for binding in found}


@pytest.mark.parametrize("said", ["w", "W", "work", "Work", "work through"])
def test_word_letter_or_label_is_understood(said: str) -> None:
    assert typed(chosen("help", "work"), said) == action_of("work")


@pytest.mark.parametrize("said", ["", "o", "works", "work it", "wo"])
def test_what_is_no_word_of_the_screen_is_none(said: str) -> None:
    assert typed(chosen("help", "work", "done"), said) is None


def test_what_is_shown_names_letter_or_key() -> None:
    assert [hint(action) for action in chosen("other", "read", "escape", "scroll_down")] == [
        "other note (o)",
        "I have read this (Space)",
        "cancel (Esc)",
        "More below (Page Down)",
    ]


@pytest.mark.parametrize(
    ("text", "count", "number"), [("1", 1, 1), ("4", 4, 4), ("x", 4, 0), ("", 0, 0), ("101", 4, 0)]
)
def test_number_of_a_line(text: str, count: int, number: int) -> None:
    assert line_number(text, count) == number


@pytest.mark.parametrize(
    ("text", "count", "said"),
    [("7", 4, "type 1 to 4"), ("0", 4, "type 1 to 4"), ("2", 1, "type 1"), ("1", 0, "there is no numbered line here")],
)
def test_number_of_no_line_is_refused_with_those_there_are(text: str, count: int, said: str) -> None:
    with pytest.raises(UsageError, match=f"^{said}$"):
        line_number(text, count)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ""),
        ("type 1 to 4", "Type 1 to 4."),
        ("Noted.", "Noted."),
        ("which one?", "Which one?"),
        ("pad-cap: no such note", "pad-cap: no such note."),
        ("/home/x.db: cannot be read", "/home/x.db: cannot be read."),
        ("shop S-014 is open", "Shop S-014 is open."),
    ],
)
def test_notices_begin_with_a_capital_and_end_with_a_stop(text: str, said: str) -> None:
    assert sentence(text) == said
