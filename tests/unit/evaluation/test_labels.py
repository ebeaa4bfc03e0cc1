"""Labelled questions and talks: what is read, and what is refused at which line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError
from assistant.evaluation.labels import ANSWERABLE, MANNERS, TalkTurn, read_questions, read_talks
from tests.unit.evaluation.making import labelled, write_lines

GOOD: dict[str, Any] = {
    "id": "q1",
    "question": "display is black",
    "manner": "plain",
    "notes": ["screen-no-signal"],
    "split": "tune",
    "writer": "A",
}
UNCOVERED: dict[str, Any] = {**GOOD, "id": "q2", "manner": "uncovered", "notes": [], "kind": "near"}
EMPTY = "'notes' must be empty for uncovered questions, may be for look-alikes, and for no others"
TURN = {"question": "and then", "notes": ["a"], "about": "next_step"}
TALK: dict[str, Any] = {"id": "d1", "split": "tune", "turns": [TURN]}


def test_everything_of_a_record_is_read(tmp_path: Path) -> None:
    full = {**GOOD, "danger": "safety-swollen-cell", "steps": {"b": [3], "a": [2, 1]}, "notes": ["a", "b"]}
    first, second = read_questions(write_lines(tmp_path / "q.jsonl", full, "", UNCOVERED))
    assert (first.id, first.question, first.manner, first.split) == ("q1", "display is black", "plain", "tune")
    assert (first.notes, first.writer, first.danger) == (("a", "b"), "A", ("safety-swollen-cell",))
    assert first.steps == (("a", (2, 1)), ("b", (3,)))
    assert (second.kind, second.danger, second.steps, second.notes) == ("near", (), (), ())


@pytest.mark.parametrize("manner", MANNERS)
def test_every_manner_is_read(tmp_path: Path, manner: str) -> None:
    record = {**UNCOVERED, "manner": manner, "notes": [] if manner == "uncovered" else ["a"]}
    (question,) = read_questions(write_lines(tmp_path / "q.jsonl", record))
    assert question.manner == manner


def test_a_look_alike_may_have_a_note_or_none(tmp_path: Path) -> None:
    records = ({**GOOD, "id": f"q{n}", "manner": "look-alike", "notes": notes} for n, notes in enumerate(([], ["a"])))
    found = read_questions(write_lines(tmp_path / "q.jsonl", *records))
    assert [question.notes for question in found] == [(), ("a",)]


def test_only_what_has_one_right_answer_counts_as_answerable() -> None:
    assert set(MANNERS) - set(ANSWERABLE) == {"ambiguous", "forbidden", "uncovered", "cry", "look-alike"}


@pytest.mark.parametrize("since", ["2026-11-02", "0123456789ab", "2026-11-02 0123456789ab", ""])
def test_a_label_may_tell_since_when_it_holds(tmp_path: Path, since: str) -> None:
    was = [{"notes": [], "manner": "uncovered", "seen": ["a"]}, {"notes": ["b"], "seen": ["b", "a"]}]
    (question,) = read_questions(write_lines(tmp_path / "q.jsonl", {**GOOD, "since": since, "was": was}))
    assert (question.since, question.seen) == (since, ("a", "b"))
    (talk,) = read_talks(write_lines(tmp_path / "d.jsonl", {**TALK, "since": since}))
    assert talk.since == since
    (older,) = read_questions(write_lines(tmp_path / "q.jsonl", GOOD))
    assert (older.since, older.seen) == ("", ())


@pytest.mark.parametrize(
    "since", [20261102, "2026-11", "yesterday", "0123456789AB", "0123456789ab 2026-11-02", None, []]
)
def test_any_other_day_is_refused(tmp_path: Path, since: object) -> None:
    for read, record in ((read_questions, GOOD), (read_talks, TALK)):
        with pytest.raises(NotesError, match=r"l:1: 'since' must be a day"):
            read(write_lines(tmp_path / "x.jsonl", {**record, "since": since}))


@pytest.mark.parametrize("was", [{}, "a", ["a"], [{"notes": []}], [{"seen": []}], [{"notes": [1], "seen": []}], None])
def test_a_history_of_another_form_is_refused(tmp_path: Path, was: object) -> None:
    with pytest.raises(NotesError, match="'was' must be a list of earlier labels"):
        read_questions(write_lines(tmp_path / "q.jsonl", {**GOOD, "was": was}))


def test_an_absent_danger_may_be_null(tmp_path: Path) -> None:
    (question,) = read_questions(write_lines(tmp_path / "q.jsonl", {**GOOD, "danger": None}))
    assert question.danger == ()


def test_a_danger_may_be_one_of_several_safety_notes(tmp_path: Path) -> None:
    (question,) = read_questions(write_lines(tmp_path / "q.jsonl", {**GOOD, "danger": ["safety-a", "safety-b"]}))
    assert question.right_first == ("safety-a", "safety-b")
    assert question.relevant == (*question.notes, "safety-a", "safety-b")


def test_a_danger_that_is_no_id_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="'danger' must be an id or a list of ids"):
        read_questions(write_lines(tmp_path / "q.jsonl", {**GOOD, "danger": [1]}))


def test_the_safety_note_alone_is_right_where_there_is_danger() -> None:
    assert labelled("q1", notes=("a", "b")).right_first == ("a", "b")
    assert labelled("q1", notes=("a", "b"), danger="safety-c").right_first == ("safety-c",)


@pytest.mark.parametrize(
    ("record", "message"),
    [
        ("{not json", "not a JSON object"),
        ("[1, 2]", "not a JSON object"),
        ({**GOOD, "id": 7}, "'id' must be text that no other record has"),
        ({**GOOD, "id": "q0"}, "'id' must be text that no other record has"),
        ({**GOOD, "question": "  "}, "'question' must be text"),
        ({**GOOD, "question": None}, "'question' must be text"),
        ({**GOOD, "manner": "loud"}, f"'manner' must be one of {', '.join(MANNERS)}"),
        ({**GOOD, "split": "test"}, "'split' must be one of tune, sealed"),
        ({**GOOD, "notes": "screen-no-signal"}, "'notes' must be a list of ids"),
        ({**GOOD, "notes": [1]}, "'notes' must be a list of ids"),
        ({**GOOD, "notes": []}, EMPTY),
        ({**GOOD, "manner": "cry", "notes": []}, EMPTY),
        ({**UNCOVERED, "notes": ["a"]}, EMPTY),
        ({**UNCOVERED, "kind": "far"}, "'kind' of an uncovered question must be one of near, off, junk"),
        ({**GOOD, "steps": [1, 2]}, "'steps' must map ids to lists of step numbers"),
        ({**GOOD, "steps": {"a": 2}}, "'steps' must map ids to lists of step numbers"),
        ({**GOOD, "steps": {"a": ["2"]}}, "'steps' must map ids to lists of step numbers"),
    ],
)
def test_each_fault_is_told_with_its_line(tmp_path: Path, record: object, message: str) -> None:
    path = write_lines(tmp_path / "q.jsonl", {**GOOD, "id": "q0"}, "", record, {**GOOD, "id": "q9"})
    with pytest.raises(NotesError) as caught:
        read_questions(path)
    assert [tuple(fault) for fault in caught.value.faults] == [(str(path), 3, message)]


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    path = write_lines(tmp_path / "q.jsonl", {**GOOD, "split": ""}, GOOD, "nonsense", {**UNCOVERED, "kind": ""})
    with pytest.raises(NotesError) as caught:
        read_questions(path)
    assert [fault.line for fault in caught.value.faults] == [1, 3, 4]


@pytest.mark.parametrize("read", [read_questions, read_talks])
def test_a_file_that_is_missing_or_no_text_is_refused(tmp_path: Path, read: Any) -> None:
    binary = tmp_path / "binary.jsonl"
    binary.write_bytes(b"\xff\xfe\x00")
    for path in (tmp_path / "none.jsonl", binary):
        with pytest.raises(NotesError) as caught:
            read(path)
        (fault,) = caught.value.faults
        assert (fault.path, fault.line) == (str(path), 1)
        assert fault.message.startswith("cannot be read: ")


def test_talks_are_read(tmp_path: Path) -> None:
    (talk,) = read_talks(write_lines(tmp_path / "d.jsonl", TALK))
    assert (talk.id, talk.split) == ("d1", "tune")
    assert talk.turns == (TalkTurn("and then", ("a",), "next_step"),)


@pytest.mark.parametrize(
    "record",
    [
        {**TALK, "id": None},
        {**TALK, "split": "other"},
        {**TALK, "turns": TURN},
        {**TALK, "turns": ["and then"]},
        {**TALK, "turns": [{**TURN, "question": 3}]},
        {**TALK, "turns": [{**TURN, "notes": "a"}]},
        {**TALK, "turns": [TURN, {**TURN, "about": "weather"}]},
    ],
)
def test_a_broken_talk_is_told_with_its_line(tmp_path: Path, record: object) -> None:
    path = write_lines(tmp_path / "d.jsonl", TALK, record)
    with pytest.raises(NotesError) as caught:
        read_talks(path)
    assert [(fault.line, fault.message) for fault in caught.value.faults] == [
        (2, "needs 'id', 'split' and 'turns' of question, notes and about")
    ]


@pytest.mark.parametrize("steps", [[True], [0], [-1], [1000], [10**300], [1.0], ["1"]])
def test_numbers_of_steps_are_small_whole_numbers(tmp_path: Path, steps: list[object]) -> None:
    path = write_lines(tmp_path / "q.jsonl", {**GOOD, "steps": {"a": steps}})
    with pytest.raises(NotesError, match=r"q\.jsonl:1: 'steps' must map ids to lists of step numbers"):
        read_questions(path)


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x85", "\x0c", "\x1c"])
def test_lines_end_where_a_line_feed_stands_and_nowhere_else(tmp_path: Path, sign: str) -> None:
    path = tmp_path / "q.jsonl"
    first = f'{{"id": "q1", "question": "a{sign}b", "manner": "plain", "notes": ["x"], "split": "tune"}}'
    first = first if sign > "\x1f" else first.replace(sign, json.dumps(sign)[1:-1])
    path.write_text(f"{first}\r\n\nno\n", "utf-8", newline="")
    with pytest.raises(NotesError) as raised:
        read_questions(path)
    assert str(raised.value) == f"{path}:3: not a JSON object"
    path.write_text(first, "utf-8")
    assert [question.question for question in read_questions(path)] == [f"a{sign}b"]
