"""The file of judgements: what it keeps, what it drops, what it refuses."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import NotesError
from assistant.evaluation.judgements import MARKS, Judgement, JudgementFile, label_lines, read_judgements

AT = "2026-11-25T09:00:00.000Z"


def judgement(
    id: str = "q1", *notes: str, question: str = "why", mark: str = "", **steps: tuple[int, ...]
) -> Judgement:
    return Judgement(id, question, notes, steps, mark, AT)


@st.composite
def judgements(draw: st.DrawFn) -> Judgement:
    notes = tuple(draw(st.lists(st.text(min_size=1, max_size=5), unique=True, max_size=4)))
    steps = {
        note: tuple(sorted(draw(st.sets(st.integers(1, 12), min_size=1, max_size=3))))
        for note in notes
        if draw(st.booleans())
    }
    mark = draw(st.sampled_from([mark for mark in MARKS if mark != "uncovered" or not notes]))
    return Judgement(draw(st.sampled_from(["q1", "q2", "q3", "\u2028"])), draw(st.text()), notes, steps, mark, AT)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(changes=st.lists(st.tuples(judgements(), st.booleans()), max_size=12), name=st.text(min_size=1, max_size=8))
def test_fold_is_that_of_a_dict(tmp_path: Path, changes: list[tuple[Judgement, bool]], name: str) -> None:
    path = tmp_path / "labels.jsonl"
    path.unlink(missing_ok=True)
    file, model = JudgementFile(path, name), dict[str, Judgement]()
    for change, reopen in changes:
        file.add(change)
        model[change.id] = change
        if reopen:
            file = JudgementFile(path, name)
        assert file.latest() == model
    assert JudgementFile(path, name).latest() == model
    if changes:
        assert read_judgements(path) == (name, model)
        assert path.read_bytes().count(b"\n") == 1 + len(changes)


def test_the_form_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    file = JudgementFile(path, "B")
    assert not path.exists()
    file.add(judgement("q1", "a", "b", b=(2, 3)))
    assert [json.loads(line) for line in path.read_text("utf-8").splitlines()] == [
        {"form": "labels 1", "labeller": "B"},
        {"id": "q1", "question": "why", "notes": ["a", "b"], "steps": {"b": [2, 3]}, "mark": "", "at": AT},
    ]


def test_nothing_that_a_terminal_could_act_on_is_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    JudgementFile(path, "B").add(judgement(question="\x1b[31mred\u202e\nline"))
    assert b"\x1b" not in path.read_bytes()
    assert all(line.isprintable() for line in path.read_text("utf-8").splitlines())
    assert JudgementFile(path, "B").latest()["q1"].question == "\x1b[31mred\u202e\nline"


def test_a_file_cut_at_any_byte_goes_on_with_what_was_confirmed(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    made = [
        judgement("q1", "a"),
        judgement("q2", mark="uncovered"),
        judgement("q1", "b", question="wh\u00fd"[:2] + "y"),
    ]
    made[2] = made[2]._replace(question="why")
    file = JudgementFile(path, "B\u00e9")
    ends = [0]
    for one in made:
        file.add(one)
        ends.append(path.stat().st_size)
    whole = path.read_bytes()
    after = judgement("q9", "z")
    for end in range(len(whole) + 1):
        path.write_bytes(whole[:end])
        confirmed = {one.id: one for one, there in zip(made, ends[1:], strict=True) if there <= end}
        again = JudgementFile(path, "B\u00e9")
        assert again.latest() == confirmed
        assert path.read_bytes() == whole[:end]
        again.add(after)
        assert JudgementFile(path, "B\u00e9").latest() == {**confirmed, "q9": after}
        assert path.read_bytes().endswith(b"\n")
        lines = path.read_bytes().splitlines()
        assert [json.loads(line)["id"] for line in lines[1:]][-1] == "q9"
        assert len(lines) == 2 + sum(there <= end for there in ends[1:])


def record(**changes: Any) -> str:
    return json.dumps({"id": "q1", "question": "why", "notes": ["a"], "steps": {}, "mark": "", "at": AT} | changes)


HEAD = '{"form": "labels 1", "labeller": "B"}'


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("", "not a judgement"),
        ("{", "not a judgement"),
        ("[1]", "not a judgement"),
        ("[" * 100_000, "not a judgement"),
        (HEAD, "not a judgement"),
        (record(extra=1), "not a judgement"),
        (record(id=""), "'id', 'question' and 'at' must be text"),
        (record(question=None), "'id', 'question' and 'at' must be text"),
        (record(at=3), "'id', 'question' and 'at' must be text"),
        (record(notes="a"), "'notes' must be"),
        (record(notes=["a", "a"]), "'notes' must be"),
        (record(notes=[["a"]]), "'notes' must be"),
        (record(mark="doubtful"), "'mark' must be"),
        (record(mark=["unsure"]), "'mark' must be"),
        (record(mark="uncovered"), "'mark' must be"),
        (record(steps={"b": [1]}), "'steps' must"),
        (record(steps={"a": [0]}), "'steps' must"),
        (record(steps={"a": [True]}), "'steps' must"),
        (record(steps={"a": 1}), "'steps' must"),
        (record(steps=[]), "'steps' must"),
    ],
)
def test_a_broken_line_is_told_and_the_file_left_as_it_is(tmp_path: Path, line: str, told: str) -> None:
    path = tmp_path / "labels.jsonl"
    before = "\n".join([HEAD, record(), line, record(), ""]).encode()
    path.write_bytes(before)
    for read in (read_judgements, lambda path: JudgementFile(path, "B")):
        with pytest.raises(NotesError) as caught:
            read(path)
        assert [(fault.path, fault.line) for fault in caught.value.faults] == [(str(path), 3)]
        assert told in caught.value.faults[0].message
    assert path.read_bytes() == before


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    path.write_bytes(f"{HEAD}\n{record()}\n".encode() + b"\xff\n")
    with pytest.raises(NotesError) as caught:
        JudgementFile(path, "B")
    assert caught.value.faults[0].line == 3


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("when do i get paid\nlol\n", "not a file of labels"),
        ("when do i get paid", "not a file of labels"),
        ('{"question": "why", "notes": []}\n', "not a file of labels"),
        ('{"form": "labels"}\n', "not a file of labels"),
        ("\n", "not a file of labels"),
        (HEAD.replace("labels 1", "labels 2") + "\n{}\n", "use a newer one"),
        (HEAD.replace("}", ', "more": 1}') + "\n", "nothing else"),
        ('{"form": "labels 1", "labeller": 3}\n', "nothing else"),
        (HEAD.replace('"B"', '"A"') + "\n", "holds the labels of 'A', not of 'B'"),
        (HEAD.replace('"B"', '"A"'), "holds the labels of 'A', not of 'B'"),
    ],
)
def test_a_file_of_something_else_is_refused_and_left_as_it_is(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "labels.jsonl"
    path.write_text(text, "utf-8")
    with pytest.raises(NotesError, match=r"labels\.jsonl:1: ") as caught:
        JudgementFile(path, "B")
    assert told in str(caught.value)
    assert path.read_text("utf-8") == text


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="not a file that can be read"):
        JudgementFile(tmp_path, "B")
    (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
    with pytest.raises(NotesError, match="No such file"):
        JudgementFile(tmp_path / "dangling", "B")


@pytest.fixture
def full(monkeypatch: pytest.MonkeyPatch) -> Callable[[bool], None]:
    """Lets the disk be full, at the sync, or have room again."""
    sync = os.fsync

    def refuse(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    return lambda is_full: monkeypatch.setattr(os, "fsync", refuse if is_full else sync)


def test_a_full_disk_is_told_and_loses_nothing(tmp_path: Path, full: Callable[[bool], None]) -> None:
    path = tmp_path / "labels.jsonl"
    file = JudgementFile(path, "B")
    full(True)
    with pytest.raises(NotesError, match=r":1: cannot be written: No space left on device"):
        file.add(judgement("q1", "a"))
    assert file.latest() == {}
    full(False)
    file.add(judgement("q1", "b"))
    before = path.read_bytes()
    full(True)
    with pytest.raises(NotesError, match=r":3: cannot be written: No space left on device"):
        file.add(judgement("q2", "c"))
    assert path.read_bytes() == before
    assert file.latest() == {"q1": judgement("q1", "b")}
    full(False)
    file.add(judgement("q2", "d"))
    assert JudgementFile(path, "B").latest() == {"q1": judgement("q1", "b"), "q2": judgement("q2", "d")}


WRITING = """
import resource, signal, sys
from pathlib import Path
from assistant.errors import NotesError
from assistant.evaluation.judgements import Judgement, JudgementFile

path = Path(sys.argv[1])
file = JudgementFile(path, "B")
file.add(Judgement("q1", "why", ("a",)))
before = path.read_bytes()
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 20, resource.RLIM_INFINITY))
try:
    file.add(Judgement("q2", "why", ("b",)))
except NotesError as error:
    print(str(error).partition(": cannot be written: ")[2], path.read_bytes() == before)
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
file.add(Judgement("q3", "why", ("c",)))
print(*JudgementFile(path, "B").latest())
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a limit on the size of files is set as POSIX has it")
def test_a_line_that_finds_room_in_part_is_taken_back(tmp_path: Path) -> None:
    command = [sys.executable, "-c", WRITING, str(tmp_path / "labels.jsonl")]
    ran = subprocess.run(command, capture_output=True, check=True, timeout=600, text=True)
    told, latest = ran.stdout.splitlines()
    assert told == "File too large; all that was judged before is kept True"
    assert latest == "q1 q3"


def test_two_at_once_on_one_file_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "labels.jsonl"
    one, other = JudgementFile(path, "B"), JudgementFile(path, "B")
    one.add(judgement("q1", "a"))
    with pytest.raises(NotesError, match="File exists"):
        other.add(judgement("q2", "b"))
    other = JudgementFile(path, "B")
    other.add(judgement("q2", "b"))
    before = path.read_bytes()
    with pytest.raises(NotesError, match="changed by another program"):
        one.add(judgement("q3", "c"))
    assert path.read_bytes() == before


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    file = JudgementFile(tmp_path / "nowhere" / "labels.jsonl", "B")
    with pytest.raises(NotesError, match=r":1: cannot be written: No such file or directory"):
        file.add(judgement())


def test_lines_of_labels_leave_out_what_is_open_or_unsure() -> None:
    latest = {
        "q1": judgement("q1", "b", "a", question="one"),
        "q2": judgement("q2", "a", mark="unsure", question="two"),
        "q3": judgement("q3", mark="uncovered", question="three"),
        "q4": judgement("q4", question="four"),
    }
    assert [json.loads(line) for line in label_lines(latest)] == [
        {"question": "one", "notes": ["b", "a"]},
        {"question": "three", "notes": []},
    ]
