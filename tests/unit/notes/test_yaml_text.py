"""A mapping of YAML that nobody has vouched for."""

from __future__ import annotations

import pytest

from assistant.errors import NotesError
from assistant.notes.yaml_text import are_texts, entry_lines, read_mapping

FORM = "must be a mapping"


def faults_of(text: str, *, once: bool = False) -> list[str]:
    with pytest.raises(NotesError) as raised:
        read_mapping(text, "n.yaml", FORM, once=once)
    return str(raised.value).split("\n")


def test_a_mapping_comes_with_the_lines_of_its_keys() -> None:
    assert read_mapping("# head\na: 1\n\nb:\n  c: [2]\n", "n.yaml", FORM) == (
        {"a": 1, "b": {"c": [2]}},
        {"a": 2, "b": 4},
    )


def test_of_two_keys_the_last_is_read_unless_that_is_a_fault() -> None:
    text = "a: 1\nb: {c: 1, c: 2}\na: 2\n"
    assert read_mapping(text, "n.yaml", FORM)[0] == {"a": 2, "b": {"c": 2}}
    assert faults_of(text, once=True) == ["n.yaml:3: 'a' stands twice"]


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("a", f"n.yaml:1: {FORM}"),
        ("a: 1\n---\nb: 2\n", "n.yaml:2: is not valid YAML: "),
        ("a: 1\nb: !!python/name:os.getcwd\n", "n.yaml:2: must not use YAML tags"),
        ("a: 2026-13-45\n", "n.yaml:1: is not valid YAML: "),
        ("a: [b,\n 0x_]\n", "n.yaml:2: is not valid YAML: "),
        ("a: b\nc: " + "9" * 5000 + "\n", "n.yaml:2: is not valid YAML: "),
        ("a: 0001-01-01 00:00:00 +23:59\nb: =\n", "n.yaml:2: is not valid YAML: "),
        ("a: 1\nb: !!int ''\n", "n.yaml:2: must not use YAML tags such as !!int"),
        ("a: !<x> maybe\n", "n.yaml:1: must not use YAML tags such as x"),
        ("!!map\na: b\n", "n.yaml:1: must not use YAML tags such as !!map"),
        ("? [a]\n: b\n", "n.yaml:1: is not valid YAML: "),
        ("a: 1\nb: c: d\n", "n.yaml:2: is not valid YAML: "),
    ],
)
def test_what_cannot_be_read_safely_is_told_with_its_line(text: str, start: str) -> None:
    (fault,) = faults_of(text)
    assert fault.startswith(start)


def test_characters_that_an_escape_lets_in_are_told_with_their_lines() -> None:
    assert faults_of('a: "\\x07"\n"b\\e": [c, "d\\n\\x9b"]\n') == [
        "n.yaml:1: holds a control character (U+0007)",
        "n.yaml:2: holds a control character (U+001B)",
        "n.yaml:2: holds a control character (U+009B)",
    ]
    assert read_mapping('a: "b\\nc\\td"\n', "n.yaml", FORM)[0] == {"a": "b\nc\td"}


@pytest.mark.parametrize(
    ("key", "lines"),
    [("a", {0: 2, 1: 3, 2: 3}), ("b", {"c": 4, True: 5, 7: 5}), ("d", {}), ("e", {}), ("f", {0: 8})],
)
def test_entries_come_with_their_lines(key: str, lines: dict[object, int]) -> None:
    text = "a:\n  [1,\n  {x: y}, 2]\nb: {c: 1,\n  on: 2, 7: 3}\nd: text\nf:\n  -\n"
    assert entry_lines(text, key) == lines


@pytest.mark.parametrize(
    ("value", "are"),
    [
        ([], True),
        (["a"], True),
        (["a", " "], False),
        (["a", True], False),
        ("a", False),
        (("a",), False),
        (None, False),
    ],
)
def test_lists_of_texts(value: object, are: bool) -> None:
    assert are_texts(value) is are
