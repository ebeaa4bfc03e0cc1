"""A group of questions into the notes, and what must not break on the way."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from assistant.checking.book import read_book
from assistant.checking.check import check, narrowed
from assistant.checking.registry import all_rules
from assistant.desk.skeleton import draft_of, new_note, note_text
from assistant.desk.taking import add_examples, add_vocabulary
from assistant.errors import NotesError, UsageError
from assistant.model import ACTIONS, Note
from assistant.notes.corpus import read_corpus
from assistant.notes.writing import write_whole

DAY = date(2026, 3, 2)


def note_of(root: Path, id: str) -> Note:
    return next(note for note in read_corpus(root).notes if note.id == id)


def test_questions_become_examples_once(two_notes: Path) -> None:
    note = note_of(two_notes, "pad-demo")
    assert (
        add_examples(two_notes, note, ["pad lamp is off", "lamp is dark", "# no \x1b[31mcomment", "[1] first step"])
        == 3
    )
    asked = [example.question for example in note_of(two_notes, "pad-demo").examples]
    assert asked == ["lamp is dark", "pad is dead", "pad lamp is off", "no [31mcomment", "1] first step"]
    assert add_examples(two_notes, note, ["pad lamp is off"]) == 0


@pytest.mark.parametrize(
    ("form", "word", "kept"),
    [("Thumb Lever", "pad", ("pad", 40)), ("flex", "lead", ("lead", 40)), ("telly", "display", ("display", 40))],
)
def test_a_form_joins_the_vocabulary(two_notes: Path, form: str, word: str, kept: tuple[str, int]) -> None:
    before = read_corpus(two_notes).vocabulary.forms
    add_vocabulary(two_notes, form, word, 0.4)
    after = read_corpus(two_notes).vocabulary.forms
    assert dict(after) == {**before, form.lower(): (kept,)}
    with pytest.raises(UsageError, match="already"):
        add_vocabulary(two_notes, form, word, 0.4)


@pytest.mark.parametrize(("form", "weight"), [("", 0.5), ("flex", 0), ("flex", 1.1), ("flex", float("nan"))])
def test_a_bad_form_is_refused(two_notes: Path, form: str, weight: float) -> None:
    before = (two_notes / "vocabulary.yaml").read_text("utf-8")
    with pytest.raises(UsageError):
        add_vocabulary(two_notes, form, "pad", weight)
    assert (two_notes / "vocabulary.yaml").read_text("utf-8") == before


def test_quotes_and_braces_in_a_form_stay_text(two_notes: Path) -> None:
    add_vocabulary(two_notes, 'a "quoted": {form}', "pad", 0.5)
    assert 'a "quoted": {form}' in read_corpus(two_notes).vocabulary.forms


GIVEN = {
    "id": "card-reader-dead",
    "title": "Card reader takes no card",
    "station": "pad, screen",
    "action": "replace",
    "minutes": "7",
}


@pytest.mark.parametrize("action", ACTIONS)
def test_a_new_note_is_whole_as_it_stands(two_notes: Path, action: str) -> None:
    path = new_note(two_notes, draft_of({**GIVEN, "action": action}), DAY, ["card reader is dead"])
    assert path == two_notes / "card/card-reader-dead.md"
    note = note_of(two_notes, "card-reader-dead")
    assert (note.title, note.station, note.action, note.minutes) == (
        "Card reader takes no card",
        ("pad", "screen"),
        action,
        7,
    )
    assert [example.question for example in note.examples] == ["card reader is dead"]


def test_the_check_finds_all_that_is_still_to_be_written_and_nothing_else(two_notes: Path) -> None:
    new_note(two_notes, draft_of(GIVEN), DAY)
    rules = [rule for rule in all_rules() if not rule.across]
    found = check(narrowed(read_book(two_notes, DAY), note_of(two_notes, "card-reader-dead")), rules)
    assert {one.rule.code for one in found} == {"C109"}
    marked = [line for line in note_text(draft_of(GIVEN), DAY).split("\n") if "(to write)" in line]
    assert len(found) == len(marked) == 9


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": "Card"},
        {"id": "../card-x"},
        {"id": "card"},
        {"action": "mend"},
        {"station": ""},
        {"station": "kiosk"},
        {"minutes": "0"},
        {"minutes": "91"},
        {"minutes": "\u0667"},
        {"minutes": "1" * 5000},
        {"title": ""},
        {"title": "a: [b"},
        {"title": "one two three four five six seven eight nine ten"},
        {"id": "pad-demo"},
    ],
)
def test_a_note_that_would_not_be_valid_is_not_written(two_notes: Path, wrong: dict[str, str]) -> None:
    before = sorted(two_notes.rglob("*"))
    with pytest.raises(UsageError):
        new_note(two_notes, draft_of({**GIVEN, **wrong}), DAY)
    assert sorted(two_notes.rglob("*")) == before


@pytest.mark.parametrize("field", GIVEN)
def test_what_is_missing_is_named(field: str) -> None:
    with pytest.raises(UsageError, match=field):
        draft_of({name: text for name, text in GIVEN.items() if name != field})


def test_a_file_that_cannot_be_written_stays(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="cannot be written"):
        write_whole(tmp_path / "no" / "file.txt", "text")
    assert list(tmp_path.iterdir()) == []
