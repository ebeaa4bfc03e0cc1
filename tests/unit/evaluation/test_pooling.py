"""Pooled candidates: what comes in, and that their order tells nothing."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evaluation.baselines import baselines
from assistant.evaluation.compare import Ours
from assistant.evaluation.pooling import MOST_CANDIDATES, Candidates, pool
from assistant.evaluation.texts import texts_of_pack
from assistant.pack.reader import Pack

_runs = st.lists(st.lists(st.integers(0, 60).map("n-{}".format), unique=True, max_size=8), max_size=5)


class Fixed:
    """A ranking that is written down."""

    name = "fixed"

    def __init__(self, notes: Sequence[str]) -> None:
        self.notes = notes

    def rank(self, question: str, depth: int) -> list[tuple[str, float]]:
        return [(note, -float(place)) for place, note in enumerate(self.notes)][:depth]


def fixed(*runs: Sequence[str]) -> list[Fixed]:
    return [Fixed(run) for run in runs]


@given(_runs, st.text())
def test_pool_is_the_union_of_what_stands_first(runs: list[list[str]], question_id: str) -> None:
    """Manning, Raghavan and Schuetze, Introduction to Information Retrieval, 8.5: union of the top k (from memory)."""
    pooled = pool(fixed(*runs[:4]), question_id, "q", depth=5)
    assert set(pooled) == {note for run in runs[:4] for note in run[:5]}
    assert len(pooled) == len(set(pooled)) <= MOST_CANDIDATES


@given(_runs, st.text(min_size=1), st.randoms())
def test_order_hangs_on_the_id_and_the_notes_alone(runs: list[list[str]], question_id: str, chance: object) -> None:
    turned = [list(reversed(run[:5])) for run in reversed(runs[:4])]
    assert pool(fixed(*runs[:4]), question_id, "q") == pool(fixed(*turned), question_id, "another")


def test_order_differs_between_questions_and_favours_no_place() -> None:
    notes = [f"n-{n}" for n in range(5)]
    firsts = [pool(fixed(notes), f"q{n}", "q")[0] for n in range(1000)]
    counts = [firsts.count(note) for note in notes]
    # Five notes, a thousand questions: each first 200 times; 12.6 is one standard deviation of the binomial.
    assert all(abs(count - 200) < 5 * 12.65 for count in counts)


def test_order_is_the_same_in_another_process() -> None:
    notes = [f"n-{n}" for n in range(12)]
    code = (
        "from tests.unit.evaluation.test_pooling import fixed, pool\n"
        f"print(*pool(fixed({notes[:6]}, {notes[6:]}), 'q0007', 'q', depth=6))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=600, text=True)
    assert tuple(ran.stdout.split()) == pool(fixed(notes[:6], notes[6:]), "q0007", "q", depth=6)


def test_order_is_that_of_a_digest_of_the_id() -> None:
    """The seed is SHA-256 as FIPS 180-4 gives it for "abc"."""
    assert hashlib.sha256(b"abc").hexdigest().startswith("ba7816bf8f01cfea")
    import random

    order = ["a", "b", "c", "d"]
    random.Random(0xBA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD).shuffle(order)
    assert pool(fixed(["d", "c", "b", "a"]), "abc", "q") == tuple(order)


@pytest.mark.parametrize(("depth", "size"), [(5, 20), (6, 20), (4, 16)])
def test_too_many_are_cut_by_depth_alike_for_all_rankings(depth: int, size: int) -> None:
    runs = [[f"{run}-{place}" for place in range(10)] for run in "abcd"]
    pooled = pool(fixed(*runs), "q1", "q", depth=depth)
    assert len(pooled) == size
    assert {note.split("-")[1] for note in pooled} == {str(place) for place in range(size // 4)}


def test_candidates_of_a_pack_come_from_all_four_rankings(mini_pack: Pack) -> None:
    candidates = Candidates(mini_pack)
    question = "stick cap of the pad is torn"
    ours = Ours(mini_pack)
    rankings = [ours, *baselines(texts_of_pack(mini_pack))]
    assert len(rankings) == 4
    assert candidates.pool("q1", question) == pool(rankings, "q1", question)
    assert "pad-stick-cap" in candidates.pool("q1", question)
    assert candidates.find(question, 2) == tuple(note for note, _ in ours.rank(question, 2))
    assert candidates.find("zzzz qqqq", 5) == ()
