"""From questions to outcomes, and from outcomes to the figures of the report."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.retrieve import Retriever
from assistant.evaluation.labels import ANSWERABLE, Talk, TalkTurn
from assistant.evaluation.run import (
    DEPTH,
    Outcome,
    TurnOutcome,
    any_note,
    came_right,
    decided,
    leavers,
    outcomes,
    readings,
    right_first,
    share_of,
    summarize,
    talk_tallies,
    talk_turns,
    tallies,
)
from assistant.evaluation.statistics import Share
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled, outcome


@pytest.fixture(scope="module")
def pack(mini_pack_path: Path) -> Iterator[Pack]:
    with Pack(mini_pack_path) as opened:
        yield opened


def shares(*found: Outcome) -> dict[str, Share]:
    """Return the shares of outcomes of different questions."""
    apart = [replace(o, question=replace(o.question, id=f"{o.question.id}{n}")) for n, o in enumerate(found)]
    return summarize(apart).shares


PLAIN = labelled("p", manner="plain")
NOISY = labelled("n", manner="noisy")
DANGER = labelled("d", manner="everyday", danger="safety-x")
VAGUE = labelled("v", manner="ambiguous", notes=("a", "b", "c"))
FORBIDDEN = labelled("f", manner="forbidden", notes=("a",), danger="safety-x")


def test_first_place_is_counted_by_manner_and_over_all() -> None:
    found = shares(outcome(PLAIN, "ab"), outcome(PLAIN, "ba"), outcome(NOISY, "ab"), outcome(VAGUE, "ab"))
    assert found["P@1 plain"] == Share(1, 2)
    assert found["P@1 noisy"] == Share(1, 1)
    assert found["P@1 long"] == Share(0, 0)
    assert found["P@1"] == Share(2, 3)


def test_the_first_three_are_three() -> None:
    found = shares(outcome(PLAIN, "zya"), outcome(PLAIN, "zyxa"), outcome(PLAIN, ()))
    assert found["right note in the first 3"] == Share(1, 3)


def test_outright_answers_are_right_or_wrong_and_refusals_are_false() -> None:
    found = shares(
        outcome(PLAIN, "a"),
        outcome(PLAIN, "b"),
        outcome(PLAIN, "ab", "choose"),
        outcome(PLAIN, "a", "none"),
        outcome(labelled("u", manner="uncovered", notes=(), kind="off"), "a", "none"),
    )
    assert found["answered outright and right"] == Share(1, 4)
    assert found["answered outright and wrong"] == Share(1, 4)
    assert found["false refusals"] == Share(1, 4)


def test_with_danger_the_safety_note_alone_is_right_first() -> None:
    first, second, missing = (
        outcome(DANGER, ["safety-x", "a"]),
        outcome(DANGER, ["a", "safety-x"]),
        outcome(DANGER, "a"),
    )
    assert [right_first(o) for o in (first, second, missing)] == [True, False, False]
    found = shares(first, second, missing)
    assert found["safety note first"] == Share(1, 3)
    assert found["safety note in the first 3"] == Share(2, 3)
    assert found["P@1"] == Share(1, 3)


def test_an_alarm_is_false_only_where_there_is_no_danger() -> None:
    """Nor where a note on harm is right: one that some question with a danger names."""
    dangerous = labelled("s", notes=("safety-x",))
    found = shares(
        outcome(PLAIN, ["safety-x", "a"], safety_first=True),
        outcome(PLAIN, ["a"]),
        outcome(DANGER, ["safety-x"], safety_first=True),
        outcome(dangerous, ["safety-x"], safety_first=True),
        outcome(labelled("u", manner="uncovered", notes=(), kind="off"), ["safety-x"], safety_first=True),
    )
    assert found["false alarms"] == Share(1, 2)


CRY = labelled("c", manner="cry", notes=("safety-x", "safety-z"), danger="safety-x")


def test_a_cry_of_harm_wants_one_of_its_notes_first_and_no_refusal() -> None:
    found = shares(
        outcome(CRY, ["safety-x"], safety_first=True),
        outcome(CRY, ["safety-z", "a"], "choose"),
        outcome(CRY, ["a", "b", "safety-z"]),
        outcome(CRY, ["a", "b", "d", "safety-x"], "choose"),
        outcome(CRY, (), "none"),
        outcome(PLAIN, "a", "none"),
    )
    assert found["cries of harm: safety note first"] == Share(2, 5)
    assert found["cries of harm: safety note in the first 3"] == Share(3, 5)
    assert found["cries of harm refused"] == Share(1, 5)
    assert (found["P@1"], found["false alarms"]) == (Share(1, 1), Share(0, 1))
    assert found["safety note first"] == Share(0, 0)


def test_a_look_alike_is_not_to_be_answered_with_a_note_on_harm() -> None:
    """A note on harm is one that a question with a danger names, and the look-alike itself does not."""
    alike, own = (labelled("k", manner="look-alike", notes=notes) for notes in ((), ("safety-x",)))
    found = shares(
        outcome(alike, ["safety-x"]),
        outcome(alike, ["safety-x"], "choose"),
        outcome(alike, ["a"]),
        outcome(alike, ["safety-y"]),
        outcome(alike, (), "none"),
        outcome(own, ["safety-x"]),
        outcome(DANGER, ["safety-x"]),
        outcome(PLAIN, ["safety-x"]),
    )
    assert found["look-alikes answered with a note on harm"] == Share(1, 6)
    assert found["P@1"] == Share(1, 2)


@pytest.mark.parametrize("manner", ANSWERABLE)
def test_every_manner_of_asking_has_its_share(manner: str) -> None:
    found = shares(outcome(labelled("q", manner=manner), "ab"), outcome(labelled("r", manner=manner), "ba"))
    assert found[f"P@1 {manner}"] == found["P@1"] == Share(1, 2)


def test_false_answers_are_counted_by_kind() -> None:
    near, junk = (labelled(kind, manner="uncovered", notes=(), kind=kind) for kind in ("near", "junk"))
    found = shares(outcome(near, "a"), outcome(near, "ab", "choose"), outcome(near, "a"), outcome(junk, "a", "none"))
    assert found["false answers"] == Share(2, 4)
    assert found["false answers near"] == Share(2, 3)
    assert found["false answers junk"] == Share(0, 1)
    assert found["false answers off"] == Share(0, 0)
    assert found["uncovered and told so"] == Share(1, 4)
    assert found["P@1"] == Share(0, 0)


def test_vague_questions_want_two_fitting_notes_to_pick_from() -> None:
    found = shares(
        outcome(VAGUE, "azb", "choose"),
        outcome(VAGUE, "azy", "choose"),
        outcome(VAGUE, "ab", "answer"),
        outcome(VAGUE, "ab", "none"),
        outcome(labelled("w", manner="ambiguous", notes=("a",)), "a", "answer"),
    )
    assert found["ambiguous: two or more fitting notes offered"] == Share(2, 5)


def test_forbidden_acts_want_an_outright_answer_from_the_note_that_says_no() -> None:
    found = shares(
        outcome(FORBIDDEN, "a"),
        outcome(FORBIDDEN, ["safety-x"]),
        outcome(FORBIDDEN, "b"),
        outcome(FORBIDDEN, "ab", "choose"),
        outcome(FORBIDDEN, ()),
    )
    assert found["forbidden acts get the note that says no"] == Share(2, 5)


def test_marked_steps_are_judged_where_the_first_note_has_labelled_steps() -> None:
    stepped = labelled("q", steps=(("a", (2, 3)),))
    found = shares(
        outcome(stepped, "ab", marked=(2, 5)),
        outcome(stepped, "ab", marked=(4,)),
        outcome(stepped, "ab"),
        outcome(stepped, "ba", marked=(2,)),
        outcome(PLAIN, "ab", marked=(1,)),
    )
    assert found["step precision: marked steps that are right"] == Share(1, 3)
    assert found["a right step is marked"] == Share(1, 3)


def test_the_means_count_a_question_without_results_as_nothing() -> None:
    second = labelled("q2", notes=("b",))
    means = summarize([outcome(PLAIN, "ab"), outcome(second, "ab"), outcome(NOISY, ())]).means
    assert means["P@1"] == pytest.approx(1 / 3)
    assert means["MRR"] == pytest.approx((1 + 1 / 2 + 0) / 3)


def test_the_means_take_the_note_of_the_danger_for_relevant() -> None:
    assert summarize([outcome(DANGER, ["safety-x", "a"])]).means["P@1"] == 1.0
    assert summarize([outcome(DANGER, ["a", "safety-x"])]).means["P@1"] == 1.0


def test_nothing_asked_gives_empty_shares_and_no_means() -> None:
    empty = summarize([])
    assert empty.means == {}
    assert {share.n for share in empty.shares.values()} == {0}


QUESTIONS = [
    labelled("q1", "display shows no signal", notes=("screen-no-signal",), steps=(("screen-no-signal", (2,)),)),
    labelled("q2", "wipe the sticky disc", notes=("disc-clean",)),
    labelled("q3", "zzzz qqqq", "uncovered", (), kind="off"),
]


def test_the_ranking_of_an_outcome_begins_with_what_the_decision_puts_first(pack: Pack) -> None:
    first, second, third = outcomes(pack, QUESTIONS)
    assert [o.question.id for o in (first, second, third)] == ["q1", "q2", "q3"]
    assert right_first(first)
    assert right_first(second)
    assert (third.order, third.decision, third.offered) == ((), "none", ())
    for o in (first, second):
        assert [score for _, score in o.order] == [float(DEPTH - place) for place in range(len(o.order))]
        assert set(o.offered) <= {note for note, _ in o.order}
        assert len({note for note, _ in o.order}) == len(o.order)


def test_steps_are_marked_only_where_they_are_labelled(pack: Pack) -> None:
    (first, second, _) = outcomes(pack, QUESTIONS)
    note = pack.note("screen-no-signal")
    assert note is not None
    assert set(first.marked) <= {step.n for step in note.steps}
    assert second.marked == ()


def test_deciding_on_earlier_retrievals_comes_out_alike(pack: Pack) -> None:
    retriever = Retriever(pack)
    again = decided(pack, QUESTIONS, [retriever(q.question) for q in QUESTIONS])
    asked = outcomes(pack, QUESTIONS)
    assert [(o.order, o.decision, o.offered) for o in again] == [(o.order, o.decision, o.offered) for o in asked]
    assert [o.marked for o in again] == [()] * 3


def test_every_turn_of_a_talk_is_judged_by_note_and_kind(pack: Pack) -> None:
    question = "display shows no signal"
    turns = (
        TalkTurn(question, ("screen-no-signal",), "procedure"),
        TalkTurn("what tools do I need", ("disc-clean",), "tools"),
    )
    mislabelled = (TalkTurn(question, ("disc-clean",), "procedure"),)
    rows = talk_turns(Assistant(pack), [Talk("d1", turns, "tune"), Talk("d2", mislabelled, "tune")])
    assert [(row.talk, row.first, row.turn.question) for row in rows] == [
        ("d1", True, question),
        ("d1", False, "what tools do I need"),
        ("d2", True, question),
    ]
    assert [row.right for row in rows[1:]] == [False, False]
    assert rows[0].came == rows[2].came


def test_the_kind_of_an_answer_must_be_right_as_well(pack: Pack) -> None:
    """The first turn sets what comes; the same turn labelled so is right, and labelled otherwise is wrong."""
    question = "display shows no signal"
    (row,) = talk_turns(Assistant(pack), [Talk("d", (TalkTurn(question, ("screen-no-signal",), "procedure"),), "tune")])
    note, about = row.came.split(" ")
    (right,) = talk_turns(Assistant(pack), [Talk("d", (TalkTurn(question, (note,), about),), "tune")])
    (wrong,) = talk_turns(Assistant(pack), [Talk("d", (TalkTurn(question, (note,), "done_check"),), "tune")])
    assert about != "done_check"
    assert (right.right, wrong.right) == (note in pack.note_ids, False)


def test_a_turn_that_no_note_covers_is_to_show_none(pack: Pack) -> None:
    """Without a note in hand, and with one; what is answered from a note where none is right is wrong."""
    uncovered = TalkTurn("different problem, card machine declined", (), "procedure")
    covered = TalkTurn("display shows no signal", (), "procedure")
    first = TalkTurn("display shows no signal", ("screen-no-signal",), "procedure")
    talks = [Talk("d1", (uncovered, covered), "tune"), Talk("d2", (first, uncovered), "tune")]
    rows = talk_turns(Assistant(pack), talks)
    assert [row.right for row in rows] == [True, False, True, True]
    assert [row.came for row in rows[::3]] == ["none procedure"] * 2


def test_new_questions_leave_an_unrelated_note_in_hand(pack: Pack) -> None:
    asked = ["display shows no signal", "game disc smeared", "different problem, card machine declined"]
    left = leavers(readings(pack, [labelled(str(i), text, "uncovered", ()) for i, text in enumerate(asked)]))
    assert left == {"0": (1, 1), "1": (1, 1), "2": (1, 1)}
    assert share_of(left) == Share(len(asked), len(asked))
    assert leavers(readings(pack, [labelled("l", asked[0], "long", ())])) == {}
    assert any_note("a", 6) == any_note("a", 6)
    assert {any_note(str(i), 6) for i in range(100)} == set(range(6))


def test_every_figure_is_the_sum_of_its_questions() -> None:
    found = [
        outcome(PLAIN, "ab"),
        outcome(NOISY, "ba", "choose"),
        outcome(DANGER, ["a", "safety-x"]),
        outcome(VAGUE, "ab"),
    ]
    rows = tallies(found)
    assert list(rows) == list(summarize(found).shares)
    assert rows["P@1"] == {"p": (1, 1), "n": (0, 1), "d": (0, 1)}
    assert rows["safety note first"] == {"d": (0, 1)}
    assert {name: share_of(tally) for name, tally in rows.items()} == summarize(found).shares


def test_turns_are_named_by_talk_and_place() -> None:
    turn = TalkTurn("q", ("a",), "procedure")
    rows = [TurnOutcome("d1", True, True, turn, ""), TurnOutcome("d1", False, False, turn, "")]
    rows += [TurnOutcome("d2", True, False, turn, "")]
    assert talk_tallies(rows) == {
        "talks: turn right": {"d1/1": (1, 1), "d1/2": (0, 1), "d2/1": (0, 1)},
        "talks: later turn right": {"d1/2": (0, 1)},
    }


def test_what_comes_out_right_depends_on_the_manner() -> None:
    uncovered = labelled("u", manner="uncovered", notes=(), kind="near")
    right = [
        outcome(PLAIN, "ab"),
        outcome(PLAIN, "ab", "choose"),
        outcome(VAGUE, "abx", "choose"),
        outcome(FORBIDDEN, "ab"),
        outcome(FORBIDDEN, ["safety-x"]),
        outcome(uncovered, "ab", "choose"),
        outcome(uncovered, (), "none"),
        outcome(CRY, ["safety-z"], "choose"),
        outcome(labelled("k", manner="look-alike", notes=()), ["a"], "choose"),
        outcome(labelled("k", manner="look-alike"), "ab", "choose"),
    ]
    wrong = [
        outcome(PLAIN, "ba"),
        outcome(PLAIN, "ab", "none"),
        outcome(DANGER, "ab"),
        outcome(VAGUE, "axy", "choose"),
        outcome(VAGUE, "ab", "none"),
        outcome(FORBIDDEN, "ab", "choose"),
        outcome(FORBIDDEN, ()),
        outcome(uncovered, "ab"),
        outcome(CRY, ["a", "safety-x"]),
        outcome(labelled("k", manner="look-alike", notes=()), ["a"]),
        outcome(labelled("k", manner="look-alike"), "ba"),
    ]
    assert [came_right(o) for o in right] == [True] * len(right)
    assert [came_right(o) for o in wrong] == [False] * len(wrong)
