"""YAML of a note -> checked values, and every fault with its line."""

from __future__ import annotations

import pytest

from assistant.model import Review
from assistant.notes.front_matter import FIELDS, parse_front_matter
from tests.making import NOTE_TEXT, line_of

YAML = NOTE_TEXT.split("---\n")[1]
NEEDED = tuple(name for name in FIELDS if name not in ("hazards", "safety_review", "status"))
SIGNED = "{by: A. Officer, on: 2026-11-20, revision: 3, digest: '0123456789ab'}"
REVIEW = Review("A. Officer", "2026-11-20", 3, "0123456789ab")


def faults_of(text: str) -> list[str]:
    return [str(fault) for fault in parse_front_matter(text, "n.md", 2)[1]]


def test_values_and_lines() -> None:
    front, faults = parse_front_matter(YAML, "n.md", 2)
    assert faults == []
    assert tuple(front.values) == NEEDED
    assert front.values["reviewed"] == "2026-11-02"
    assert front.values["tools"] == ("cabinet key",)
    assert front.lines == {name: number for number, name in enumerate(NEEDED, start=2)}


@pytest.mark.parametrize("name", NEEDED)
def test_each_field_is_needed(name: str) -> None:
    text = "".join(line for line in YAML.splitlines(keepends=True) if not line.startswith(f"{name}:"))
    assert faults_of(text) == [f"n.md:2: field '{name}' is missing"]


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("id", "Pad-Demo", "'id' must be lower-case words joined by hyphens, area first"),
        ("id", "pad", "'id' must be lower-case words joined by hyphens, area first"),
        ("id", "pad-../x", "'id' must be lower-case words joined by hyphens, area first"),
        ("title", "12", "'title' must be text"),
        ("title", "''", "'title' must be text"),
        ("title", "yes", "'title' must be text"),
        ("title", '"a\\e[31mb"', "'title' holds a control character (U+001B)"),
        ("title", '"a\\nb"', "'title' holds a control character (U+000A)"),
        ("title", '"a\\uFE0Fb"', "'title' holds an emoji variation selector (U+FE0F)"),
        ("station", "[]", "'station' must name at least one"),
        ("station", "all", "'station' must be a list of texts"),
        ("action", "[mend]", "'action' must be text"),
        ("minutes", "0", "'minutes' must be a whole number from 1 to 90"),
        ("minutes", "1000", "'minutes' must be a whole number from 1 to 90"),
        ("minutes", "2.5", "'minutes' must be a whole number from 1 to 90"),
        ("minutes", "true", "'minutes' must be a whole number from 1 to 90"),
        ("revision", "'3'", "'revision' must be a whole number from 1 to 999"),
        ("tools", "cabinet key", "'tools' must be a list of texts"),
        ("tools", "[1]", "'tools' must be a list of texts"),
        ("parts", "['']", "'parts' must be a list of texts"),
        ("parts", '["a\\ab"]', "'parts' holds a control character (U+0007)"),
        ("see_also", "{a: b}", "'see_also' must be a list of texts"),
        ("sources", "[]", "'sources' must name at least one"),
        ("reviewed", "yesterday", "'reviewed' must be a date such as 2026-11-02"),
        ("reviewed", "2026-11-02 10:00:00", "'reviewed' must be a date such as 2026-11-02"),
    ],
)
def test_fault_of_a_value(name: str, value: str, message: str) -> None:
    old = next(line for line in YAML.splitlines() if line.startswith(f"{name}:"))
    text = YAML.replace(old, f"{name}: {value}")
    assert faults_of(text) == [f"n.md:{line_of(text, f'{name}:') + 1}: {message}"]


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("hazards: []\n", "hazards", ()),
        ("hazards: [fall, alcohol]\n", "hazards", ("fall", "alcohol")),
        ("safety_review: unsigned\n", "safety_review", Review()),
        (f"safety_review: {SIGNED}\n", "safety_review", REVIEW),
        ("safety_review: " + SIGNED.replace("on:", "'on':", 1) + "\n", "safety_review", REVIEW),
    ],
)
def test_hazards_and_review_may_stand_there(text: str, name: str, value: object) -> None:
    front, faults = parse_front_matter(YAML + text, "n.md", 2)
    assert faults == []
    assert front.values[name] == value
    assert front.lines[name] == len(YAML.splitlines()) + 2


@pytest.mark.parametrize(
    "text",
    [
        "yes",
        "signed",
        "''",
        "[unsigned]",
        "{}",
        "{by: A. Officer}",
        SIGNED.replace("A. Officer", "''"),
        SIGNED.replace("A. Officer", "7"),
        SIGNED.replace("2026-11-20", "'2026-11-20'"),
        SIGNED.replace("2026-11-20", "2026-11-20 10:00:00"),
        SIGNED.replace("revision: 3", "revision: 0"),
        SIGNED.replace("revision: 3", "revision: 1000"),
        SIGNED.replace("revision: 3", "revision: 4000000000"),
        SIGNED.replace("revision: 3", "revision: true"),
        SIGNED.replace("revision: 3", "revision: '3'"),
        SIGNED.replace("0123456789ab", "0123456789a"),
        SIGNED.replace("0123456789ab", "0123456789AB"),
        SIGNED.replace("'0123456789ab'", "123456789012"),
        SIGNED.replace("}", ", colour: red}"),
    ],
)
def test_fault_of_a_review(text: str) -> None:
    form = "'safety_review' must be 'unsigned', or by, on, revision and digest as 'corpus sign' writes them"
    assert faults_of(f"{YAML}safety_review: {text}\n") == [f"n.md:{len(YAML.splitlines()) + 2}: {form}"]


@pytest.mark.parametrize("text", ["fall", "[1]", "['']", "{fall: yes}"])
def test_fault_of_hazards(text: str) -> None:
    line = len(YAML.splitlines()) + 2
    assert faults_of(f"{YAML}hazards: {text}\n") == [f"n.md:{line}: 'hazards' must be a list of texts"]


def test_unknown_and_doubled_fields() -> None:
    lines = len(YAML.splitlines())
    assert faults_of(YAML + "colour: red\n") == [f"n.md:{lines + 2}: unknown field 'colour'"]
    assert faults_of(YAML + "minutes: 7\n") == [f"n.md:{lines + 2}: field 'minutes' stands twice"]


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("a: [\n", "n.md:3: front matter is not valid YAML"),
        ("a: b: c\n", "n.md:2: front matter is not valid YAML"),
        ("- a\n", "n.md:2: front matter is not a list of 'field: value' lines"),
        ("", "n.md:2: front matter is not a list of 'field: value' lines"),
        ("a: 1\nb: &x [1]\nc: *x\n", "n.md:3: front matter must not use YAML aliases"),
        ("a: !!python/object/apply:os.getcwd []\n", "n.md:2: front matter must not use YAML tags"),
        ("a: ! b\n", "n.md:2: front matter must not use YAML tags such as !"),
        ("a: !mine b\n", "n.md:2: front matter must not use YAML tags such as !mine"),
        ("reviewed: 2026-13-45\n", "n.md:2: front matter is not valid YAML"),
        ("[" * 500_000, "n.md:2: front matter is nested too deeply"),
        ("a: {" * 100, "n.md:2: front matter is nested too deeply"),
        ("- " * 5000, "n.md:2: front matter is nested too deeply"),
        ("a: b\n<<: {id: pad-x}\n", "n.md:3: front matter must not use the YAML merge key <<"),
        ("a: b\ntitle: !!int ''\n", "n.md:3: front matter must not use YAML tags such as !!int"),
        ("a: b\nminutes: 0b_\n", "n.md:3: front matter is not valid YAML"),
    ],
)
def test_what_is_no_front_matter(text: str, start: str) -> None:
    assert faults_of(text)[0].startswith(start)
