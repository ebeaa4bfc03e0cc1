"""The checks of the labelled questions: each passes on fair ones and fails on unfair ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evaluation.labels import MANNERS, LabelledQuestion
from assistant.evaluation.leakage import NEAR_DUPLICATE, Finding, check_leakage, jaccard, near_duplicates
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from tests.unit.evaluation.making import labelled

EXAMPLES = "no labelled question, told at some length, is a near-duplicate of an example question"
RUNS = "few questions share 4 words in a row with their note"
SHUFFLED = "shuffled labels score chance"

ASKED = {
    "disc-clean": ("how should smears come off the game", "it stutters and there is goo underneath"),
    "pad-cable-damage": ("which steps for a crushed wire", "metal strands poke through the rubber hose thing"),
    "pad-stick-cap": ("who replaces lost thumb rubber", "my finger hurts on the bare mushroom"),
    "power-strip-dead": ("what if all sockets stay unlit", "nothing whatsoever glows in there"),
    "safety-swollen-cell": ("procedure for hissing accumulators", "it puffed up like a cushion"),
    "screen-no-signal": ("blank picture remedy", "telly says it cannot see anything plugged in"),
}


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


@pytest.fixture
def questions() -> list[LabelledQuestion]:
    """Fair questions: a long and an everyday one a note, and one that no note covers."""
    asked = [
        labelled(f"{note}-{manner}", text, manner, (note,))
        for note, texts in ASKED.items()
        for manner, text in zip(("long", "everyday"), texts, strict=True)
    ]
    return [*asked, labelled("u1", "fancy a pizza tonight", "uncovered", (), kind="off")]


def found(
    corpus: Corpus, questions: Sequence[LabelledQuestion], first: Sequence[str] | None = None
) -> dict[str, Finding]:
    """Return the findings by name; where no ranking is given it puts the right note first."""
    came = first if first is not None else [q.notes[0] if q.notes else "disc-clean" for q in questions]
    return {finding.name: finding for finding in check_leakage(corpus, questions, came)}


def unfair(findings: dict[str, Finding]) -> list[str]:
    return [name for name, finding in findings.items() if not finding.fair]


def test_fair_questions_pass_every_check(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    findings = found(corpus, questions)
    assert list(findings) == [EXAMPLES, RUNS, SHUFFLED]
    assert unfair(findings) == []
    assert findings[EXAMPLES].detail == "0 pairs"


@pytest.mark.parametrize("manner", ["everyday", "long"])
@pytest.mark.parametrize(
    ("asked", "example"),
    [
        ("the stick cap came off", "stick cap came off"),
        ("how do i beat level 33", "how do i beat level 3"),
        ("Smoke out of the thing!", "smoke out of the things"),
        ("which is it, pad or lead?", "which is it pad or lead"),
    ],
)
def test_a_copied_example_question_is_found(
    corpus: Corpus, questions: list[LabelledQuestion], asked: str, example: str, manner: str
) -> None:
    """Of a note, of those that no note covers, of sentences of harm, and of those that fit several notes."""
    whole = corpus._replace(
        dangers=(("safety-swollen-cell", "smoke out of the things"),),
        ambiguous=((("pad-stick-cap", "pad-cable-damage"), "which is it pad or lead"),),
    )
    questions[0] = replace(questions[0], question=asked, manner=manner)
    findings = found(whole, questions)
    assert unfair(findings) == [EXAMPLES]
    assert findings[EXAMPLES].examples == (f"{questions[0].id} {asked} ~ {example}",)
    assert findings[EXAMPLES].detail == "1 pair"


@pytest.mark.parametrize("manner", sorted(set(MANNERS) - {"everyday", "long"}))
def test_a_few_words_come_to_anybody(corpus: Corpus, questions: list[LabelledQuestion], manner: str) -> None:
    questions[0] = replace(questions[0], question="stick cap came off", manner=manner)
    assert unfair(found(corpus, questions)) == []


def test_copied_runs_of_words_are_found_once_they_are_many(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    """One in twelve is let pass as chance, two in twelve are not."""
    questions[0] = replace(questions[0], question="game skips or loads slowly lately")
    once = found(corpus, questions)
    assert unfair(once) == []
    assert once[RUNS].examples == ("disc-clean-long: game skips or loads",)
    questions[2] = replace(questions[2], question="pad drops out when the wire moves")
    assert unfair(found(corpus, questions)) == [RUNS]


def test_three_words_in_a_row_are_no_copy(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions[0] = replace(questions[0], question="game skips or hangs slowly lately")
    assert found(corpus, questions)[RUNS].examples == ()


def test_short_questions_may_share_words_with_their_note(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    short = [replace(q, question="game skips or loads slowly", manner="short") for q in questions[:2]]
    assert found(corpus, [*short, *questions[2:]])[RUNS].examples == ()


def test_labels_that_score_without_being_right_are_found(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    """One note has nearly all labels: a ranking that always says it looks good on labels in any order."""
    same = [replace(q, notes=("disc-clean",)) for q in questions[:-2]]
    lopsided = [*same, *same, questions[-2]]
    findings = found(corpus, lopsided, ["disc-clean"] * len(lopsided))
    assert SHUFFLED in unfair(findings)
    assert findings[SHUFFLED].detail.endswith("chance 0.500")


def test_the_shuffle_is_of_the_labels_and_repeats_itself(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    right = [q.notes[0] if q.notes else "" for q in questions]
    again = found(corpus, questions, right)[SHUFFLED].detail
    assert found(corpus, questions, right)[SHUFFLED].detail == again
    assert not again.startswith("12/12")
    assert found(corpus, questions, [""] * len(questions))[SHUFFLED].detail.startswith("0/12")


def test_jaccard_by_hand() -> None:
    """Padded "  pad " has the trigrams "  p", " pa", "pad", "ad "; "  pat " shares the first two."""
    assert jaccard("pad", "pat") == pytest.approx(2 / 6)
    assert jaccard("pad", "PAD!") == 1.0
    assert jaccard("pad", "lens") == 0.0
    assert jaccard("the dark display", "display the dark") == jaccard("display the dark", "the dark display") < 1


_TEXTS = st.lists(st.text("abc d", max_size=12), max_size=6)


@given(_TEXTS, _TEXTS)
def test_near_duplicates_are_all_pairs_above_the_jaccard_bar(left: list[str], right: list[str]) -> None:
    brute = [
        (i, j)
        for i, one in enumerate(left)
        for j, other in enumerate(right)
        if (one.strip() and other.strip()) and jaccard(one, other) > NEAR_DUPLICATE
    ]
    found = [(i, j) for i, j in near_duplicates(left, right) if left[i].strip() and right[j].strip()]
    assert found == brute
