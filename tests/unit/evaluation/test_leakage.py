"""The checks of the labelled questions: each passes on fair ones and fails on unfair ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.leakage import NEAR_DUPLICATE, Finding, check_leakage, jaccard, near_duplicates
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from tests.unit.evaluation.making import labelled

SPLITS = "no note is in both splits"
ACROSS = "no sealed question is a near-duplicate of a tune question"
EXAMPLES = "no labelled question is a near-duplicate of an example question"
RUNS = "few questions share 4 words in a row with their note"
TITLES = "everyday questions avoid the words of the title"
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
    """Fair questions: a plain and an everyday one a note, the first three notes in the tune split."""
    asked = []
    for place, (note, texts) in enumerate(ASKED.items()):
        for manner, text in zip(("plain", "everyday"), texts, strict=True):
            asked.append(labelled(f"{note}-{manner}", text, manner, (note,), split="tune" if place < 3 else "sealed"))
    return [*asked, labelled("u1", "fancy a pizza tonight", "uncovered", (), split="sealed", kind="off")]


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
    assert list(findings) == [SPLITS, ACROSS, EXAMPLES, RUNS, TITLES, SHUFFLED]
    assert unfair(findings) == []
    assert findings[SPLITS].detail == "6 notes, 0 in both"


def test_a_note_in_both_splits_is_found(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions[0] = replace(questions[0], split="sealed")
    findings = found(corpus, questions)
    assert unfair(findings) == [SPLITS]
    assert findings[SPLITS].examples == ("disc-clean",)


def test_the_same_question_in_both_splits_is_found(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions.append(replace(questions[0], id="q9", question="How should SMEARS come off the games?", split="sealed"))
    questions[-1] = replace(questions[-1], manner="ambiguous", notes=("disc-clean", "pad-stick-cap"))
    findings = found(corpus, questions)
    assert unfair(findings) == [ACROSS]
    (example,) = findings[ACROSS].examples
    assert example == "How should SMEARS come off the games? ~ how should smears come off the game"


@pytest.mark.parametrize("copied", ["the stick cap came off", "how do i beat level 33"])
def test_a_copied_example_question_is_found(corpus: Corpus, questions: list[LabelledQuestion], copied: str) -> None:
    """Both from a note's example questions and from those that no note covers."""
    questions[-1] = replace(questions[-1], question=copied)
    findings = found(corpus, questions)
    assert unfair(findings) == [EXAMPLES]
    assert findings[EXAMPLES].examples[0].startswith(f"u1 {copied} ~ ")


def test_junk_may_repeat_itself(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions[-1] = replace(questions[-1], question="sing me a song", kind="junk")
    questions.append(replace(questions[-1], id="u2", split="tune"))
    assert unfair(found(corpus, questions)) == []


def test_copied_runs_of_words_are_found_once_they_are_many(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    """One in twelve is let pass as chance, two in twelve are not."""
    questions[0] = replace(questions[0], question="game skips or loads slowly lately")
    once = found(corpus, questions)
    assert unfair(once) == []
    assert once[RUNS].examples == ("disc-clean-plain: game skips or loads",)
    questions[2] = replace(questions[2], question="pad drops out when the wire moves")
    assert unfair(found(corpus, questions)) == [RUNS]


def test_three_words_in_a_row_are_no_copy(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions[0] = replace(questions[0], question="game skips or hangs slowly lately")
    assert found(corpus, questions)[RUNS].examples == ()


def test_everyday_questions_in_the_words_of_the_title_are_found(
    corpus: Corpus, questions: list[LabelledQuestion]
) -> None:
    titles = {note.id: note.title for note in corpus.notes}
    words = [
        replace(q, question=" ".join(reversed(titles[q.notes[0]].split()))) if q.manner == "everyday" else q
        for q in questions
    ]
    assert unfair(found(corpus, words)) == [TITLES]


def test_plain_questions_may_use_the_words_of_the_title(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    questions[0] = replace(questions[0], question="right demo disc dirty way wipe")
    assert found(corpus, questions)[TITLES].detail == found(corpus, questions[1:])[TITLES].detail


def test_labels_that_score_without_being_right_are_found(corpus: Corpus, questions: list[LabelledQuestion]) -> None:
    """One note has nearly all labels: a ranking that always says it looks good on labels in any order."""
    same = [replace(q, notes=("disc-clean",), split="tune") for q in questions[:-2]]
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
