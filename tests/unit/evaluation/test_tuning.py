"""Choosing bars: what is left out of a fold, what counts, and that what is chosen is the best of what is allowed."""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib import resources
from itertools import product
from typing import Any

import numpy as np
import pytest

from assistant.answering.decide import Margins
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.lines import lines_of
from assistant.compiling.settings import settings_from_json
from assistant.errors import UsageError
from assistant.evaluation import tuning
from assistant.evaluation.enough import FEWEST, FEWEST_TURNS
from assistant.evaluation.labels import LabelledQuestion, Talk, TalkTurn
from assistant.evaluation.run import outcomes, summarize
from assistant.evaluation.tuning import (
    FOLDS,
    MOST_LEFT_OUT,
    MOST_UNCOVERED,
    Asked,
    asked_of,
    fold_of,
    left_out,
    tune,
    without_fold,
)
from assistant.model import Alarm, Corpus, Phrases
from assistant.notes.corpus import read_corpus
from assistant.notes.reader import read_note
from assistant.pack.reader import Pack
from tests.making import NOTE_PATH, NOTE_TEXT, Told, changed, plain_settings
from tests.unit.evaluation.making import labelled

IDS = tuple(f"pad-{letter}" for letter in "abcdefghijkl")
BAND = 60


@pytest.fixture(scope="module")
def lettered() -> Corpus:
    """Twelve notes that name one another wherever a corpus can."""
    note = read_note(NOTE_TEXT, NOTE_PATH)
    around = [*IDS[1:], IDS[0]]
    notes = tuple(
        changed(note, id=one, phrases=Phrases(not_this=((f"not {one}", other), (f"nothing like {one}", ""))))
        for one, other in zip(IDS, around, strict=True)
    )
    return Corpus(
        notes,
        uncovered=("when do i get paid",),
        followups=(("time", "how long"),),
        dangers=tuple((one, f"harm of {one}") for one in IDS),
        ambiguous=(
            *(((one,), f"only {one}") for one in IDS),
            *(((one, other), f"{one} or {other}") for one, other in zip(IDS, around, strict=True)),
        ),
        alarms=tuple(Alarm(one, (f"alarm {one}",)) for one in IDS),
    )


def test_every_note_is_left_out_once(lettered: Corpus) -> None:
    kept = [{note.id for note in without_fold(lettered, fold).notes} for fold in range(FOLDS)]
    assert [sum(one not in ids for ids in kept) for one in IDS] == [1] * len(IDS)
    assert all(fold_of(one) == fold for fold, ids in enumerate(kept) for one in set(IDS) - ids)


@pytest.mark.parametrize("fold", range(FOLDS))
def test_nothing_of_the_notes_that_are_left_out_stays(lettered: Corpus, fold: int) -> None:
    rest = without_fold(lettered, fold)
    kept = {note.id for note in rest.notes}
    gone = set(IDS) - kept
    assert {one for one, _ in rest.dangers} == {alarm.note for alarm in rest.alarms} == kept
    assert {other for note in rest.notes for _, other in note.phrases.not_this} <= {*kept, ""}
    assert {note for notes, _ in rest.ambiguous for note in notes} == kept
    assert not any(not notes for notes, _ in rest.ambiguous)
    lines = lines_of(rest, 60)
    for one in gone:
        assert not {f"only {one}", f"harm of {one}", f"not {one}", f"nothing like {one}"} & lines.keys()


@pytest.mark.parametrize("fold", range(FOLDS))
def test_what_belongs_to_others_as_well_stays(lettered: Corpus, fold: int) -> None:
    rest = without_fold(lettered, fold)
    kept = {note.id for note in rest.notes}
    assert (rest.uncovered, rest.followups) == (lettered.uncovered, lettered.followups)
    assert all((f"nothing like {note.id}", "") in note.phrases.not_this for note in rest.notes)
    for notes, question in lettered.ambiguous:
        left = tuple(note for note in notes if note in kept)
        assert ((left, question) in rest.ambiguous) == bool(left)


def test_what_sounds_near_to_a_note_that_is_gone_is_not_learned_for_none(lettered: Corpus) -> None:
    """A line of ``not_this`` that names a note left out would otherwise teach that no note covers it."""
    for fold in range(FOLDS):
        rest = without_fold(lettered, fold)
        for note in lettered.notes:
            (line, other), _ = note.phrases.not_this
            assert (line in lines_of(rest, 60)) == (fold not in (fold_of(note.id), fold_of(other)))


@pytest.fixture(scope="module")
def mini(mini_corpus_path: Any) -> Corpus:
    return read_corpus(mini_corpus_path)


QUESTIONS = [
    labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
    labelled("q2", "wipe the sticky disc", "noisy", notes=("disc-clean",)),
    labelled("q3", "stick cap or lead", "ambiguous", notes=("pad-stick-cap", "pad-cable-damage")),
    labelled("q4", "who won the match", "uncovered", (), kind="off"),
    labelled("q5", "battery hisses", "cry", ("safety-swollen-cell",), danger="safety-swollen-cell"),
    labelled("q6", "hot chips", "look-alike", ()),
    labelled("q7", "smoke from the stick", "plain", ("pad-stick-cap",), danger="safety-swollen-cell"),
    labelled("q8", "stick cap dirty disc", "plain", ("pad-stick-cap",)),
    labelled("q9", "zzzz qqqq", "plain", ("pad-stick-cap",)),
]


def test_bars_are_chosen_on_what_a_note_answers_or_none_covers(mini_pack: Pack) -> None:
    """Without alarms, which no bar decides, and without what shares nothing with any note."""
    found = {row.question.id: row for row in asked_of(mini_pack, QUESTIONS)}
    assert list(found) == ["q1", "q2", "q4", "q8"]
    assert [(row.right, row.covered, row.left_out) for row in found.values()][:3] == [
        (True, True, False),
        (True, True, False),
        (False, False, False),
    ]


def test_questions_of_notes_left_out_are_asked_without_them(mini: Corpus) -> None:
    """None of them is right or covered, and the note with a danger counts as one of theirs."""
    told = Told()
    found = left_out(mini, plain_settings(), QUESTIONS, told)
    assert {row.question.id for row in found} <= {"q1", "q2", "q8", "q9"}
    assert {"q1", "q2", "q8"} <= {row.question.id for row in found}
    assert not any(row.right or row.covered for row in found)
    assert all(row.left_out for row in found)
    assert told == [f"leaving notes out, fold {fold} of {FOLDS}" for fold in range(1, FOLDS + 1)]


def row(margins: Sequence[int], kind: str, number: int = 0, manner: str = "plain") -> Asked:
    """Return a question that came out ``right``, ``wrong``, ``uncovered`` or ``left`` (out)."""
    return Asked(
        labelled(f"q{number}", f"question {number}", manner),
        Margins(*margins),
        kind == "right",
        kind in ("right", "wrong"),
        kind == "left",
    )


def drawn(seed: int, count: int = 300) -> list[Asked]:
    random = np.random.default_rng(seed)
    kinds = random.choice(["right", "wrong", "uncovered", "left"], count, p=[0.5, 0.1, 0.2, 0.2])
    centre = {"right": 600, "wrong": 100, "uncovered": 0, "left": 50}
    return [
        row(random.normal(centre[kind], 300, 3).astype(int).tolist(), kind, number, ["plain", "long"][number % 9 == 0])
        for number, kind in enumerate(kinds.tolist())
    ]


@pytest.mark.parametrize("seed", range(3))
def test_bars_answer_most_of_what_is_right_within_what_may_be_wrong(seed: int) -> None:
    """Against all bars of a coarser grid; stories do not count for what is right or wrong."""
    asked = drawn(seed)
    bars = tuning._best_bars(asked)

    def value(lead: int, over: int, points: int) -> float | None:
        answered = [a for a in asked if _all(a.margins, (lead, over, points))]
        left, uncovered = ([a for a in asked if _is(a, kind)] for kind in ("left", "uncovered"))
        if sum(_is(a, "left") for a in answered) > MOST_LEFT_OUT * len(left):
            return None
        if sum(_is(a, "uncovered") for a in answered) > MOST_UNCOVERED * len(uncovered):
            return None
        told = [a for a in answered if a.question.manner != "long"]
        return sum(a.right for a in told) - 2 * sum(a.covered and not a.right for a in told)

    best = value(bars["lead"], bars["over_none"], bars["points"])
    assert best is not None
    others = [value(*bar) for bar in product(range(0, 801, 200), range(0, 1501, 250), range(-600, 401, 200))]
    assert best >= max(other for other in others if other is not None)


def _all(margins: Sequence[int], bars: Sequence[int]) -> bool:
    return all(margin >= bar for margin, bar in zip(margins, bars, strict=True))


def _is(asked: Asked, kind: str) -> bool:
    return asked.left_out if kind == "left" else not asked.covered and not asked.left_out


def led(lead: int, kind: str, number: int = 0, manner: str = "plain") -> Asked:
    """Return a question of which the lead alone decides; the other margins pass any bar."""
    return row((lead, 9000, 9000), kind, number, manner)


@pytest.mark.parametrize(("kind", "most"), [("left", MOST_LEFT_OUT), ("uncovered", MOST_UNCOVERED)])
def test_the_lowest_bar_is_chosen_that_answers_few_enough(kind: str, most: float) -> None:
    """A hundred that must not be answered lie a few thousandths apart, and all right ones above them."""
    leads = [8 * n for n in range(100)]
    asked = [*(led(lead, kind, n) for n, lead in enumerate(leads)), *(led(800, "right", n) for n in range(50))]
    allowed = [bar for bar in range(0, 801, 50) if sum(lead >= bar for lead in leads) <= most * len(leads)]
    assert tuning._best_bars(asked) == {"lead": min(allowed), "over_none": 0, "points": -600}


def test_a_wrong_answer_weighs_as_much_as_two_right_ones() -> None:
    high = [led(200, "right", n) for n in range(10)]
    wrong = [led(100, "wrong", n) for n in range(5)]
    assert tuning._best_bars([*high, *wrong, *(led(100, "right", n) for n in range(11))])["lead"] == 0
    assert tuning._best_bars([*high, *wrong, *(led(100, "right", n) for n in range(9))])["lead"] == 150


def test_stories_count_for_nothing_that_is_right_or_wrong() -> None:
    plain = [*(led(200, "right", n) for n in range(10)), *(led(100, "wrong", n) for n in range(5))]
    assert tuning._best_bars([*plain, *(led(100, "right", n, "long") for n in range(90))])["lead"] == 150
    plain = [led(100, "right", n) for n in range(10)]
    assert tuning._best_bars([*plain, *(led(100, "wrong", n, "long") for n in range(90))])["lead"] == 0


def test_where_no_bars_hold_back_what_is_uncovered_it_is_said_what_to_add() -> None:
    asked = [row((9000, 9000, 9000), "uncovered", n) for n in range(20)] + [row((0, 0, 0), "right")]
    with pytest.raises(UsageError, match=r"add questions to uncovered\.txt"):
        tuning._best_bars(asked)


def asked_for(count: int, uncovered: int, others: int = 0) -> list[LabelledQuestion]:
    """Return plain and uncovered questions, and some that no bar is chosen on."""
    asked = [labelled(f"p{n}", f"question {n}", notes=("disc-clean",)) for n in range(count - uncovered)]
    asked += [labelled(f"u{n}", f"no question {n}", "uncovered", (), kind="off") for n in range(uncovered)]
    return asked + [labelled(f"k{n}", f"alike {n}", "look-alike", ()) for n in range(others)]


@pytest.mark.parametrize(
    ("asked", "counted"),
    [
        (asked_for(FEWEST - 1, 10), "89 covered and 10 uncovered ones"),
        (asked_for(FEWEST, 0), "100 covered and 0 uncovered ones"),
        (asked_for(FEWEST, 9, others=50), "91 covered and 9 uncovered ones"),
        (asked_for(9, 9), "0 covered and 9 uncovered ones"),
        ([], "0 covered and 0 uncovered ones"),
    ],
)
def test_what_has_too_few_labels_is_told_and_kept(mini: Corpus, asked: list[LabelledQuestion], counted: str) -> None:
    """Look-alikes and other questions that no bar is chosen on do not count."""
    tuned = tune(mini, SHIPPED, asked, [])
    assert (
        f"bars of an answer and stated probabilities: 100 questions, 10 or more of each kind; there are {counted}"
        in (tuned.lacking[0])
    )
    before, after = (json.loads(text)["decision"] for text in (SHIPPED, tuned.text))
    kept = ("bars", "right", "covered", "harm", "turn")
    assert {name: after[name] for name in kept} == {name: before[name] for name in kept}


def test_without_labels_nothing_is_compiled_and_every_part_is_named(mini: Corpus) -> None:
    told = Told()
    tuned = tune(mini, SHIPPED, [], [], told)
    assert tuned.text == SHIPPED
    assert not told
    assert [what.partition(":")[0].removeprefix("too few labels for the ") for what in tuned.lacking] == [
        "bars of an answer and stated probabilities",
        "bar of harm",
        "bar of a refusal",
        "bars of turns",
    ]


SHIPPED = resources.files("assistant.compiling").joinpath("settings.json").read_text("utf-8")
WORDS = {
    "disc-clean": ("disc", ("dirty", "smeared", "dusty", "sticky", "greasy")),
    "pad-cable-damage": ("pad lead", ("cut", "crushed", "chewed", "frayed", "bare")),
    "pad-stick-cap": ("stick cap", ("torn", "missing", "loose", "gone", "worn")),
    "power-strip-dead": ("outlet strip", ("dead", "off", "without power", "dark", "unlit")),
    "safety-swollen-cell": ("battery", ("hot", "puffed up", "leaking", "burst", "fat")),
    "screen-no-signal": ("display", ("no signal", "no picture", "blue", "no input", "black")),
}


def _turn(question: str, about: str) -> TalkTurn:
    return TalkTurn(question, ("pad-stick-cap",), about)


TALKS = [
    Talk(f"d{n}", (_turn("stick cap torn", "procedure"), _turn("how long", "time")), "tune")
    for n in range(FEWEST_TURNS)
]
STRANGE = ("pizza", "train to town", "match score", "holiday", "wages", "weather", "song", "lottery", "recipe", "poem")


@pytest.fixture(scope="module")
def tuned(mini: Corpus) -> tuple[dict[str, Any], list[LabelledQuestion], Told]:
    """The settings file after tuning on made-up questions of the six short notes."""
    questions = [
        labelled(
            f"{note}{n}{form}", form.format(thing, trouble), notes=(note,), danger=note if "safety" in note else ""
        )
        for note, (thing, troubles) in WORDS.items()
        for n, trouble in enumerate(troubles)
        for form in ("{} {}", "the {} is {}", "{1} {0}", "it is {1}, my {0}")
    ]
    questions += [
        labelled(f"u{word}{n}", form.format(word), "uncovered", (), kind="off")
        for word in STRANGE
        for n, form in enumerate(("any {}", "tell me of the {}", "{} please", "where is the {}"))
    ]
    questions += [labelled("v", "pad lead or stick cap", "ambiguous", ("pad-stick-cap", "pad-cable-damage"))]
    told = Told()
    chosen = tune(mini, SHIPPED, questions, TALKS, told)
    assert chosen.lacking == ()
    return json.loads(chosen.text), questions, told


def test_tuning_changes_the_decision_and_nothing_else(
    tuned: tuple[dict[str, Any], list[LabelledQuestion], Told],
) -> None:
    data, questions, told = tuned
    before = json.loads(SHIPPED)
    assert {name: value for name, value in data.items() if name != "decision"} == {
        name: value for name, value in before.items() if name != "decision"
    }
    assert data["decision"].keys() == before["decision"].keys()
    assert data["decision"]["bm25f_share"] == before["decision"]["bm25f_share"]
    assert data["decision"]["labelled"] == len(questions)
    assert [
        name for name in ("bars", "harm", "turn") if data["decision"][name].keys() != before["decision"][name].keys()
    ] == []
    assert told[0] == "compiling"
    assert told[-1] == "choosing bars of turns"


def test_a_pack_of_what_was_chosen_answers_by_it(
    tuned: tuple[dict[str, Any], list[LabelledQuestion], Told], mini: Corpus, tmp_path: Any
) -> None:
    """Most of what was tuned on is answered right, and no more uncovered questions than may be."""
    data, questions, _ = tuned
    path = tmp_path / "tuned.pack"
    compile_corpus(mini, settings_from_json(json.dumps(data)), path)
    with Pack(path) as pack:
        shares = summarize(outcomes(pack, questions)).shares
    assert shares["answered outright and right"].value > 0.5
    assert shares["false answers"].value <= MOST_UNCOVERED + 0.05
    assert data["decision"]["harm"]["near"] == data["decision"]["harm"]["bar"] - 300


def test_tuning_again_gives_the_same_text(
    tuned: tuple[dict[str, Any], list[LabelledQuestion], Told], mini: Corpus
) -> None:
    """What was chosen before does not sway what is chosen."""
    data, questions, _ = tuned
    assert json.loads(tune(mini, json.dumps(data), questions, TALKS).text) == data


def test_what_is_stated_is_learned_alone(
    tuned: tuple[dict[str, Any], list[LabelledQuestion], Told], mini: Corpus
) -> None:
    """As with the rest, but that no bar moves, and no pack without notes is compiled."""
    data, questions, _ = tuned
    told = Told()
    alone = tune(mini, SHIPPED, questions, TALKS, told, stated_alone=True)
    decision, before = (json.loads(text)["decision"] for text in (alone.text, SHIPPED))
    learned = ("right", "covered")
    assert alone.lacking == ()
    assert {name: decision[name] for name in learned} == {name: data["decision"][name] for name in learned}
    assert {name for name in before if decision[name] != before[name]} == {*learned}
    assert not [one for one in told if "left" in one or "leaving" in one]


def test_too_few_labels_state_nothing_anew(mini: Corpus) -> None:
    tuned = tune(mini, SHIPPED, asked_for(FEWEST - 1, 10), [], stated_alone=True)
    assert tuned.text == SHIPPED
    assert [what.partition(":")[0] for what in tuned.lacking] == [
        "too few labels for the bars of an answer and stated probabilities"
    ]
