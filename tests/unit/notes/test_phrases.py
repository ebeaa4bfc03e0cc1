"""Phrases beside a note: written, read back, and what is wrong in them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.errors import NotesError
from assistant.model import Note, Phrases
from assistant.notes.corpus import read_corpus
from assistant.notes.phrases import phrase_lines, phrases_path, phrases_text, read_phrases
from tests.making import NOTE_PATH, NOTE_TEXT

BESIDE = "pad/pad-demo.phrases.yaml"
LISTS = "must be the lists things, troubles, plain and the mapping not_this"
QUOTE = "must be a list of texts; quote words such as no and on"
COLON = "must be a list of texts; quote a text that holds a colon"
LED = "'not_this' must map lines to ids of notes, or to none"
characters = st.characters(exclude_categories=["Cc", "Cf", "Cs", "Co"], exclude_characters="\ufe0f")
texts = st.text(characters, min_size=1, max_size=30).map(str.strip).filter(bool)
lists = st.lists(texts, max_size=12, unique=True).map(tuple)
led = st.dictionaries(texts, st.sampled_from(["", "pad-other", "disc-gone"]), max_size=4).map(
    lambda d: tuple(d.items())
)
FULL = Phrases(
    ("stick cap", "thumb grip"),
    ("came off", "is torn"),
    ("stick cap broken", "bare stick"),
    (("stick drifts", "pad-other"), ("cap of the bottle", "")),
)


def written(root: Path, text: str) -> Path:
    """Write phrases beside the first note of a folder and return the path of the note."""
    (root / BESIDE).write_text(text, "utf-8")
    return root / NOTE_PATH


def faults_of(root: Path, text: str) -> list[str]:
    with pytest.raises(NotesError) as raised:
        read_phrases(written(root, text), root)
    return str(raised.value).split("\n")


def phrases_of(root: Path) -> Phrases:
    return next(note for note in read_corpus(root).notes if note.id == "pad-demo").phrases


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("notes")
    (root / "pad").mkdir()
    (root / NOTE_PATH).write_text(NOTE_TEXT, "utf-8")
    return root


@given(st.builds(Phrases, lists, lists, lists, led))
@example(Phrases())
@example(Phrases(("no", "on", "1", "~", "{}"), ("- a", "# b", "a: b"), ('say "hi"', "C:\\temp", "*a", "&a")))
@example(Phrases(("[" * 60,), ("{" * 60,), ("\\U0000005b", "caf\u00e9 \u2615", "a\u2028b", "\ufffe", "\U0001f600"), ()))
@example(Phrases(tuple(f"thing number {n}" for n in range(200)), ("x" * 500, "y" * 500), (), ()))
def test_what_is_written_is_read_back(folder: Path, phrases: Phrases) -> None:
    note = written(folder, phrases_text(phrases))
    assert read_phrases(note, folder) == phrases


def test_a_file_of_phrases_reads_well() -> None:
    assert phrases_text(FULL).splitlines() == [
        'things: ["stick cap", "thumb grip"]',
        'troubles: ["came off", "is torn"]',
        "plain:",
        '  - "stick cap broken"',
        '  - "bare stick"',
        "not_this:",
        '  "stick drifts": "pad-other"',
        '  "cap of the bottle": "none"',
    ]
    assert phrases_text(Phrases()).splitlines() == ["things: []", "troubles: []", "plain: []", "not_this: {}"]


def test_long_lists_are_wrapped_between_their_texts() -> None:
    things = tuple(f"thing number {n}" for n in range(40))
    rows = phrases_text(Phrases(things)).split("\ntroubles:")[0].splitlines()
    assert len(rows) > 2
    assert all(len(row) <= 120 and row == row.rstrip() for row in rows)
    assert all(row.endswith(('",', '"]')) for row in rows)
    assert sum(row.count('"thing number ') for row in rows) == 40


def test_every_pair_and_every_plain_line_asks_for_the_note(two_notes: Path) -> None:
    written(two_notes, phrases_text(FULL))
    assert phrases_of(two_notes) == FULL
    note: Note = next(note for note in read_corpus(two_notes).notes if note.id == "pad-demo")
    assert phrase_lines(note) == [
        "stick cap broken",
        "bare stick",
        "stick cap came off",
        "stick cap is torn",
        "thumb grip came off",
        "thumb grip is torn",
    ]


def test_a_note_without_phrases_and_an_empty_part_have_none(two_notes: Path) -> None:
    assert phrases_path(two_notes / NOTE_PATH) == two_notes / BESIDE
    assert read_phrases(two_notes / NOTE_PATH, two_notes) == Phrases()
    note = written(two_notes, "things:\nplain: [' a ', a, b]\nnot_this: {' x ': none}\n")
    assert read_phrases(note, two_notes) == Phrases(plain=("a", "b"), not_this=(("x", ""),))


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("things: [a]\ntroubles: b\n", 2, f"'troubles' {QUOTE}"),
        ("things: {a: b}\n", 1, f"'things' {QUOTE}"),
        ("things: [a]\n\nplain: [1]\n", 3, f"'plain' {QUOTE}"),
        ("plain: [a, '  ']\n", 1, f"'plain' {QUOTE}"),
        ("plain:\n  - a\n  -\n", 3, f"'plain' {QUOTE}"),
        ("plain:\n  - a\n  - no\n", 3, f"'plain' {QUOTE}"),
        ("things: [a]\nplain:\n  - a\n  - printer: nothing\n  - b\n", 4, f"'plain' {COLON}"),
        ("things: [a,\n  b: c]\n", 2, f"'things' {COLON}"),
        ("plain: [[a]]\n", 1, f"'plain' {QUOTE}"),
        ("plain: [a]\ntroubles: [wont turn, on]\n", 2, f"'troubles' {QUOTE}"),
        ("plain: [no]\n", 1, f"'plain' {QUOTE}"),
        ("plain: no\n", 1, f"'plain' {QUOTE}"),
        ("plain: 0\n", 1, f"'plain' {QUOTE}"),
        ("plain: ''\n", 1, f"'plain' {QUOTE}"),
        ("things: [a]\nnot_this: [b]\n", 2, LED),
        ("not_this: no\n", 1, LED),
        ("not_this: {on: pad-other}\n", 1, LED),
        ("not_this: {a: 1}\n", 1, LED),
        ("not_this: {a: }\n", 1, LED),
        ("not_this: {' ': none}\n", 1, LED),
        ("plain: [a]\ncolour: red\n", 2, f"'colour' is unknown: {LISTS}"),
        ("plain: [a]\non: red\n", 1, f"'True' is unknown: {LISTS}"),
        ("plain: [a]\nplain: [b]\n", 2, "'plain' stands twice"),
        ("plain: [a]\n<<: {plain: 3}\n", 2, "must not use the YAML merge key <<"),
        ("- a\n", 1, LISTS),
        ("", 1, LISTS),
        ("things: [a]\nplain: &a [a]\nnot_this: *a\n", 2, "must not use YAML aliases"),
        ("plain: " + "[" * 50_000, 1, "is nested too deeply"),
        ('plain: [a]\nthings: ["\\e[31mred"]\n', 2, "holds a control character (U+001B)"),
        ('plain:\n  - a\n  - "a\\u202eb"\n', 3, "holds a control character (U+202E)"),
        ("things: [a]\nplain: !!seq [a]\n", 2, "must not use YAML tags such as !!seq"),
        ("- " * 5000, 1, "is nested too deeply"),
        ("plain: [a\x07]\n", 1, "holds a control character (U+0007)"),
    ],
)
def test_a_fault_is_told_with_its_file_and_line(two_notes: Path, text: str, line: int, message: str) -> None:
    assert faults_of(two_notes, text) == [f"{BESIDE}:{line}: {message}"]


@pytest.mark.parametrize(
    ("text", "line"),
    [("plain:\n  - a\n  - b: [\n", 4), ("things: [a]\n\tplain: [b]\n", 2), ("plain: [a]\n? [b]\n: c\n", 2)],
)
def test_what_is_no_yaml_is_told_with_its_line(two_notes: Path, text: str, line: int) -> None:
    (fault,) = faults_of(two_notes, text)
    assert fault.startswith(f"{BESIDE}:{line}: is not valid YAML: ")


def test_all_faults_of_a_file_come_at_once(two_notes: Path) -> None:
    text = "colour: red\nthings: a\ntroubles: [1]\nplain: [b]\nnot_this: c\n"
    assert [fault.split(": ")[0] for fault in faults_of(two_notes, text)] == [f"{BESIDE}:{n}" for n in (1, 2, 3, 5)]


def test_each_item_at_fault_has_its_line(two_notes: Path) -> None:
    text = "plain:\n  - no\n  - lamp is dark\n  - printer: nothing\n"
    assert faults_of(two_notes, text) == [f"{BESIDE}:2: 'plain' {QUOTE}", f"{BESIDE}:4: 'plain' {COLON}"]


def test_phrases_that_lead_to_no_note_or_stand_alone_are_faults_of_the_folder(two_notes: Path) -> None:
    written(two_notes, "plain: [a]\nnot_this:\n  b: pad-other\n  c: pad-others\n  d: none\n")
    (two_notes / "pad/pad-gone.phrases.yaml").write_text("plain: [a]\n", "utf-8")
    with pytest.raises(NotesError) as raised:
        read_corpus(two_notes)
    assert str(raised.value).split("\n") == [
        f"{BESIDE}:4: 'c' names the note 'pad-others', which does not exist",
        "pad/pad-gone.phrases.yaml:1: phrases without their note",
    ]


def test_phrases_that_lead_to_a_broken_note_are_no_second_fault(two_notes: Path) -> None:
    written(two_notes, "not_this: {b: pad-other}\n")
    (two_notes / "pad/pad-other.md").write_text("broken", "utf-8")
    with pytest.raises(NotesError) as raised:
        read_corpus(two_notes)
    assert [fault.path for fault in raised.value.faults] == ["pad/pad-other.md"]


def test_links_of_the_file_system_and_files_too_big_are_refused(two_notes: Path) -> None:
    (two_notes / BESIDE).symlink_to(two_notes / "gone")
    with pytest.raises(NotesError, match=r"pad-demo\.phrases\.yaml:1: cannot be read: No such file"):
        read_phrases(two_notes / NOTE_PATH, two_notes)
    (two_notes / BESIDE).unlink()
    assert faults_of(two_notes, "# " + "a" * 512 * 1024)[0].startswith(f"{BESIDE}:1: file has ")
