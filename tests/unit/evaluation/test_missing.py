"""The reasons for a miss."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.answering.decide import margins_of
from assistant.answering.retrieve import Retriever
from assistant.evaluation.missing import CAUSES, Cause, Miss, find_misses, miss_line
from assistant.evaluation.run import Outcome, outcomes
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled, outcome

DARK = "display shows no signal"


def only(pack: Pack, found: Outcome) -> Miss:
    (miss,) = find_misses(pack, [found])
    assert {cause.kind for cause in miss.causes} <= set(CAUSES)
    return miss


def kinds(pack: Pack, found: Outcome) -> list[str]:
    return [cause.kind for cause in only(pack, found).causes]


def test_what_is_answered_as_labelled_is_no_miss(mini_pack: Pack) -> None:
    found = [
        outcome(labelled("1", DARK, notes=("screen-no-signal",)), ["screen-no-signal"]),
        outcome(labelled("2", "x", "uncovered", (), kind="off"), (), "none"),
        outcome(labelled("3", DARK, "ambiguous", ("a", "b")), "abc", "choose"),
        outcome(labelled("4", DARK, "forbidden", ("a",)), "ab"),
    ]
    assert find_misses(mini_pack, found) == []


@pytest.mark.parametrize(
    ("asked", "above", "below"),
    [
        (DARK, "screen-no-signal", "disc-clean"),
        ("unplug the display lead", "screen-no-signal", "pad-cable-damage"),
        ("unplug the strip and the display", "power-strip-dead", "screen-no-signal"),
    ],
)
def test_another_note_above_is_named_with_its_points_and_the_term(
    mini_pack: Pack, asked: str, above: str, below: str
) -> None:
    """In the second and third a term that both notes have brings more points, but not more to the one above."""
    (found,) = outcomes(mini_pack, [labelled("q1", asked, notes=(below,))])
    cause = only(mini_pack, found).causes[0]
    retriever = Retriever(mini_pack)
    retrieval = retriever(asked)
    scored = [retriever.explain(retrieval, mini_pack.note_ids.index(note)) for note in (above, below)]
    points: list[dict[str, int]] = [{}, {}]
    for side, note in zip(points, scored, strict=True):
        for reason in note.reasons:
            side[reason.term] = side.get(reason.term, 0) + reason.points
    difference = {term: points[0].get(term, 0) - points[1].get(term, 0) for term in {*points[0], *points[1]}}
    assert (cause.kind, cause.note) == ("outranked", above)
    assert cause.points == scored[0].score - scored[1].score == sum(difference.values())
    assert difference[cause.term] == max(difference.values())
    assert f"by {cause.points} points, of which '{cause.term}' brought {difference[cause.term]}" in cause.text


def test_words_that_no_note_has_are_named(mini_pack: Pack) -> None:
    question = labelled("q1", "xylophone display shows no signal", notes=("disc-clean",))
    (found,) = outcomes(mini_pack, [question])
    assert Cause("unknown word", "no note has 'xylophone'") in only(mini_pack, found).causes


def test_a_question_without_a_word_says_so(mini_pack: Pack) -> None:
    (found,) = outcomes(mini_pack, [labelled("q1", "?", notes=("disc-clean",))])
    assert [cause.text for cause in only(mini_pack, found).causes] == [
        "no word to search for",
        "no note shares a word",
    ]


def test_a_right_note_that_is_not_shown_outright_is_below_the_bar(mini_pack: Pack) -> None:
    question = labelled("q1", DARK, notes=("screen-no-signal",))
    assert kinds(mini_pack, outcome(question, ["screen-no-signal"], "none")) == ["below threshold"]
    offered = only(mini_pack, outcome(question, ["screen-no-signal", "disc-clean"], "choose"))
    assert [cause.kind for cause in offered.causes] == ["below threshold", "offered among options"]
    assert offered.causes[1].text == "offered at place 1 of 2"


@pytest.mark.parametrize("bar", ["over_none", "points", "lead"])
def test_the_bar_that_was_not_reached_is_named(mini_pack: Pack, bar: str) -> None:
    """It is one thousandth above what the question reaches, the other two are far below."""
    margins = margins_of(Retriever(mini_pack)(DARK))
    reached = getattr(margins, bar)
    mini_pack.decision["bars"] = {"lead": -9999, "over_none": -9999, "points": -9999, bar: reached + 1}
    (found,) = outcomes(mini_pack, [labelled("q1", DARK, notes=("screen-no-signal",))])
    assert found.decision != "answer"
    told = {"over_none": "points over no note", "points": "points", "lead": "points over the second note"}[bar]
    assert only(mini_pack, found).causes[0] == Cause("below threshold", f"{reached} {told}, {reached + 1} needed")
    mini_pack.decision["bars"][bar] = reached
    assert find_misses(mini_pack, outcomes(mini_pack, [found.question])) == []


def test_of_several_bars_the_one_over_none_is_named_first(mini_pack: Pack) -> None:
    mini_pack.decision["bars"] = {"lead": 9999, "over_none": 9999, "points": 9999}
    (found,) = outcomes(mini_pack, [labelled("q1", DARK, notes=("screen-no-signal",))])
    assert " over no note, 9999 needed" in only(mini_pack, found).causes[0].text
    mini_pack.decision["bars"]["over_none"] = -9999
    assert " points, 9999 needed" in only(mini_pack, found).causes[0].text


def test_a_right_note_offered_lower_down_is_told(mini_pack: Pack) -> None:
    found = outcome(labelled("q1", DARK, notes=("disc-clean",)), ["screen-no-signal", "disc-clean"], "choose")
    assert kinds(mini_pack, found) == ["outranked", "offered among options"]
    assert only(mini_pack, found).causes[1].text == "offered at place 2 of 2"


def test_safety_comes_first_among_the_reasons(mini_pack: Pack) -> None:
    danger = labelled("q1", DARK, notes=("screen-no-signal",), danger="safety-swollen-cell")
    miss = only(mini_pack, outcome(danger, ["screen-no-signal"]))
    assert miss.causes[0] == Cause("safety", "the safety note safety-swollen-cell is not first", "safety-swollen-cell")
    alarm = outcome(
        labelled("q2", DARK, notes=("screen-no-signal",)),
        ["safety-swollen-cell", "screen-no-signal"],
        safety_first=True,
    )
    assert [cause.text for cause in only(mini_pack, alarm).causes] == ["an alarm put safety-swollen-cell first"]


def test_what_no_note_covers_is_a_miss_where_a_note_came(mini_pack: Pack) -> None:
    uncovered = labelled("u", "who won", "uncovered", (), kind="off")
    assert kinds(mini_pack, outcome(uncovered, ["disc-clean"])) == ["answered without a note"]
    assert kinds(mini_pack, outcome(uncovered, ["disc-clean"], "choose")) == ["offered without a note"]
    alarm = outcome(uncovered, ["safety-swollen-cell"], safety_first=True)
    assert kinds(mini_pack, alarm) == ["safety", "answered without a note"]


def test_a_look_alike_without_a_note_is_a_miss_only_where_one_is_shown(mini_pack: Pack) -> None:
    alike = labelled("a", "smoke machine for the party", "look-alike", ())
    assert find_misses(mini_pack, [outcome(alike, ["disc-clean"], "choose"), outcome(alike, (), "none")]) == []
    shown = outcome(alike, ["safety-swollen-cell"], safety_first=True)
    assert kinds(mini_pack, shown) == ["safety", "answered without a note"]
    assert miss_line(only(mini_pack, shown)).startswith("a look-alike: wanted no note; answer safety-swollen-cell; ")


def test_a_look_alike_with_a_note_wants_it_outright(mini_pack: Pack) -> None:
    alike = labelled("a", DARK, "look-alike", ("screen-no-signal",))
    assert find_misses(mini_pack, [outcome(alike, ["screen-no-signal"])]) == []
    assert kinds(mini_pack, outcome(alike, ["safety-swollen-cell"], safety_first=True)) == ["safety"]


def test_a_cry_of_harm_wants_one_of_its_notes_outright(mini_pack: Pack) -> None:
    cry = labelled("c", "it hisses", "cry", ("power-strip-dead",), danger="safety-swollen-cell")
    found = [outcome(cry, ["power-strip-dead"]), outcome(cry, ["safety-swollen-cell"], safety_first=True)]
    assert find_misses(mini_pack, found) == []
    assert (
        kinds(mini_pack, outcome(cry, ["safety-swollen-cell", "disc-clean"], "choose"))[-1] == "offered among options"
    )
    assert only(mini_pack, outcome(cry, ["disc-clean"])).causes[0] == Cause(
        "safety", "the safety note safety-swollen-cell is not first", "safety-swollen-cell"
    )


def test_an_ambiguous_question_with_one_fitting_note_is_a_miss(mini_pack: Pack) -> None:
    vague = labelled("v", DARK, "ambiguous", ("screen-no-signal", "disc-clean"))
    assert kinds(mini_pack, outcome(vague, ["screen-no-signal"])) == ["too few offered"]
    assert kinds(mini_pack, outcome(vague, ["screen-no-signal"], "none"))[-2:] == ["below threshold", "too few offered"]


def test_a_labelled_note_that_is_not_there_is_told(mini_pack: Pack) -> None:
    found = outcome(labelled("q1", DARK, notes=("gone-note",)), ["screen-no-signal"])
    assert only(mini_pack, found).causes == (Cause("outranked", "the notes do not hold gone-note"),)


def test_a_miss_is_one_line_fit_for_a_terminal(mini_pack: Pack) -> None:
    question = labelled("q1", "who\x1b]0;owned\x07 won\nthe match", "uncovered", (), kind="off")
    miss = only(mini_pack, replace(outcome(question, ["disc-clean"]), confidence=0.25))
    assert miss_line(miss) == (
        "q1 uncovered off: wanted no note; answer disc-clean; answered although no note covers it, confidence 0.25"
        " | who]0;owned won the match"
    )
