"""The rules that hold tools, parts and words against the trade, and the packing list that is made from it."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.checking.check import check
from assistant.checking.mend import mend_all
from assistant.checking.registry import all_rules
from assistant.checking.tools import packing_list
from tests.unit.checking.seeds import FRONT, NAME, add_example, book_of, note_text, write_frame

RULES = {rule.code: rule for rule in all_rules()}
PATH = f"pad/{NAME}.md"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return write_frame(tmp_path / "notes")


def write_note(root: Path, *, tools: str = "", parts: str = "", step: str = "", before: str = "") -> None:
    front = dict(FRONT) | ({"tools": f"[{tools}]"} if tools else {}) | ({"parts": f"[{parts}]"} if parts else {})
    text = note_text(NAME).replace(f"tools: {FRONT['tools']}", f"tools: {front['tools']}")
    text = text.replace(f"parts: {FRONT['parts']}", f"parts: {front['parts']}")
    text = text.replace("2. Play one demo loop.", f"2. {step}") if step else text
    text = text.replace("## Steps\n", f"## Before you start\n\n- {before}\n\n## Steps\n") if before else text
    (root / PATH).write_text(text, "utf-8")


def found_by(code: str, root: Path) -> list[str]:
    return [one.finding.message for one in check(book_of(root), [RULES[code]])]


def mended(code: str, root: Path) -> str:
    mend_all(root, lambda: book_of(root), [RULES[code]])
    return (root / PATH).read_text("utf-8")


@pytest.mark.parametrize(
    ("tools", "parts", "messages"),
    [
        ("cabinet key, torch", "pad", []),
        ("flashlight", "", ["'flashlight' is no name of the trade; did you mean 'torch'?"]),
        ("torhc", "", ["'torhc' is no name of the trade; did you mean 'torch'?"]),
        ("zither", "", ["'zither' is no name of the trade"]),
        ("cabinet key, pad", "", ["'pad' is one of the parts, and no other"]),
        ("", "torch", ["'torch' is one of the tools, and no other"]),
        ("", "rubber feet", ["'rubber feet' is no name of the trade; did you mean 'rubber foot'?"]),
    ],
)
def test_lists_hold_the_one_name_in_the_right_list(root: Path, tools: str, parts: str, messages: list[str]) -> None:
    write_note(root, tools=tools, parts=parts)
    assert found_by("C611", root) == messages


@pytest.mark.parametrize(
    ("step", "other"),
    [
        ("Take the allen key from the bag.", "allen key"),
        ("Take both allen keys from the bag.", "allen key"),
        ("Unplug the Charger.", "charger"),
        ("Look at the cable tie.", ""),
        ("Look at the hand controller menu.", ""),
        ('Read "The charger is hot" on the display.', ""),
        ("Go on: go to [Charger is hot](../pad/pad-other.md).", ""),
        ("Look at the recharger.", ""),
        ("Plug in the gamepad.", ""),
    ],
)
def test_steps_use_no_other_name(root: Path, step: str, other: str) -> None:
    write_note(root, step=step)
    assert [message.partition("'; ")[0] for message in found_by("C611", root)] == ([f"names '{other}"] if other else [])


def test_what_is_needed_before_the_steps_is_read_too_and_told_at_its_line(root: Path) -> None:
    write_note(root, before="Have the charger ready.")
    (one,) = check(book_of(root), [RULES["C611"]])
    assert (root / PATH).read_text("utf-8").split("\n")[one.finding.line - 1] == "- Have the charger ready."


def test_other_names_are_mended_where_they_can_mean_nothing_else(root: Path) -> None:
    write_note(root, tools="cabinet key, flashlight", step="Take an allen key, not two.")
    text = mended("C611", root)
    assert "tools: [cabinet key, torch]\n" in text
    assert "2. Take a hex key, not two.\n" in text
    assert found_by("C611", root) == []


@pytest.mark.parametrize(
    ("tools", "step"),
    [
        ("torhc", "Unplug the charger."),
        ("pad", "Turn the allen key, then the other allen key."),
        ("torch, flashlight", "Play one demo loop."),
    ],
)
def test_what_is_unsure_is_told_and_not_mended(root: Path, tools: str, step: str) -> None:
    write_note(root, tools=tools, step=step)
    before = (root / PATH).read_text("utf-8")
    assert found_by("C611", root)
    assert mended("C611", root) == before


@pytest.mark.parametrize(
    ("step", "lists", "named"),
    [
        ("Look at the port with the torch.", {}, "torch"),
        ("Look at the port with the torch.", {"tools": "cabinet key, torch"}, ""),
        ("Turn both hex keys.", {}, "hex key"),
        ("Fix the lead with a cable tie.", {}, "cable tie"),
        ("Fix the lead with two cable ties.", {}, "cable tie"),
        ("Fix the lead with a cable tie.", {"parts": "cable tie"}, ""),
        ("Push the cable tie tight.", {}, ""),
        ("Switch a wireless pad off, or unplug a wired pad.", {}, ""),
        ("If a cable tie is cut, call the support desk.", {}, ""),
        ("Plug in a known-good adapter.", {}, ""),
        ("Fit a new adapter.", {}, "adapter"),
        ("Unplug an adapter.", {}, ""),
        ("Fit the new pad.", {}, ""),
        ('Read "Fit a new adapter" on the display.', {}, ""),
    ],
)
def test_what_a_step_brings_is_listed(root: Path, step: str, lists: dict[str, str], named: str) -> None:
    write_note(root, step=step, **lists)
    wanted = [f"names '{named}', which stands neither in tools nor in parts"] if named else []
    assert found_by("C608", root) == wanted


@pytest.mark.parametrize(
    ("lists", "step", "messages"),
    [
        ({"tools": "cabinet key, hex key"}, "", ["lists 'hex key', which no step names"]),
        ({"tools": "cabinet key, hex key"}, "Turn both hex keys.", []),
        ({"tools": "cabinet key, hex key"}, "Find the key.", ["lists 'hex key', which no step names"]),
        ({"parts": "rubber foot"}, "Stick all rubber feet on.", []),
        ({"parts": "rubber foot"}, "Stand on one foot.", ["lists 'rubber foot', which no step names"]),
        ({"tools": "cabinet key, known-good lead"}, "Try another lead.", []),
        ({"tools": "cabinet key, zither"}, "Play the zithers.", []),
        (
            {"tools": "cabinet key, torch", "parts": "torch"},
            "Shine the torch.",
            ["'torch' is a tool as well as a part"],
        ),
    ],
)
def test_what_is_listed_is_named(root: Path, lists: dict[str, str], step: str, messages: list[str]) -> None:
    trade = root / "trade.yaml"
    more = trade.read_text("utf-8").replace("tools:\n", "tools:\n  known-good lead: {from: kit}\n")
    trade.write_text(more, "utf-8")
    write_note(root, step=step, **lists)
    assert found_by("C609", root) == messages


@pytest.mark.parametrize(
    ("step", "word"),
    [
        ("Plug in the joypads.", "pad"),
        ("Look at the Telly.", "display"),
        ("Roll up the cable.", "lead"),
        ("Roll up the cable tie.", ""),
        ("Open the controller menu.", ""),
        ("Roll up the cable-shaped sweet.", ""),
        ('Read "TV" on the display.', ""),
    ],
)
def test_steps_use_the_words_of_the_trade(root: Path, step: str, word: str) -> None:
    write_note(root, step=step)
    assert [message.partition(":")[0] for message in found_by("C512", root)] == (
        [f"the word for it is '{word}'"] if word else []
    )


def test_a_word_that_is_mostly_something_else_is_not_told(root: Path) -> None:
    trade = root / "trade.yaml"
    trade.write_text(trade.read_text("utf-8").replace("words:\n", "words:\n  permission: [leave]\n"), "utf-8")
    write_note(root, step="Leave the door open.")
    assert found_by("C512", root) == []


def test_the_kit_note_is_mended_from_the_trade_and_without_one_the_rule_rests(root: Path) -> None:
    rule = RULES["C612"]
    assert check(book_of(root), [rule]) == []
    path = add_example(root, rule, "tools: [torch, trolley]\nparts: []")
    assert [one.finding.message for one in check(book_of(root), [rule])] == [
        "tools of the kit bag by trade.yaml: lacks cabinet key, hex key; lists beyond the bag trolley",
        "parts of the kit bag by trade.yaml: lacks adapter, cable tie, rubber foot, wired pad",
    ]
    assert mend_all(root, lambda: book_of(root), [rule]) == 2
    assert check(book_of(root), [rule]) == []
    assert "\ntools: [cabinet key, hex key, torch]\n" in (root / path).read_text("utf-8")


def test_a_list_that_is_wrapped_is_told_and_not_mended(root: Path) -> None:
    path = add_example(root, RULES["C612"], "tools: [torch,\nparts: []")
    text = (root / path).read_text("utf-8").replace("tools: [torch,\n", "tools: [torch,\n  hex key]\n")
    (root / path).write_text(text, "utf-8")
    first, _ = check(book_of(root), [RULES["C612"]])
    assert first.finding.edit is None
    assert "lacks cabinet key" in first.finding.message


def test_each_contact_without_a_number_is_told_at_its_line(root: Path) -> None:
    with (root / "trade.yaml").open("a", encoding="utf-8") as file:
        file.write(
            "  'poison line': {name: poison line, number: unset}\n  desk:\n    name: back office\n    number: unset\n"
        )
    lines = (root / "trade.yaml").read_text("utf-8").split("\n")
    found = [one.finding for one in check(book_of(root), [RULES["C613"]])]
    assert [lines[finding.line - 1].split(":")[0].strip() for finding in found] == ["'poison line'", "desk"]
    assert found[1].message.startswith("the number of 'back office' is unset")


def test_the_packing_list_has_the_bag_first_and_the_notes_that_list_a_thing(root: Path) -> None:
    write_note(root, tools="cabinet key, trolley")
    add_example(root, RULES["C612"], RULES["C612"].good)
    rows = packing_list(book_of(root).corpus, "visit-kit")
    assert [(row.kind, row.item.name, row.item.place, row.notes) for row in rows] == [
        ("tools", "cabinet key", "kit", (NAME,)),
        ("tools", "hex key", "kit", ()),
        ("tools", "torch", "kit", ()),
        ("parts", "adapter", "kit", ()),
        ("parts", "cable tie", "kit", ()),
        ("parts", "rubber foot", "kit", ()),
        ("parts", "wired pad", "kit", ()),
        ("tools", "trolley", "store", (NAME,)),
        ("parts", "pad", "ordered", ()),
    ]
