"""The trade of a folder of notes, and what is wrong in its file."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.model import Contact, Item
from assistant.notes.corpus import parse_corpus, read_corpus
from assistant.notes.trade import read_trade
from assistant.pack.codec import trade_from_json, trade_to_json
from tests.making import NOTE_TEXT, TRADE_TEXT, line_of

TEXT = """\
stations: {all: any station, pad: pad}
areas:
  pad: pad
actions:
  mend: Mend it
tools:
  torch: {from: kit, other: [flashlight, lamp]}
parts:
  rubber foot: {from: kit, count: 4, plural: rubber feet}
  plain water: {from: store, plural: plain water}
contacts:
  desk: {name: support desk, number: 0123 456}
  line: {name: poison line, number: unset}
words:
  pad: [gamepad, joypad]
"""


def faults_of(root: Path, text: str) -> list[str]:
    (root / "trade.yaml").write_text(text, "utf-8")
    with pytest.raises(NotesError) as raised:
        read_trade(root)
    return str(raised.value).split("\n")


def test_every_section_is_read(tmp_path: Path) -> None:
    (tmp_path / "trade.yaml").write_text(TEXT, "utf-8")
    trade = read_trade(tmp_path)
    assert trade.stations == {"all": "any station", "pad": "pad"}
    assert trade.areas == {"pad": "pad"}
    assert trade.actions == {"mend": "Mend it"}
    assert trade.tools == (Item("torch", "torchs", "kit", 1, ("flashlight", "lamp")),)
    assert trade.parts == (
        Item("rubber foot", "rubber feet", "kit", 4),
        Item("plain water", "plain water", "store", 1),
    )
    assert trade.contacts == (Contact("desk", "support desk", "0123 456"), Contact("line", "poison line", ""))
    assert trade.words == {"pad": ("gamepad", "joypad")}


def test_the_order_of_the_file_is_kept(tmp_path: Path) -> None:
    (tmp_path / "trade.yaml").write_text(TEXT.replace("{all: any station, pad: pad}", "{pad: pad, all: any}"), "utf-8")
    assert list(read_trade(tmp_path).stations) == ["pad", "all"]


def test_a_folder_needs_the_file(two_notes: Path) -> None:
    (two_notes / "trade.yaml").unlink()
    with pytest.raises(NotesError) as raised:
        read_corpus(two_notes)
    assert str(raised.value) == "trade.yaml:1: is missing: it names the stations, areas, actions, tools and parts"


@pytest.mark.parametrize("name", ["tools", "parts", "contacts", "words"])
def test_there_may_be_no_tools_parts_contacts_or_words(tmp_path: Path, name: str) -> None:
    head, _, rest = TEXT.partition(f"{name}:\n")
    after = rest.split("\n")
    kept = "\n".join(after[next((n for n, line in enumerate(after) if not line.startswith(" ")), 0) :])
    for text in (f"{head}{kept}", f"{head}{name}: {{}}\n{kept}"):
        (tmp_path / "trade.yaml").write_text(text, "utf-8")
        assert not getattr(read_trade(tmp_path), name)


KEYED = "keys and their words must be texts; quote yes, no, on and off"
ITEM = "'torch' must have 'from', one of kit, store, station, ordered"
MORE = "'torch' may have from, count, plural and other"
TYPES = "'torch': count is a whole number, plural a text, other a list of texts"
CONTACT = "contact 'desk' must have the texts name and number; quote the number, or say unset"
WORDS = "must be 'word: [other, words]' lines"


@pytest.mark.parametrize(
    ("old", "new", "marker", "message"),
    [
        ("areas:\n  pad: pad\n", "", "stations", "'areas' must be 'key: value' lines"),
        ("areas:\n  pad: pad\n", "areas: {}\n", "areas", "'areas' must be 'key: value' lines"),
        ("areas:\n  pad: pad\n", "areas: [pad]\n", "areas", "'areas' must be 'key: value' lines"),
        ("areas:\n  pad: pad\n", "areas:\n", "areas", "'areas' must be 'key: value' lines"),
        ("  mend: Mend it", "  mend: 7", "  mend: ", KEYED),
        ("  mend: Mend it", "  on: Mend it", "  on: Mend it", KEYED),
        ("  mend: Mend it", "  mend: ''", "  mend: ", KEYED),
        ("words:\n", "colours: {}\nwords:\n", "colours", "unknown section 'colours'"),
        ("{from: kit, other: [flashlight, lamp]}", "kit", "  torch: ", ITEM),
        ("{from: kit, other: [flashlight, lamp]}", "{from: van}", "  torch: ", ITEM),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, colour: red}", "  torch: ", MORE),
        ("  torch: {", "  7: {", "  7: {", "'7' may have from, count, plural and other"),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, count: 0}", "  torch: ", TYPES),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, count: 1000}", "  torch: ", TYPES),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, count: true}", "  torch: ", TYPES),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, plural: [a]}", "  torch: ", TYPES),
        ("{from: kit, other: [flashlight, lamp]}", "{from: kit, other: lamp}", "  torch: ", TYPES),
        ("number: 0123 456", "number: 123456", "  desk: ", CONTACT),
        ("number: 0123 456", "number: ''", "  desk: ", CONTACT),
        (", number: 0123 456", "", "  desk: ", CONTACT),
        (", number: 0123 456", ", number: 0123 456, hours: all", "  desk: ", CONTACT),
        ("{name: support desk, number: 0123 456}", "0123 456", "  desk: ", CONTACT),
        ("[gamepad, joypad]", "gamepad", "  pad: gamepad", WORDS),
        ("[gamepad, joypad]", "[gamepad, 7]", "  pad: [gamepad", WORDS),
        ("[gamepad, joypad]", "[gamepad]\n  disc: drive", "  disc: drive", WORDS),
        ("  pad: [gamepad", "  7: [gamepad", "  7: [", WORDS),
        ("words:\n", "words: {a: [b]}\nwords:\n", "  pad: [gamepad", "'words' stands twice"),
    ],
)
def test_fault_in_a_section(tmp_path: Path, old: str, new: str, marker: str, message: str) -> None:
    assert old in TEXT
    text = TEXT.replace(old, new, 1)
    line = line_of(text, marker) if "twice" not in message else line_of(text, marker) - 1
    assert faults_of(tmp_path, text) == [f"trade.yaml:{1 if old.startswith('areas') and not new else line}: {message}"]


@pytest.mark.parametrize("text", ["", "- a\n", "a: [\n", "a: &x {b: c}\nd: *x\n", "[" * 100_000])
def test_what_is_no_trade(tmp_path: Path, text: str) -> None:
    (fault,) = faults_of(tmp_path, text)
    assert fault.startswith("trade.yaml:")


@pytest.mark.parametrize(
    ("old", "new", "marker", "message"),
    [
        ("station: [pad]", "station: [pad, kiosk]", "station:", "'kiosk' under 'station' is none of all, disc, pad"),
        ("action: replace", "action: mend", "action:", "'mend' under 'action' is none of clean, adjust, replace"),
    ],
)
def test_a_station_or_action_that_the_trade_lacks(
    two_notes: Path, old: str, new: str, marker: str, message: str
) -> None:
    text = NOTE_TEXT.replace(old, new)
    (two_notes / "pad/pad-demo.md").write_text(text, "utf-8")
    (fault,) = parse_corpus(two_notes).faults
    assert (fault.path, fault.line) == ("pad/pad-demo.md", line_of(text, marker))
    assert fault.message.startswith(message)


def test_an_area_that_the_trade_lacks(two_notes: Path) -> None:
    (two_notes / "trade.yaml").write_text(TRADE_TEXT.replace("  pad: pad\n", "", 1), "utf-8")
    faults = parse_corpus(two_notes).faults
    assert [(fault.path, fault.line) for fault in faults] == [("pad/pad-demo.md", 2), ("pad/pad-other.md", 2)]
    assert all(fault.message.startswith("'pad' under 'id' is none of cab, ") for fault in faults)


def test_where_the_trade_cannot_be_read_nothing_is_foreign(two_notes: Path) -> None:
    (two_notes / "trade.yaml").write_text("stations: 7\n", "utf-8")
    assert {fault.path for fault in parse_corpus(two_notes).faults} == {"trade.yaml"}


@pytest.mark.parametrize(
    ("told", "days"), [("", 0), (", days: unset", 0), (", days: 0", 0), (", days: 5", 5), (", days: 365", 365)]
)
def test_days_that_a_contact_takes(tmp_path: Path, told: str, days: int) -> None:
    (tmp_path / "trade.yaml").write_text(TEXT.replace("number: 0123 456", f"number: 0123 456{told}"))
    trade = read_trade(tmp_path)
    assert trade.contacts[0].days == days
    assert trade_from_json(trade_to_json(trade)).contacts == trade.contacts


@pytest.mark.parametrize("days", ["-1", "366", "true", "1.5", "'5'", "soon", "[1]"])
def test_days_that_are_none_are_refused(tmp_path: Path, days: str) -> None:
    text = TEXT.replace("number: 0123 456", f"number: 0123 456, days: {days}")
    message = "trade.yaml:12: contact 'desk': days must be a whole number of 0 to 365, or unset"
    assert faults_of(tmp_path, text) == [message]
