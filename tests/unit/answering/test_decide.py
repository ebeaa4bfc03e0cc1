"""Answer, choose or none by three bars; and harm before everything else."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.analyzer import ReadQuery
from assistant.answering.decide import MOST_OPTIONS, Margins, Verdict, decide, margins_of, probability
from assistant.answering.retrieve import Harm, Retrieval, Retriever
from assistant.pack.reader import Pack
from assistant.ranking.postings import TermRow
from assistant.ranking.score import NONE, Scores
from tests.making import plain_settings

NOTES = 6
CALM = Harm(None, None, 0, 0)
LEAST = -(10**9)
RIGHT = {"weights": [1, 0, 0], "table": [[LEAST, 100], [200, 500], [400, 900]]}
COVERED = {"weights": [0, 1, 0], "table": [[LEAST, 50], [0, 600]]}
SETTINGS: dict[str, Any] = {
    "bars": {"lead": 300, "over_none": 100, "points": -50},
    "refuse_below": -200,
    "choose_within": 250,
    "harm": {"bar": 400, "near": 100, "offered": {"points": -600, "over_none": -1000}, "right": 850},
    "right": RIGHT,
    "covered": COVERED,
}


def ranked(
    model: Sequence[int], none: int | None = 0, harm: Harm = CALM, *, brought: Sequence[int] = (), known: bool = True
) -> Retrieval:
    """Return a retrieval in which note n has ``model[n]`` points, and ``brought[n]`` more for its best chunk.

    ``known`` tells whether a note holds any word of the question.
    """
    points = dict(enumerate(model))
    total = {note: value + (brought[note] if brought else 0) for note, value in points.items()}
    if none is not None:
        points[NONE] = none
    order = sorted(total, key=lambda note: (-total[note], note))
    rows = {"word": TermRow(0, array("I"), array("H"), lambda _: [])} if known else {}
    return Retrieval(ReadQuery((), (), ()), (), rows, (), {}, (), Scores(total, order, {}, points), harm)


def verdict(retrieval: Retrieval, harmful: Sequence[int] = (), **changes: Any) -> Verdict:
    return decide(retrieval, {**SETTINGS, **changes}, harmful)


def test_margins_are_over_the_second_over_none_and_the_points_of_the_model() -> None:
    assert margins_of(ranked([500, 120, 300], 80, brought=[50, 0, 90])) == Margins(160, 420, 500)
    assert margins_of(ranked([-40], -100)) == Margins(10_000, 60, -40)
    assert margins_of(ranked([700, 100], None)) == Margins(600, 10_000, 700)


def test_a_note_that_the_model_does_not_know_stands_far_below_none() -> None:
    """Where no model is stored a chunk alone brings a note in."""
    scores = Scores({0: 30, 1: 10}, [0, 1], {0: (30, 0), 1: (10, 1)}, {})
    margins = margins_of(ranked([0])._replace(scores=scores))
    assert (margins.lead, margins.points) == (20, -10_000)


@pytest.mark.parametrize("off", [-1, 0, 1])
@pytest.mark.parametrize("bar", ["lead", "over_none", "points"])
def test_each_bar_alone_keeps_from_answering(bar: str, off: int) -> None:
    """The other two are far passed; one thousandth below the bar is not enough, the bar itself is."""
    bars = {"lead": 300, "over_none": 100, "points": -50}
    model, none = {
        "lead": ([1000, 700 - off], 0),
        "over_none": ([1000, 0], 900 - off),
        "points": ([-50 + off, -1000], -1000),
    }[bar]
    found = ranked(model, none)
    assert getattr(margins_of(found), bar) == bars[bar] + off
    assert verdict(found).decision == ("choose" if off < 0 else "answer")


@given(*[st.integers(-3, 3)] * 3)
def test_an_answer_passes_all_three(lead: int, over: int, points: int) -> None:
    first = -50 + points
    found = ranked([first, first - 300 - lead], first - 100 - over)
    assert margins_of(found) == (300 + lead, 100 + over, -50 + points)
    assert (verdict(found).decision == "answer") == (min(lead, over, points) >= 0)


def test_an_answer_has_the_note_and_the_next_nearest() -> None:
    got = verdict(ranked([200, 1000, 50, 300, 100, 70]))
    assert got == Verdict("answer", (1, 3, 0, 4), 0.9)
    assert len(got.notes) == MOST_OPTIONS
    assert verdict(ranked([500])).notes == (0,)


@pytest.mark.parametrize(("first", "decision"), [(-201, "none"), (-200, "choose"), (-199, "choose")])
def test_what_stands_too_far_under_none_is_refused(first: int, decision: str) -> None:
    assert verdict(ranked([first, -900, -800, -700, -600])).decision == decision


def test_none_names_the_three_nearest_and_how_likely_any_note_covers_it() -> None:
    found = ranked([-400, -900, -800, -700, -600])
    assert verdict(found) == Verdict("none", (0, 4, 3), 0.05)
    covered = {**COVERED, "table": [[LEAST, 50], [-400, 370]]}
    assert verdict(found, covered=covered).confidence == 0.37
    chosen = verdict(found, refuse_below=-401, covered={"weights": [0, 0, 0], "table": [[LEAST, 1]]})
    assert (chosen.decision, chosen.confidence) == ("choose", 0.5)


def test_choose_offers_those_that_come_near_the_first() -> None:
    model = [100, 90, -149, -150, -151, 99]
    assert verdict(ranked(model)).notes == (0, 5, 1, 2)
    assert verdict(ranked(model[:5])).notes == (0, 1, 2, 3)
    assert verdict(ranked([100, -150, -151])).notes == (0, 1)
    assert verdict(ranked(model), choose_within=9).notes == (0, 5)


def test_choose_offers_two_though_the_second_is_far() -> None:
    got = verdict(ranked([0, -700, -701], 0))
    assert (got.decision, got.notes) == ("choose", (0, 1))


def test_nothing_found_is_none() -> None:
    empty = ranked([])._replace(scores=Scores({}, [], {}, {}))
    assert verdict(empty) == Verdict("none", (), 0.0)
    assert verdict(empty, refuse_below=LEAST, bars={"lead": LEAST, "over_none": LEAST, "points": LEAST}).notes == ()


_MODEL = st.lists(st.integers(-1500, 1500), max_size=NOTES)
_HARM = st.builds(
    lambda alarm, note, points, over: Harm(alarm, note, points, over),
    st.none() | st.integers(0, NOTES - 1),
    st.none() | st.integers(0, NOTES - 1),
    st.integers(-1500, 1500),
    st.integers(-1500, 1500),
)
_HARMFUL = st.sets(st.integers(0, NOTES - 1)).map(sorted)


@given(_MODEL, st.integers(-1500, 1500), _HARM, _HARMFUL)
def test_an_alarm_goes_first_whatever_fits(model: list[int], none: int, harm: Harm, harmful: list[int]) -> None:
    got = verdict(ranked(model, none, harm._replace(alarm=2)), harmful)
    assert (got.decision, got.notes[0], got.safety_first, got.harm_near) == ("answer", 2, True, True)
    assert got.notes[1:] == tuple(note for note in ranked(model).scores.order if note != 2)[: MOST_OPTIONS - 1]


@given(_MODEL, st.integers(-1500, 1500), _HARM, _HARMFUL)
def test_harm_that_comes_near_is_never_refused(model: list[int], none: int, harm: Harm, harmful: list[int]) -> None:
    found = ranked(model, none, harm)
    got = verdict(found, harmful)
    first = found.scores.order[:1]
    told = harm.note is not None and harm.points >= 100 and harm.over_none >= 0
    far = harm.note is not None and harm.points >= -600 and harm.over_none >= -1000
    if first:
        near = harm.alarm is not None or told or (first[0] in harmful and harm.over_none >= -1000)
        assert near <= got.harm_near <= (near or far)
        assert not (far and got.decision == "none")
        assert not (got.harm_near and got.decision == "none")
    if told and first and harm.alarm is None:
        assert harm.note in got.notes[:2]


@given(_MODEL, st.integers(-1500, 1500), _HARM, _HARMFUL)
def test_what_is_shown_is_shown_once_and_in_bounds(model: list[int], none: int, harm: Harm, harmful: list[int]) -> None:
    got = verdict(ranked(model, none, harm), harmful)
    assert len(set(got.notes)) == len(got.notes) <= MOST_OPTIONS
    assert 0 <= got.confidence <= 1
    assert got.decision != "choose" or len(model) < 2 or len(got.notes) >= 2
    assert got.harm_near or not got.safety_first


@pytest.mark.parametrize(
    ("points", "over", "first"), [(400, 0, True), (401, 1, True), (399, 500, False), (900, -1, False)]
)
def test_a_sentence_of_harm_puts_its_note_first_from_the_bar_on(points: int, over: int, first: bool) -> None:
    got = verdict(ranked([1000, 0, 0, -700], harm=Harm(None, 3, points, over)))
    assert got.safety_first is first
    assert got.notes[0] == (3 if first else 0)


@pytest.mark.parametrize(("points", "over", "near"), [(100, 0, True), (99, 0, False), (100, -1, False)])
def test_harm_told_in_passing_is_second(points: int, over: int, near: bool) -> None:
    got = verdict(ranked([1000, 500, 400, -700], harm=Harm(None, 3, points, over)))
    assert (got.decision, got.safety_first, got.harm_near) == ("answer", False, near)
    assert got.notes == ((0, 3, 1, 2) if near else (0, 1, 2, 3))


def test_harm_told_in_passing_stays_among_the_options_though_it_is_far() -> None:
    got = verdict(ranked([100, 90, 80, -700], harm=Harm(None, 3, 100, 0)))
    assert (got.decision, got.notes) == ("choose", (0, 3, 1, 2))
    assert verdict(ranked([100, 90, 80, -700], harm=Harm(None, 3, 99, 0))).notes == (0, 1, 2)


@pytest.mark.parametrize("off", [-1, 0, 1])
@pytest.mark.parametrize("bar", ["points", "over_none"])
def test_harm_far_behind_is_offered_where_nothing_else_would_be(bar: str, off: int) -> None:
    """From both of two bars on; what is not refused anyway is left as it is."""
    offered = {"points": -600, "over_none": -900}
    told = {**offered, bar: offered[bar] + off}
    harm = Harm(None, 3, told["points"], told["over_none"])
    changed = {**SETTINGS["harm"], "offered": offered}
    got = verdict(ranked([-400, -450, -500, -700], harm=harm), harm=changed)
    assert (got.decision, got.harm_near) == (("none", False) if off < 0 else ("choose", True))
    assert got.notes == ((0, 1, 2) if off < 0 else (0, 3, 1, 2))
    kept = verdict(ranked([-200, -450, -500, -700], harm=harm), harm=changed)
    assert (kept.decision, kept.harm_near, 3 in kept.notes) == ("choose", False, False)


def test_the_first_note_on_harm_is_never_refused() -> None:
    found = ranked([-900, -950, -1000])
    assert verdict(found, [1]).decision == "none"
    got = verdict(found, [0])
    assert (got.decision, got.notes[0], got.harm_near, got.safety_first) == ("choose", 0, True, False)


def test_a_note_on_harm_that_no_word_led_to_is_not_near() -> None:
    """Runs of letters alone bring it there; an alarm word and points past a bar count as ever."""
    assert verdict(ranked([-900, -950, -1000], known=False), [0]).decision == "none"
    assert verdict(ranked([-900, -950], harm=Harm(1, None, 0, 0), known=False), [0]).notes == (1, 0)
    assert verdict(ranked([-900, -950], harm=Harm(None, 1, -600, -1000), known=False), [0]).decision == "choose"


def test_an_alarm_is_as_sure_as_alarms_are_or_surer() -> None:
    """By the margins alone the first would be right at 0.9, 0.5 or 0.1."""
    alarm = Harm(0, None, 0, 0)
    assert verdict(ranked([900, 0], harm=alarm)).confidence == 0.9
    assert verdict(ranked([300, 0], harm=alarm)).confidence == 0.85
    assert verdict(ranked([0, 900], harm=alarm)).confidence == 0.85
    assert verdict(ranked([0, 900], harm=alarm), harm={**SETTINGS["harm"], "right": 990}).confidence == 0.99


@pytest.mark.parametrize(
    ("total", "stated"),
    [(LEAST - 1, 0.0), (LEAST, 0.1), (199, 0.1), (200, 0.5), (399, 0.5), (400, 0.9), (10**12, 0.9)],
)
def test_the_probability_stands_beside_the_sum_from_its_threshold_on(total: int, stated: float) -> None:
    assert probability(Margins(total, 0, 0), RIGHT) == stated


@given(
    st.lists(st.integers(-3000, 3000), min_size=3, max_size=3), st.lists(st.integers(-300, 300), min_size=3, max_size=3)
)
def test_the_sum_weighs_each_margin(margins: list[int], weights: list[int]) -> None:
    total = sum(a * b for a, b in zip(margins, weights, strict=True))
    table = [[total - 1, 100], [total, 400], [total + 1, 900]]
    assert probability(Margins(*margins), {"weights": weights, "table": table}) == 0.4


def test_a_calibration_wants_a_weight_a_margin() -> None:
    with pytest.raises(ValueError, match="longer"):
        probability(Margins(1, 2, 3), {"weights": [1, 2], "table": [[LEAST, 100]]})


def _rising(calibration: Mapping[str, Any]) -> bool:
    sums, stated = zip(*calibration["table"], strict=True)
    return list(sums) == sorted(set(sums)) and list(stated) == sorted(stated) and 0 <= stated[0] <= stated[-1] <= 1000


@pytest.mark.parametrize(
    "question", ["stick cap", "pad lead", "smoke", "the disc is dirty and smeared", "no power", "?"]
)
def test_what_the_pack_decides_with_is_in_order(mini_pack: Pack, question: str) -> None:
    for part in ("right", "covered"):
        assert _rising(mini_pack.decision[part])
    got = decide(Retriever(mini_pack)(question), mini_pack.decision, mini_pack.harm)
    assert 0 <= got.confidence <= 1
    assert got.decision in ("answer", "choose", "none")


def test_the_bars_that_ship_are_of_the_form_that_is_decided_by(shipped_pack: Pack) -> None:
    decision = shipped_pack.decision
    assert decision.keys() == plain_settings().decision.keys()
    assert [decision[part].keys() for part in ("bars", "harm", "turn")] == [
        plain_settings().decision[part].keys() for part in ("bars", "harm", "turn")
    ]
    assert decision["harm"]["near"] < decision["harm"]["bar"]
    assert _rising(decision["right"])
    assert _rising(decision["covered"])


def test_all_ways_to_come_out_are_reached() -> None:
    """The same ranking, with bars passed or not, far under none or not."""
    found = ranked([100, -300], 200)
    got = {
        verdict(found, bars=dict.fromkeys(("lead", "over_none", "points"), bar), refuse_below=below).decision
        for bar, below in product((LEAST, 10**9), (LEAST, 10**9))
    }
    assert got == {"answer", "choose", "none"}
