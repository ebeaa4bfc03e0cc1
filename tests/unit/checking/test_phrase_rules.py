"""The rules on phrases, questions and alarms: what they count, where they speak, and what they leave alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.answering.alarm import heard
from assistant.checking.check import check
from assistant.checking.registry import all_rules
from assistant.checking.waivers import Waiver
from tests.unit.checking.seeds import FRONT, NAME, book_of, note_text, phrases_text, write_frame

PHRASES = f"pad/{NAME}.phrases.yaml"
QUESTIONS = f"pad/{NAME}.questions.txt"
NOTE = f"pad/{NAME}.md"
LONG = " ".join(["word"] * 41)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A folder in which no rule finds anything."""
    folder = write_frame(tmp_path / "notes")
    (folder / NOTE).write_text(note_text(NAME), "utf-8")
    write_phrases(folder)
    return folder


def write_phrases(root: Path, *lines: str) -> None:
    (root / PHRASES).write_text(phrases_text(NAME, FRONT["title"], *lines), "utf-8")


def told(root: Path, code: str) -> list[tuple[str, int, str]]:
    rules = [rule for rule in all_rules() if rule.code == code]
    return [one.finding[:3] for one in check(book_of(root), rules)]


def test_the_folder_is_clean(root: Path) -> None:
    assert check(book_of(root), all_rules()) == []


def test_plain_lines_are_counted_once_and_told_at_their_key(root: Path) -> None:
    same, other = '- "pad lamp dark"\n', "".join(f"- pad lamp dark {n}\n" for n in range(13))
    (root / PHRASES).write_text(f"things: [pad]\nplain:\n{same}{same}{other}", "utf-8")
    assert told(root, "C708") == [(PHRASES, 2, "has 14 plain lines, 15 are the least")]
    (root / PHRASES).write_text(f"things: [pad]\nplain:\n{same}{other}- pad lamp out\n", "utf-8")
    assert told(root, "C708") == []


def test_a_note_without_phrases_is_told_at_the_note_and_for_nothing_else(root: Path) -> None:
    (root / PHRASES).unlink()
    [(path, line, message)] = told(root, "C708")
    assert (path, line) == (NOTE, 1)
    assert PHRASES in message
    assert told(root, "C710") == []


@pytest.mark.parametrize(("short", "found"), [(8, [3]), (9, [])])
def test_a_tenth_of_the_questions_may_be_long(root: Path, short: int, found: list[int]) -> None:
    few = [f"is lamp {n} dark" for n in range(short)]
    (root / QUESTIONS).write_text("\n".join(["# asked", few[0], f"[2] {LONG}", *few[1:]]), "utf-8")
    assert [line for _, line, _ in told(root, "C709")] == found


def test_forty_words_are_not_long(root: Path) -> None:
    (root / QUESTIONS).write_text(LONG.removesuffix(" word"), "utf-8")
    assert told(root, "C709") == []


def test_a_word_of_the_title_may_stand_in_any_own_line(root: Path) -> None:
    note = root / NOTE
    note.write_text(note.read_text("utf-8").replace("Pad lamp stays dark", "Pad lanterns stay dark"), "utf-8")
    assert [(path, line) for path, line, _ in told(root, "C710")] == [(NOTE, 3)]
    for part in ("things", "troubles"):
        write_phrases(root, f"{part}: [lantern]")
        assert told(root, "C710") == []
    write_phrases(root)
    (root / QUESTIONS).write_text("is the lantern off\n", "utf-8")
    assert told(root, "C710") == []


@pytest.mark.parametrize(("own", "others", "found"), [(1, 2, True), (2, 3, False), (0, 1, True), (0, 0, False)])
def test_a_word_of_the_id_is_taught_by_its_own_note(root: Path, own: int, others: int, found: bool) -> None:
    lines = [f"- pad lamp stays dark {n}" for n in range(15)]
    own_lines = [f"- seeds of lamp {n}" for n in range(own)]
    (root / PHRASES).write_text("\n".join(["plain:", *lines, *own_lines]), "utf-8")
    other = root / "pad/pad-other.phrases.yaml"
    with other.open("a", encoding="utf-8") as file:
        file.write("".join(f"- seed number {n}\n" for n in range(others)))
    assert [(path, line) for path, line, _ in told(root, "C710")] == [(NOTE, 2)] * found
    named = root / "pad/pad-other.md"
    named.write_text(named.read_text("utf-8").replace("title: Spare", "title: Spare of a seed"), "utf-8")
    assert [message for path, _, message in told(root, "C710") if path == NOTE] == []


@pytest.mark.parametrize(
    ("lines", "uncovered"),
    [
        (["- lamp of the pad"], "Lamp of the pad!"),
        (["things: [lamp]", "troubles: [is off, wont light]"], "Lamp won't light"),
        (["not_this:", "  spare is lost: pad-other"], "spare is lost"),
    ],
)
def test_what_leads_to_a_note_is_not_uncovered(root: Path, lines: list[str], uncovered: str) -> None:
    (root / "uncovered.txt").write_text(f"# not covered\nwhere is the bus stop\n{uncovered}\n", "utf-8")
    assert told(root, "C711") == []
    write_phrases(root, *lines)
    line = (root / PHRASES).read_text("utf-8").split("\n").index(lines[-1]) + 1
    assert told(root, "C711") == [("uncovered.txt", 3, f"is covered: the same text stands in {PHRASES}:{line}")]


@pytest.mark.parametrize("name", ["danger.txt", "ambiguous.txt"])
def test_danger_and_what_fits_several_are_covered(root: Path, name: str) -> None:
    (root / "uncovered.txt").write_text("lamp is hot\n", "utf-8")
    head = "pad-other" if name == "danger.txt" else f"pad-other {NAME}"
    (root / name).write_text(f"{head}: lamp is hot\n", "utf-8")
    assert told(root, "C711") == [("uncovered.txt", 1, f"is covered: the same text stands in {name}")]


def test_none_stands_beside_nothing_that_a_note_covers(root: Path) -> None:
    write_phrases(root, "not_this:", "  shelf is wet: none", "  Is the OTHER pad dead?: none")
    line = (root / PHRASES).read_text("utf-8").split("\n").index("  Is the OTHER pad dead?: none") + 1
    assert [(path, at) for path, at, _ in told(root, "C711")] == [(PHRASES, line)]


def test_an_alarm_in_a_pair_is_told_once_at_its_trouble(root: Path) -> None:
    write_phrases(root, "things: [lamp, pad lamp]", "troubles:", "- is off", "- is in smoke")
    line = (root / PHRASES).read_text("utf-8").split("\n").index("- is in smoke") + 1
    assert told(root, "C712") == [(PHRASES, line, "'smoke' puts pad-other first for \"lamp is in smoke\"")]


def test_an_alarm_may_ring_in_a_note_on_harm(root: Path) -> None:
    write_phrases(root, "- smoke from the lamp")
    assert len(told(root, "C712")) == 1
    (root / "danger.txt").write_text(f"{NAME}: the lamp smokes\n", "utf-8")
    assert told(root, "C712") == []


def test_an_alarm_is_lifted_only_where_the_phrase_holds_it(root: Path) -> None:
    write_phrases(root, "- smoke test and smoke", "- smoke test")
    assert [message for _, _, message in told(root, "C712")] == [
        "'smoke' puts pad-other first for \"smoke test and smoke\""
    ]


def test_a_plain_line_of_two_notes_is_told(root: Path) -> None:
    write_phrases(root, "- Is the other pad dead", "- lamp gone", "- Lamp gone?")
    line = (root / PHRASES).read_text("utf-8").split("\n").index("- Is the other pad dead") + 1
    assert told(root, "C701") == [(PHRASES, line, "the same question stands in pad/pad-other.questions.txt:1")]


def test_a_word_of_the_vocabulary_may_stand_in_phrases_alone(root: Path) -> None:
    (root / "vocabulary.yaml").write_text('"flugelhorn": {"bugle": 1.0}\n', "utf-8")
    assert len(told(root, "C703")) == 1
    write_phrases(root, "things: [flugelhorns]")
    assert told(root, "C703") == []


def test_a_waiver_by_the_id_covers_the_phrases() -> None:
    assert Waiver("C712", NAME, "r", "", 1).covers("C712", PHRASES, "any")
    assert not Waiver("C712", NAME, "r", "", 1).covers("C712", "pad/pad-other.phrases.yaml", "any")


def test_the_first_of_two_alarms_is_heard_with_its_phrase() -> None:
    alarms = [("wet plug", 4, 0), ("wet", 2, 0), ("wet paint", 2, 1)]
    assert heard([["a", "wet", "plug"]], alarms) == (4, "wet plug")
    assert heard([["a", "wet", "pad"]], alarms) == (2, "wet")
    assert heard([["wet", "paint"], ["dry"]], alarms) is None
    assert heard([["wet"], ["wet", "paint"]], alarms) == (2, "wet")
