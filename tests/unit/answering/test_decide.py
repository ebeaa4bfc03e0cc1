"""Answer, choose or none; and what puts a safety note first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.answering.decide import MOST_OPTIONS, Verdict, decide, logit
from assistant.answering.retrieve import FEATURES, Retrieval, Retriever
from assistant.pack.reader import Pack

ALWAYS, NEVER = -(10**12), 10**12
BASE = {"choose_share": 600, "danger_at": NEVER, "danger_mention_at": NEVER, "vague_at": NEVER}


@pytest.fixture
def retriever(mini_pack: Pack) -> Retriever:
    return Retriever(mini_pack)


def verdict(retriever: Retriever, question: str, **changes: int) -> tuple[Verdict, Retrieval]:
    pack = retriever.pack
    settings = {**pack.decision, **BASE, **changes}
    found = retriever(question)
    return decide(found, settings, pack.urgent), found


def test_answer_has_the_note_and_the_next_nearest(retriever: Retriever) -> None:
    got, found = verdict(retriever, "pad lead", answer_at=ALWAYS, answer_covered_at=ALWAYS, none_below=ALWAYS)
    assert got.decision == "answer"
    assert got.notes == tuple(found.scores.order[:MOST_OPTIONS])
    assert not got.safety_first


def test_none_names_the_three_nearest(retriever: Retriever) -> None:
    got, found = verdict(retriever, "pad lead", answer_at=NEVER, answer_covered_at=NEVER, none_below=NEVER)
    assert (got.decision, got.notes) == ("none", tuple(found.scores.order[:3]))


def test_choose_offers_those_that_come_near_the_first(retriever: Retriever) -> None:
    for share in (0, 300, 600, 900, 1000):
        got, found = verdict(
            retriever, "cabinet key", answer_at=NEVER, answer_covered_at=NEVER, none_below=ALWAYS, choose_share=share
        )
        assert got.decision == "choose"
        assert 2 <= len(got.notes) <= MOST_OPTIONS
        assert got.notes == tuple(found.scores.order[: len(got.notes)])
        top = found.scores.total[got.notes[0]]
        assert all(1000 * found.scores.total[note] >= share * top for note in got.notes[2:])


def test_an_answer_must_be_sure_and_covered(retriever: Retriever) -> None:
    for at, covered_at, expected in ((ALWAYS, NEVER, "choose"), (NEVER, ALWAYS, "choose"), (ALWAYS, ALWAYS, "answer")):
        got, _ = verdict(retriever, "pad lead", answer_at=at, answer_covered_at=covered_at, none_below=ALWAYS)
        assert got.decision == expected


def test_what_fits_several_notes_is_not_answered_outright(retriever: Retriever) -> None:
    sure = {"answer_at": ALWAYS, "answer_covered_at": ALWAYS, "none_below": ALWAYS}
    assert verdict(retriever, "pad lead", **sure, vague_at=ALWAYS)[0].decision == "choose"
    assert verdict(retriever, "pad lead", **sure, vague_at=NEVER)[0].decision == "answer"


def test_a_note_on_harm_that_is_surely_right_is_shown_at_once(retriever: Retriever) -> None:
    sure = {"answer_at": ALWAYS, "answer_covered_at": ALWAYS, "none_below": ALWAYS, "vague_at": ALWAYS}
    got, _ = verdict(retriever, "battery is swollen", **sure)
    swollen = retriever.pack.note_ids.index("safety-swollen-cell")
    assert (got.decision, got.notes[0]) == ("answer", swollen)
    assert verdict(retriever, "battery is swollen", **{**sure, "answer_at": NEVER})[0].decision == "choose"


def test_notes_that_the_same_questions_fit_are_raised_among_the_options(retriever: Retriever) -> None:
    found = retriever("pad lead")
    last = found.scores.order[-1]
    settings = {**retriever.pack.decision, **BASE, "answer_at": ALWAYS, "answer_covered_at": ALWAYS, "kin_share": 1000}
    plain = decide(found, settings, retriever.pack.urgent)
    raised = decide(found._replace(kin=((last, 1000),)), settings, retriever.pack.urgent)
    assert raised.notes[0] == plain.notes[0]
    assert raised.notes[1] == last != plain.notes[1]


def test_a_note_on_harm_that_comes_near_is_never_refused(retriever: Retriever) -> None:
    got, _ = verdict(retriever, "smoke", answer_at=NEVER, answer_covered_at=NEVER, none_below=NEVER)
    swollen = retriever.pack.note_ids.index("safety-swollen-cell")
    assert got.decision == "choose"
    assert swollen in got.notes[:2]


def test_harm_told_in_passing_is_second(retriever: Retriever) -> None:
    got, _ = verdict(
        retriever,
        "pad lead and a swollen battery",
        danger_mention_at=ALWAYS,
        answer_at=ALWAYS,
        answer_covered_at=ALWAYS,
    )
    swollen = retriever.pack.note_ids.index("safety-swollen-cell")
    assert not got.safety_first
    assert swollen in got.notes[:2]


def test_nothing_found_is_none(retriever: Retriever) -> None:
    got, found = verdict(retriever, "qqqqqqqq", answer_at=ALWAYS, answer_covered_at=ALWAYS, none_below=ALWAYS)
    assert got == Verdict("none", (), 0.0)
    assert found.features == (0,) * len(FEATURES)


def test_danger_puts_the_safety_note_first(retriever: Retriever) -> None:
    question = "smoke from the controller lead"
    got, found = verdict(
        retriever, question, danger_at=ALWAYS, answer_at=NEVER, answer_covered_at=NEVER, none_below=NEVER
    )
    swollen = retriever.pack.note_ids.index("safety-swollen-cell")
    assert (got.decision, got.notes[0], got.safety_first) == ("answer", swollen, True)
    others = [note for note in found.scores.order if note != swollen]
    assert got.notes == (swollen, *others)[:MOST_OPTIONS]


def test_no_safety_note_is_put_first_that_shares_no_word(retriever: Retriever) -> None:
    got, _ = verdict(retriever, "no signal", danger_at=ALWAYS, answer_at=ALWAYS, answer_covered_at=ALWAYS)
    assert not got.safety_first
    assert retriever.pack.note_ids[got.notes[0]] == "screen-no-signal"


@given(
    st.lists(st.integers(-1000, 1000), min_size=3, max_size=3),
    st.lists(st.integers(-1000, 1000), min_size=3, max_size=3),
)
def test_logit_is_a_sum_of_whole_numbers(signs: list[int], weights: list[int]) -> None:
    assert logit(signs, {"bias": 7, "weights": weights}) == 7 + sum(a * b for a, b in zip(signs, weights, strict=True))


def test_logit_wants_a_weight_a_sign() -> None:
    with pytest.raises(ValueError, match="shorter"):
        logit((1, 2), {"bias": 0, "weights": [1]})


@pytest.mark.parametrize("question", ["stick cap", "pad lead", "smoke", "the disc is dirty and smeared", "no power"])
def test_confidence_is_a_probability_and_signs_are_within_bounds(retriever: Retriever, question: str) -> None:
    got, found = verdict(retriever, question)
    assert 0 <= got.confidence <= 1
    assert len(found.features) == len(FEATURES)
    assert all(isinstance(value, int) for value in found.features)
    named = dict(zip(FEATURES, found.features, strict=True))
    for sign in ("gap", "gap_to_third", "chunk_share", "covered", "unknown", "nearest", "repaired"):
        assert 0 <= named[sign] <= 1001


def test_repaired_and_unknown_words_are_signs(retriever: Retriever) -> None:
    plain = dict(zip(FEATURES, retriever("stick cap torn").features, strict=True))
    typed = dict(zip(FEATURES, retriever("stikc cap torn").features, strict=True))
    strange = dict(zip(FEATURES, retriever("stick cap torn qqqqqqqq").features, strict=True))
    assert plain["repaired"] == plain["unknown"] == 0
    assert typed["repaired"] == 333
    assert strange["unknown"] == 250
