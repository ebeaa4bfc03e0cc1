"""A group of questions into the notes, and what must not break on the way."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from assistant.checking.book import read_book
from assistant.checking.check import check, narrowed
from assistant.checking.registry import all_rules
from assistant.desk.beginning import begin_trade
from assistant.desk.skeleton import (
    FIELDS,
    draft_of,
    new_note,
    note_text,
    question_of,
    stand_in,
    take_answer,
)
from assistant.desk.taking import Taken, add_questions, add_uncovered, add_vocabulary, near_uncovered, take_over
from assistant.errors import NotesError, UsageError
from assistant.model import Note, Phrases, Trade
from assistant.notes.corpus import read_corpus
from assistant.notes.phrases import phrases_text
from assistant.notes.trade import read_trade
from assistant.notes.writing import write_whole
from assistant.pack.reader import Pack
from tests.making import ACTIONS, NOTE_PATH, TRADE

DAY = date(2026, 3, 2)
BESIDE = "pad/pad-demo.phrases.yaml"
LONG = "the lamp of the pad went dark today"


def note_of(root: Path, id: str) -> Note:
    return next(note for note in read_corpus(root).notes if note.id == id)


def test_short_questions_become_plain_lines_and_longer_ones_examples_once(two_notes: Path) -> None:
    six, seven = "one two three four five six", "one two three four five six seven"
    asked = [six, "Pad lamp off", "pad lamp off", "# no \x1b[31mcomment", "", "#", LONG, seven, f"[1] {LONG} again"]
    assert add_questions(two_notes, two_notes / NOTE_PATH, asked) == (3, 3)
    note = note_of(two_notes, "pad-demo")
    assert note.phrases == Phrases(plain=(six, "Pad lamp off", "no [31mcomment"))
    examples = [example.question for example in note.examples]
    assert examples == ["lamp is dark", "pad is dead", LONG, seven, f"1] {LONG} again"]
    before = (two_notes / BESIDE).stat()
    assert add_questions(two_notes, two_notes / NOTE_PATH, [six.upper(), "pad lamp off", LONG]) == (0, 0)
    assert (two_notes / BESIDE).stat() == before


def test_the_other_phrases_and_the_lines_at_the_head_stay(two_notes: Path) -> None:
    before = Phrases(("lamp", "light"), ("is out",), ("lamp is out",), (("stick drifts", "pad-other"), ("tip jar", "")))
    head = "# what people call it\n# and say of it\n"
    (two_notes / BESIDE).write_text(head + phrases_text(before), "utf-8")
    assert str(add_questions(two_notes, two_notes / NOTE_PATH, ["no light", LONG])) == (
        "1 new plain lines, 1 new example questions"
    )
    after = before._replace(plain=("lamp is out", "no light"))
    assert note_of(two_notes, "pad-demo").phrases == after
    assert (two_notes / BESIDE).read_text("utf-8") == head + phrases_text(after)


def test_characters_that_notes_refuse_are_left_out(two_notes: Path) -> None:
    assert add_questions(
        two_notes, two_notes / NOTE_PATH, ["lamp \u2600\ufe0f is \u202eout", f"\u2600\ufe0f {LONG}"]
    ) == (1, 1)
    note = note_of(two_notes, "pad-demo")
    assert note.phrases.plain == ("lamp \u2600 is out",)
    assert note.examples[-1].question == f"\u2600 {LONG}"


def test_phrases_that_cannot_be_read_afterwards_are_put_back(two_notes: Path) -> None:
    full = f"\ufeff# full\r\nplain: [a]\r\n#{'b' * (64 * 1024 - 60)}\n".encode()
    (two_notes / BESIDE).write_bytes(full)
    with pytest.raises(NotesError, match=r"pad-demo\.phrases\.yaml:1: file has \d+ bytes"):
        add_questions(two_notes, two_notes / NOTE_PATH, ["c" * 64 * 1024])
    assert (two_notes / BESIDE).read_bytes() == full
    (two_notes / BESIDE).unlink()
    with pytest.raises(NotesError, match="file has"):
        add_questions(two_notes, two_notes / NOTE_PATH, ["c" * 64 * 1024, LONG])
    assert sorted(path.name for path in (two_notes / "pad").iterdir()) == [
        "pad-demo.md",
        "pad-demo.questions.txt",
        "pad-other.md",
    ]
    assert LONG not in (two_notes / "pad/pad-demo.questions.txt").read_text("utf-8")


def test_phrases_that_cannot_be_read_before_stay(two_notes: Path) -> None:
    (two_notes / BESIDE).write_text("plain: no\n", "utf-8")
    with pytest.raises(NotesError, match=r"pad-demo\.phrases\.yaml:1: 'plain' must be"):
        add_questions(two_notes, two_notes / NOTE_PATH, ["no light", LONG])
    assert (two_notes / BESIDE).read_text("utf-8") == "plain: no\n"
    assert LONG not in (two_notes / "pad/pad-demo.questions.txt").read_text("utf-8")


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


def test_a_vocabulary_that_would_not_be_valid_is_put_back(two_notes: Path) -> None:
    path = two_notes / "vocabulary.yaml"
    for text in ('"lead": {"cord": 0.8}\n"stick": {\n  "lever": 1.0}\n...\n', None):
        if text is None:
            path.unlink()
            (two_notes / "uncovered.txt").write_bytes(b"a\x07\n")
        else:
            path.write_text(text, "utf-8")
        with pytest.raises(NotesError):
            add_vocabulary(two_notes, "gamepad", "pad", 0.5)
        assert (path.read_text("utf-8") if path.exists() else None) == text


def test_quotes_and_braces_in_a_form_stay_text(two_notes: Path) -> None:
    add_vocabulary(two_notes, 'a "quoted": {form}', "pad", 0.5)
    assert 'a "quoted": {form}' in read_corpus(two_notes).vocabulary.forms


def test_questions_become_uncovered_once_and_what_is_refused_is_put_back(two_notes: Path) -> None:
    path = two_notes / "uncovered.txt"
    path.write_text("# far ones\nwhere is the bus", "utf-8")
    assert add_uncovered(two_notes, ["# till jams", "where is the bus", "till jams", "\x1b", LONG]) == 2
    assert path.read_text("utf-8") == f"# far ones\nwhere is the bus\ntill jams\n{LONG}\n"
    assert read_corpus(two_notes).uncovered == ("where is the bus", "till jams", LONG)
    before = path.read_bytes()
    with pytest.raises(NotesError, match="bytes"):
        add_uncovered(two_notes, ["c" * 1024 * 1024])
    assert path.read_bytes() == before


def test_near_lines_of_what_is_uncovered_are_found_and_taken_over(two_notes: Path, mini_pack: Pack) -> None:
    path = two_notes / "uncovered.txt"
    assert near_uncovered(two_notes, ["printer jams"], mini_pack) == []
    near = ["score printer jams", "the score printer is out of paper and jams"]
    path.write_text(f"# far\nwhere is the bus\n {near[1]} \n{near[0]}\nwages late\n", "utf-8")
    asked = ["score printer jams again", "printer jams"]
    assert near_uncovered(two_notes, asked, mini_pack) == near
    assert near_uncovered(two_notes, [], mini_pack) == []
    assert take_over(two_notes, two_notes / NOTE_PATH, near) == Taken(1, 1)
    assert path.read_text("utf-8") == "# far\nwhere is the bus\nwages late\n"
    note = note_of(two_notes, "pad-demo")
    assert note.phrases.plain == (near[0],)
    assert note.examples[-1].question == near[1]


def test_what_cannot_be_taken_over_stays_uncovered(two_notes: Path) -> None:
    path = two_notes / "uncovered.txt"
    path.write_text("score printer jams\n", "utf-8")
    (two_notes / BESIDE).write_text(f"#{'b' * (64 * 1024 - 20)}\nplain: [a]\n", "utf-8")
    with pytest.raises(NotesError):
        take_over(two_notes, two_notes / NOTE_PATH, ["score printer jams"])
    assert path.read_text("utf-8") == "score printer jams\n"


GIVEN = {
    "id": "card-reader-dead",
    "title": "Card reader takes no card",
    "station": "pad, screen",
    "action": "replace",
    "minutes": "7",
}


@pytest.mark.parametrize("action", ACTIONS)
def test_a_new_note_is_whole_as_it_stands(two_notes: Path, action: str) -> None:
    path = new_note(two_notes, draft_of({**GIVEN, "action": action}, TRADE), DAY, ["card reader is dead"])
    assert path == two_notes / "card/card-reader-dead.md"
    note = note_of(two_notes, "card-reader-dead")
    assert (note.title, note.station, note.action, note.minutes) == (
        "Card reader takes no card",
        ("pad", "screen"),
        action,
        7,
    )
    assert [example.question for example in note.examples] == ["card reader is dead"]
    assert note.phrases == Phrases(plain=("card reader takes no card",))


def test_a_new_note_begins_with_the_things_and_troubles_that_are_named(two_notes: Path) -> None:
    named = {"things": "card reader, , slot\ufe0f,card reader", "troubles": " is dead ,no , [x]"}
    path = new_note(two_notes, draft_of({**GIVEN, **named}, TRADE), DAY)
    phrases = Phrases(("card reader", "slot"), ("is dead", "no", "x]"), ("card reader takes no card",))
    assert note_of(two_notes, "card-reader-dead").phrases == phrases
    taken = add_questions(two_notes, path, ["reader lamp red", "the reader will not take any card at all"])
    assert taken == Taken(1, 1)
    plain = (*phrases.plain, "reader lamp red")
    assert note_of(two_notes, "card-reader-dead").phrases == phrases._replace(plain=plain)


@pytest.mark.parametrize("ending", ["md", "questions.txt", "phrases.yaml"])
def test_a_new_note_overwrites_no_file(two_notes: Path, ending: str) -> None:
    (two_notes / "card").mkdir()
    (two_notes / f"card/card-reader-dead.{ending}").write_text("mine", "utf-8")
    with pytest.raises(UsageError, match=rf"card-reader-dead\.{ending}: is there already"):
        new_note(two_notes, draft_of(GIVEN, TRADE), DAY)
    assert [path.read_text("utf-8") for path in (two_notes / "card").iterdir()] == ["mine"]


def test_the_check_finds_all_that_is_still_to_be_written_and_nothing_else(two_notes: Path) -> None:
    new_note(two_notes, draft_of(GIVEN, TRADE), DAY)
    rules = [rule for rule in all_rules() if not rule.across]
    found = check(narrowed(read_book(two_notes, DAY), note_of(two_notes, "card-reader-dead")), rules)
    few, left = sorted(found, key=lambda one: one.rule.code == "C109")
    assert few.rule.name == "plain-lines"
    assert (few.finding.path, few.finding.line) == ("card/card-reader-dead.phrases.yaml", 4)
    marked = [line for line in note_text(draft_of(GIVEN, TRADE), DAY).split("\n") if "(to write)" in line]
    assert len(marked) == 9
    assert left.finding.message.count(",") >= len(marked) - 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": "Card"},
        {"id": "../card-x"},
        {"id": "card"},
        {"id": "kiosk-reader"},
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
        new_note(two_notes, draft_of({**GIVEN, **wrong}, TRADE), DAY)
    assert sorted(two_notes.rglob("*")) == before


@pytest.mark.parametrize("field", GIVEN)
def test_what_is_missing_is_named(field: str) -> None:
    with pytest.raises(UsageError, match=field):
        draft_of({name: text for name, text in GIVEN.items() if name != field}, TRADE)


def test_in_an_empty_folder_a_trade_is_begun_and_a_note_fits_it(tmp_path: Path) -> None:
    assert begin_trade(tmp_path)
    trade = read_trade(tmp_path)
    assert "all" in trade.stations
    assert "withdraw" in trade.actions
    path = new_note(tmp_path, draft_of({**stand_in(trade), "title": "Lamp stays dark"}, trade), DAY)
    assert [note.path for note in read_corpus(tmp_path).notes] == [path.relative_to(tmp_path).as_posix()]
    (tmp_path / "trade.yaml").write_text("mine", "utf-8")
    assert not begin_trade(tmp_path)
    assert (tmp_path / "trade.yaml").read_text("utf-8") == "mine"


@pytest.mark.parametrize("field", FIELDS)
def test_what_is_asked_names_what_the_trade_has_and_takes_the_answer(field: str) -> None:
    trade = Trade(stations={"oven": "oven"}, areas={"door": "door"}, actions={"mend": "Mend"})
    named = {"id": "(door)", "station": "(oven)", "action": "(mend)"}
    assert question_of(field, trade).endswith(named.get(field, ""))
    take_answer(field, stand_in(trade).get(field, ""), trade)
    if field in named:
        with pytest.raises(UsageError):
            take_answer(field, stand_in(TRADE)[field], trade)


def test_a_file_that_cannot_be_written_stays(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="cannot be written"):
        write_whole(tmp_path / "no" / "file.txt", "text")
    assert list(tmp_path.iterdir()) == []
