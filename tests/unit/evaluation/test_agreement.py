"""Two labellers: what counts as agreeing, and what is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score

from assistant.errors import NotesError, UsageError
from assistant.evaluation.agreement import (
    Labels,
    agreement,
    agreement_of,
    agreement_of_labels,
    agreement_text,
    read_labels,
)
from assistant.evaluation.judgements import Judgement, JudgementFile
from assistant.evaluation.statistics import cohen_kappa, kappa_interval
from tests.unit.evaluation.making import write_lines


def record(number: int, notes: list[str], manner: str = "plain", **more: str) -> dict[str, Any]:
    common = {"id": f"q{number}", "question": f"question {number}", "notes": notes, "manner": manner, "split": "tune"}
    return {**common, **more}


FIRST = [
    record(1, ["a"]),
    record(2, ["b"]),
    record(3, ["a", "b"], "ambiguous"),
    record(4, [], "uncovered", kind="near"),
    record(5, ["c"], danger="safety-c"),
    record(6, ["a"]),
]


@pytest.fixture
def questions(tmp_path: Path) -> Path:
    return write_lines(tmp_path / "questions.jsonl", *FIRST)


def second(tmp_path: Path, *answers: list[str]) -> Path:
    lines = [{"question": f"question {n}", "notes": notes} for n, notes in enumerate(answers, start=1)]
    return write_lines(tmp_path / "second.jsonl", *lines)


def test_the_best_note_counts_and_any_of_several_right_ones_agrees(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, [second(tmp_path, ["a", "z"], ["b"], ["b"], [], ["safety-c"], ["a"])])
    assert (found["questions"], found["agreed"], found["kappa"], found["apart"]) == (6, 6, 1.0, [])


def test_what_was_labelled_otherwise_is_listed(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, [second(tmp_path, ["z", "a"], ["b"], ["z"], ["a"], ["c"], [])])
    assert found["agreed"] == 1
    assert [(a["question"], a["first"], a["second"]) for a in found["apart"]] == [
        ("question 1", ["a"], ["z", "a"]),
        ("question 3", ["a", "b"], ["z"]),
        ("question 4", ["none"], ["a"]),
        ("question 5", ["safety-c"], ["c"]),
        ("question 6", ["a"], []),
    ]


def test_kappa_is_of_the_best_notes(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, [second(tmp_path, ["a"], ["b"], ["b"], [], ["c"], ["b"])])
    ours, theirs = ["a", "b", "b", "none", "safety-c", "a"], ["a", "b", "b", "none", "c", "b"]
    assert found["kappa"] == pytest.approx(cohen_kappa(ours, theirs), abs=1e-4)
    interval = kappa_interval(ours, theirs)
    assert interval is not None
    assert found["interval"] == pytest.approx(interval, abs=1e-4)


def test_questions_of_the_second_labeller_alone_are_left_out(tmp_path: Path, questions: Path) -> None:
    path = write_lines(
        tmp_path / "second.jsonl",
        {"question": "question 2", "notes": ["b"]},
        {"question": "never asked", "notes": ["b"]},
    )
    found = agreement(questions, [path])
    assert (found["questions"], found["agreed"], found["kappa"]) == (1, 1, 1.0)
    assert found["unmatched"] == ["never asked"]
    assert "labels for a question that the first does not have: never asked" in agreement_text(found).split("\n")


def test_best_against_best_is_told_beside_any_of_several(tmp_path: Path, questions: Path) -> None:
    """The first names a and b for question 3 and the second b: they agree leniently and not strictly."""
    found = agreement(questions, [second(tmp_path, ["a"], ["b"], ["b", "a"], [], ["safety-c"], ["b", "a"])])
    ours, theirs = ["a", "b", "a", "none", "safety-c", "a"], ["a", "b", "b", "none", "safety-c", "b"]
    lenient = ["a", "b", "b", "none", "safety-c", "a"]
    assert (found["agreed"], found["strict"]["agreed"]) == (5, 4)
    assert found["kappa"] == pytest.approx(cohen_kappa_score(lenient, theirs), abs=1e-4)
    assert found["strict"]["kappa"] == pytest.approx(cohen_kappa_score(ours, theirs), abs=1e-4)
    assert found["unmatched"] == []


@pytest.mark.parametrize("line", ["{", "[1]", '"text"', '{"question": "question 2"}', '{"notes": []}'])
def test_a_broken_line_is_told(tmp_path: Path, questions: Path, line: str) -> None:
    path = write_lines(tmp_path / "second.jsonl", {"question": "question 1", "notes": ["a"]}, line)
    with pytest.raises(NotesError) as caught:
        agreement(questions, [path])
    assert [tuple(fault) for fault in caught.value.faults] == [(str(path), 2, "needs 'question' and 'notes'")]


def test_labellers_without_a_question_in_common_are_refused(tmp_path: Path, questions: Path) -> None:
    path = write_lines(tmp_path / "second.jsonl", {"question": "never asked", "notes": ["b"]})
    with pytest.raises(NotesError, match="no question of the first labeller"):
        agreement(questions, [path])


def test_the_text_tells_figures_and_differences(tmp_path: Path, questions: Path) -> None:
    found = agreement(questions, [second(tmp_path, ["a"], ["b"], ["z"], [], ["safety-c"], [])])
    lines = agreement_text(found).split("\n")
    assert lines[0].startswith("4 of 6 questions labelled alike; Cohen's kappa 0.")
    assert lines[1].startswith("best note against best note: 4 alike, Cohen's kappa 0.")
    assert lines[2:] == [
        "danger: 1 of 1 alike, kappa 1.000; best against best 1, kappa 1.000",
        "  a, b | z | question 3",
        "  a | none | question 6",
    ]


def test_kinds_that_matter_most_are_told_apart(tmp_path: Path, questions: Path) -> None:
    asked = [record(1, ["no"], "forbidden"), record(2, ["no", "b"], "forbidden"), record(3, ["s"], "cry"), FIRST[5]]
    write_lines(questions, *asked)
    turns = [{"question": "and then", "notes": notes, "about": "why"} for notes in (["a"], ["b"], [])]
    talks = write_lines(tmp_path / "dialogues.jsonl", {"id": "d1", "split": "tune", "turns": turns})
    path = write_lines(
        tmp_path / "second.jsonl",
        {"question": "question 1", "notes": ["no"]},
        {"question": "question 2", "notes": ["b"]},
        {"question": "question 3", "notes": ["z"]},
        {"talk": "d1", "turn": 1, "notes": ["a"]},
        {"talk": "d1", "turn": 3, "notes": ["b"]},
        {"talk": "d1", "turn": 4, "notes": ["b"]},
    )
    found = agreement(questions, [path], talks)
    counts = {kind: (one["agreed"], one["strict"]["agreed"], one["questions"]) for kind, one in found["kinds"].items()}
    assert counts == {"danger": (0, 0, 1), "forbidden": (2, 1, 2), "talks": (1, 1, 2)}
    assert found["unmatched"] == ["d1/4"]
    assert found["kinds"]["forbidden"]["strict"]["kappa"] == pytest.approx(cohen_kappa_score(["no", "no"], ["no", "b"]))
    assert found["questions"] == 3
    assert agreement(questions, [path])["unmatched"] == ["d1/1", "d1/3", "d1/4"]


def test_words_of_both_are_told_apart_and_count_for_kinds_alone(tmp_path: Path, questions: Path) -> None:
    """Kappa by scikit-learn's cohen_kappa_score; the figures on top stand on the first file."""
    asked = [*FIRST[:4], record(5, ["c"], danger="safety-c"), record(6, ["s"], "cry"), record(7, ["no"], "forbidden")]
    write_lines(questions, *asked)
    turns = [{"question": "and", "notes": ["a"], "about": about} for about in ("why", "time", "why")]
    talks = write_lines(tmp_path / "dialogues.jsonl", {"id": "d1", "split": "tune", "turns": turns})
    sample = write_lines(tmp_path / "second.jsonl", {"question": "question 1", "notes": ["a"]})
    said = [False, False, True, False, True, False]
    lines: list[dict[str, Any]] = [
        {"question": f"question {n}", "notes": ["a"], "harm": harm} for n, harm in enumerate(said, start=1)
    ]
    lines += [{"question": "question 7", "notes": [], "forbidden": True}]
    lines += [
        {"talk": "d1", "turn": n, "notes": ["a"], "about": about}
        for n, about in enumerate(("why", "wait", "why"), start=1)
    ]
    found = agreement(questions, [sample, write_lines(tmp_path / "kinds.jsonl", *lines)], talks)
    assert (found["questions"], found["apart"], found["unmatched"]) == (1, [], [])
    ours = ["no", "no", "no", "no", "yes", "yes"]
    theirs = ["yes" if harm else "no" for harm in said]
    assert found["told"]["harm"]["kappa"] == pytest.approx(cohen_kappa_score(ours, theirs), abs=1e-4)
    assert [(a["question"], a["first"], a["second"]) for a in found["told"]["harm"]["apart"]] == [
        ("question 3", "no", "yes"),
        ("question 6", "yes", "no"),
    ]
    assert (found["told"]["forbidden"]["agreed"], found["told"]["forbidden"]["questions"]) == (1, 1)
    about = cohen_kappa_score(["why", "time", "why"], ["why", "wait", "why"])
    assert found["told"]["about"]["kappa"] == pytest.approx(about, abs=1e-4)
    assert "  what a turn is about: time | wait | d1/2" in agreement_text(found).split("\n")
    assert "  danger: safety-c | a | question 5" in agreement_text(found).split("\n")


@pytest.mark.parametrize("more", [{"harm": "yes"}, {"forbidden": 1}, {"talk": "d1", "turn": 1, "about": "news"}])
def test_a_word_that_is_none_is_told(tmp_path: Path, questions: Path, more: dict[str, Any]) -> None:
    path = write_lines(tmp_path / "second.jsonl", {"question": "question 1", "notes": ["a"], **more})
    with pytest.raises(NotesError) as caught:
        agreement(questions, [path])
    (fault,) = caught.value.faults
    assert (fault.line, fault.message.partition(" must ")[1]) == (1, " must ")


_BEST = st.sampled_from(["a", "b", "c", ""])


@settings(deadline=None)
@given(st.lists(st.tuples(_BEST, _BEST), min_size=2, max_size=30).filter(lambda pairs: len({*sum(pairs, ())}) > 1))
def test_kappa_is_that_of_scikit_learn(pairs: list[tuple[str, str]]) -> None:
    first = {f"q{n}": [one] if one else [] for n, (one, _) in enumerate(pairs)}
    second = {f"q{n}": [other] if other else [] for n, (_, other) in enumerate(pairs)}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("assistant.evaluation.agreement.kappa_interval", lambda *_: None)
        found = agreement_of_labels(Labels(first, {}), Labels(second, {}))
    assert found["kappa"] == pytest.approx(cohen_kappa_score(*zip(*pairs, strict=True)), abs=1e-4)
    assert found["agreed"] == found["strict"]["agreed"] == sum(one == other for one, other in pairs)
    assert found["strict"]["kappa"] == found["kappa"]
    covered = [[not one for one in side] for side in zip(*pairs, strict=True)]
    if len({*covered[0], *covered[1]}) > 1:
        assert found["uncovered"]["kappa"] == pytest.approx(cohen_kappa_score(*covered), abs=1e-4)
    assert found["uncovered"]["both"] == pairs.count(("", ""))


def test_steps_agree_where_both_sets_are_the_same() -> None:
    notes = {"one": ["a", "b"], "two": ["a"], "three": []}
    first = Labels(notes, {"one": {"a": (1, 2), "b": (3,)}, "two": {"a": (1,)}})
    second = Labels(notes, {"one": {"a": [2, 1], "b": [3, 4]}, "two": {"b": [1], "a": []}, "three": {"a": [1]}})
    found = agreement_of_labels(first, second)
    assert found["steps"] == {"notes": 2, "agreed": 1}
    assert found["uncovered"] == {"both": 1, "first": 0, "second": 0, "kappa": 1.0}
    lines = agreement_text(found).split("\n")
    assert lines[1] == "best note against best note: 3 alike, Cohen's kappa 1.000"
    assert lines[2] == "uncovered: 1 by both, 0 by the first alone, 0 by the second alone; Cohen's kappa 1.000"
    # The exact interval of 1 of 2 (Clopper and Pearson): 1 - sqrt(0.975) = 0.0126 and its mirror.
    assert lines[3] == "notes on which both marked steps: the same steps 1/2 = 0.500 [0.013, 0.987]"


def test_labellers_who_share_no_steps_or_no_question() -> None:
    found = agreement_of_labels(Labels({"one": ["a"]}, {}), Labels({"one": []}, {}))
    assert found["uncovered"] == {"both": 0, "first": 0, "second": 1, "kappa": 0.0}
    assert "notes on which both marked steps: none" in agreement_text(found)
    with pytest.raises(UsageError, match="no question in common"):
        agreement_of({"one": ["a"]}, {"two": ["a"]})


def test_any_two_kinds_of_labels_can_be_compared(tmp_path: Path, questions: Path) -> None:
    write_lines(questions, {**FIRST[0], "steps": {"a": [1, 2]}}, *FIRST[1:])
    file = JudgementFile(tmp_path / "labels.jsonl", "B")
    file.add(Judgement("q1", "question 1", ("a",), {"a": (1, 2)}))
    file.add(Judgement("q2", "question 2", ("c", "b"), mark="unsure"))
    file.add(Judgement("q4", "question 4", mark="uncovered"))
    file.add(Judgement("q5", "question 5", ("safety-c",), {"safety-c": (1,)}))
    file.add(Judgement("q6", "question 6", ("b",)))
    file.add(Judgement("q6", "question 6"))
    labelled, judged = read_labels(questions), read_labels(file.path)
    assert judged == Labels(
        {"question 1": ("a",), "question 4": (), "question 5": ("safety-c",)},
        {"question 1": {"a": (1, 2)}, "question 5": {"safety-c": (1,)}},
    )
    assert labelled.notes["question 5"] == ("safety-c",)
    found = agreement_of_labels(labelled, judged)
    assert (found["questions"], found["agreed"], found["steps"]) == (3, 3, {"notes": 1, "agreed": 1})
    again = read_labels(second(tmp_path, ["a"], ["b"], ["b"], [], ["c"], ["a"]))
    found = agreement_of_labels(judged, again)
    assert (found["questions"], found["agreed"], found["steps"]) == (3, 2, {"notes": 0, "agreed": 0})
    whole = agreement(questions, [tmp_path / "second.jsonl"])
    assert agreement_of(labelled.notes, again.notes) == {k: v for k, v in whole.items() if k not in ("kinds", "told")}


def test_labels_that_are_broken_are_told(tmp_path: Path) -> None:
    for text in (b"{", b"\xff", b'{"question": "why", "notes": "a"}', b'{"question": 1, "notes": []}', b"[" * 99_999):
        (tmp_path / "labels.jsonl").write_bytes(text)
        with pytest.raises(NotesError, match=r"labels\.jsonl:1: "):
            read_labels(tmp_path / "labels.jsonl")


def test_nothing_in_a_question_reaches_the_terminal_as_a_command() -> None:
    found = agreement_of({"\x1b[2Jwhy\n": ["\x1b]0;a"]}, {"\x1b[2Jwhy\n": ["b\x07"]})
    assert agreement_text(found).split("\n")[2:] == ["  ]0;a | b | [2Jwhy"]
    found = agreement_of({"why": ["a"]}, {"why": ["a"], "\x1b[2Jwho\n": ["b"]})
    assert agreement_text(found).split("\n")[2:] == [
        "second labels that match no question, which may be no accident: 1",
        "labels for a question that the first does not have: [2Jwho",
    ]
