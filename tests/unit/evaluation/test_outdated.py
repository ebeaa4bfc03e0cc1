"""Which labels a new note has made old, and which not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.evaluation.labels import Talk, TalkTurn
from assistant.evaluation.outdated import (
    OldLine,
    is_old,
    lines_answered,
    named_since,
    new_to_labels,
    old_labels,
    old_lines,
)
from assistant.evaluation.report import score_notes
from assistant.evaluation.study import too_many_old
from assistant.model import Corpus, Example, Phrases
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import labelled, outcome

NEW = frozenset({"new"})
UNCOVERED = labelled("u", manner="uncovered", notes=(), kind="near")


@pytest.mark.parametrize(
    "manner", ["short", "headword", "plain", "everyday", "noisy", "long", "ambiguous", "look-alike"]
)
def test_a_label_of_another_note_is_looked_at_again(manner: str) -> None:
    assert is_old(outcome(labelled("q", manner=manner), ["new", "a"]), {"a": ""}, NEW)


def test_an_uncovered_question_is_looked_at_again() -> None:
    assert is_old(outcome(UNCOVERED, ["new"]), {}, NEW)
    assert [(old.question.id, old.note) for old in old_labels([outcome(UNCOVERED, ["new"])], {}, NEW)] == [("u", "new")]


@pytest.mark.parametrize(
    "found",
    [
        outcome(labelled("q", manner="forbidden"), ["new"]),
        outcome(labelled("q", manner="cry"), ["new"]),
        outcome(labelled("q", danger="safety"), ["new"]),
        outcome(labelled("q", notes=("a", "new")), ["new"]),
        outcome(UNCOVERED, ["new", "a"], "choose"),
        outcome(UNCOVERED, ["new"], "none"),
        outcome(UNCOVERED, ["a"]),
        outcome(UNCOVERED),
        outcome(replace(UNCOVERED, seen=("new",)), ["new"]),
    ],
)
def test_a_label_holds_where_harm_is_told_or_the_new_note_is_named_or_not_shown_or_was_seen(found: object) -> None:
    assert not is_old(found, {}, NEW)  # type: ignore[arg-type]


def test_a_label_that_holds_since_the_new_note_was_named_is_not_old() -> None:
    named = {"new": "2026-11-20"}
    for since, old in (("", True), ("2026-11-19", True), ("0123456789ab", True), ("2026-11-20", False)):
        asked = replace(UNCOVERED, since=since)
        assert is_old(outcome(asked, ["new"]), named, NEW) is old
    assert not is_old(outcome(replace(UNCOVERED, since="2026-11-21 0123456789ab"), ["new"]), named, NEW)


def test_a_note_is_new_until_a_label_without_a_day_names_it() -> None:
    questions = [
        replace(labelled("q1", notes=("a", "b")), since="2026-11-20"),
        replace(labelled("q2", notes=("a",), danger="safety"), since="2026-11-18 0123456789ab"),
        labelled("q3", notes=("b",)),
    ]
    talks = [Talk("t", (TalkTurn("why", ("c",), "why"),), "tune"), Talk("t", (), "tune")]
    named = named_since(questions, talks)
    assert named == {"a": "2026-11-18", "b": "", "safety": "2026-11-18", "c": ""}
    assert new_to_labels(["a", "b", "c", "d"], named) == {"a", "d"}


def test_lines_that_a_new_note_covers_are_found(mini_pack: Pack) -> None:
    base = mini_pack.note("disc-clean")
    assert base is not None
    examples = (Example("Ants in the cabinet?", ()),)
    note = base._replace(id="new", phrases=Phrases(plain=("mat arrow dead",)), examples=examples)
    other = base._replace(id="a", phrases=Phrases(plain=("when do i get paid",)))
    lines = ("Mat arrow DEAD", "ants in the cabinets?", "when do i get paid", "dance lessons", "who won")
    corpus = Corpus((note, other), uncovered=lines)
    assert old_lines(corpus, NEW, {"dance lessons": "new", "who won": "a"}) == [
        OldLine("Mat arrow DEAD", "new", "stands among its own lines"),
        OldLine("ants in the cabinets?", "new", "nearly the same as its line 'Ants in the cabinet?'"),
        OldLine("dance lessons", "new", "is answered with it outright"),
    ]
    assert old_lines(corpus, frozenset(), {}) == []


def test_lines_are_asked(mini_pack: Pack) -> None:
    found = lines_answered(mini_pack, ["display shows no signal", "when do i get paid"])
    assert found == {"display shows no signal": "screen-no-signal"}


def test_old_labels_are_left_out_of_every_figure_on_request_alone(mini_pack: Pack) -> None:
    """The label says that no note covers what a note answers that no label names."""
    questions = [
        labelled("q1", "wipe the sticky disc", notes=("disc-clean",)),
        labelled("q2", "display shows no signal", "uncovered", (), kind="near"),
    ]
    talks = [Talk("t", (TalkTurn("wipe the sticky disc", ("disc-clean",), "procedure"),), "tune")]
    whole = score_notes(mini_pack, questions, talks, "tune")
    assert (whole.shares["false answers"].k, whole.old) == (1, ())
    report = score_notes(mini_pack, questions, talks, "tune", without_old=True)
    assert [(old.question.id, old.note) for old in report.old] == [("q2", "screen-no-signal")]
    assert report.shares["false answers"].n == 0
    assert [o.question.id for o in report.outcomes] == ["q1"]
    assert too_many_old(report)
    assert not too_many_old(whole)
    named = [*questions, labelled("q3", "no picture", notes=("screen-no-signal",))]
    assert score_notes(mini_pack, named, talks, "tune", without_old=True).old == ()
