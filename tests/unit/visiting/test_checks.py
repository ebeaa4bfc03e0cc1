"""The order of checks against brute force and by hand."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, Sighting, Visit, Work
from assistant.journal.store import Journal
from assistant.model import SIGNALS, Branch, Note, SafetyMessage, Step
from assistant.planning.order import Check, expected_minutes
from assistant.visiting.checks import CheckRow, Plan, check_notes, check_steps, plain_order
from assistant.visiting.recorder import Recorder
from assistant.visiting.walk import begin, go_back, tick
from tests.making import changed
from tests.unit.visiting.scene import DEMO, OTHER


def fill(journal: Journal, counts: dict[str, int]) -> None:
    for note, count in counts.items():
        for _ in range(count):
            work = journal.add(Work(note, note, "clean", 1, 5))
            journal.add(Outcome(work.id, "mended"))


def test_which_note_first_by_hand(journal: Journal) -> None:
    """Seen 3, 1, 0 times with one case added to each: 4/7, 2/7, 1/7; minutes 20, 4, 30."""
    notes = [
        DEMO._replace(id=name, minutes=minutes, safety=())
        for name, minutes in (("pad-a", 20), ("pad-b", 4), ("pad-c", 30))
    ]
    fill(journal, {"pad-a": 3, "pad-b": 1})
    plan = check_notes(notes, journal)
    assert [row.probability for row in plan.written] == pytest.approx([4 / 7, 2 / 7, 1 / 7])
    assert [row.id for row in plan.best] == ["pad-b", "pad-a", "pad-c"]
    assert plan.best_minutes == pytest.approx((2 * 4 + 4 * 24 + 1 * 54) / 7, abs=0.01)
    assert plan.written_minutes == pytest.approx((4 * 20 + 2 * 24 + 1 * 54) / 7, abs=0.01)
    assert plan.seen == 4
    assert plain_order(plan) == f"Look first at: {DEMO.title}; then {DEMO.title}; then {DEMO.title}."


def test_before_anything_was_seen_all_are_alike(journal: Journal) -> None:
    plan = check_notes([DEMO, OTHER, DEMO._replace(id="pad-c")], journal)
    assert [row.probability for row in plan.written] == pytest.approx([1 / 3] * 3)
    for notes in ([DEMO], [DEMO, DEMO], []):
        with pytest.raises(UsageError, match="two different"):
            check_notes(notes, journal)


@pytest.mark.parametrize("change", [{"id": "safety-x"}, {"action": "withdraw"}, {"action": "escalate"}])
def test_a_note_on_safety_keeps_its_place(journal: Journal, change: dict[str, str]) -> None:
    quick = DEMO._replace(id="pad-quick", minutes=1, safety=())
    slow = changed(DEMO._replace(id="pad-slow", minutes=60, safety=()), **change)
    assert [row.fixed for row in check_notes([slow, quick], journal).best] == [True, False]
    assert [row.fixed for row in check_notes([quick, slow], journal).best] == [False, True]


class Seen:
    """Stands for a journal that holds these records."""

    def __init__(self, *records: tuple[object, ...]) -> None:
        self._records = records

    def all(self, kind: type, **_: object) -> list[object]:
        """Return the records of a kind."""
        return [record for record in self._records if isinstance(record, kind)]


def least_minutes(rows: Sequence[CheckRow], barriers: set[str]) -> float:
    """Try every order in which each barrier has the same checks before it as written."""
    checks = [Check(row.id, row.probability, row.minutes) for row in rows]
    return min(
        expected_minutes(order)
        for order in permutations(checks)
        if all(
            order[place] == check and {*order[:place]} == {*checks[:place]}
            for place, check in enumerate(checks)
            if check.id in barriers
        )
    )


def assert_nothing_passes(plan: Plan, barriers: set[str]) -> None:
    """Assert that each barrier has the same checks before it and behind it as written."""
    written, best = [row.id for row in plan.written], [row.id for row in plan.best]
    assert sorted(written) == sorted(best)
    for barrier in barriers:
        place = written.index(barrier)
        assert best[place] == barrier
        assert {*best[:place]} == {*written[:place]}


@given(st.lists(st.tuples(st.integers(1, 60), st.integers(0, 9), st.booleans()), min_size=2, max_size=5))
def test_no_allowed_order_of_notes_is_better(cases: list[tuple[int, int, bool]]) -> None:
    notes = [
        DEMO._replace(id=f"{'safety' if fixed else 'pad'}-{n}", minutes=minutes, safety=())
        for n, (minutes, _, fixed) in enumerate(cases)
    ]
    done = [note.id for note, (_, count, _) in zip(notes, cases, strict=True) for _ in range(count)]
    works = [Work(note, "", "", 1, 1, id=n) for n, note in enumerate(done, start=1)]
    plan = check_notes(notes, Seen(*works, *(Outcome(work.id, "mended") for work in works)))  # type: ignore[arg-type]
    barriers = {note.id for note in notes if note.id.startswith("safety-")}
    assert_nothing_passes(plan, barriers)
    assert plan.best_minutes == pytest.approx(least_minutes(plan.written, barriers), abs=0.01)


def test_works_at_one_kind_of_station(journal: Journal) -> None:
    """Mended twice at the pad and once at the display, of two notes."""
    visit = journal.add(Visit("S-1"))
    for station, model in (("A-1", "pad"), ("A-2", "screen")):
        journal.add(Sighting(visit.id, station, "fault", model, "dark"))
    for station, note in (("A-1", "pad-demo"), ("A-1", "pad-demo"), ("A-2", "pad-other")):
        journal.add(Outcome(journal.add(Work(note, note, "clean", 1, 5, station)).id, "replaced"))
    assert [row.seen for row in check_notes([DEMO, OTHER], journal).written] == [2, 1]
    plan = check_notes([DEMO, OTHER], journal, station_model="pad")
    assert [row.probability for row in plan.written] == pytest.approx([3 / 4, 1 / 4])
    assert "of the kind pad" in plan.definition


def test_a_note_with_a_danger_keeps_its_place(journal: Journal) -> None:
    danger = DEMO._replace(id="pad-a", minutes=60, safety=(SafetyMessage("DANGER", "Live parts.", 2),))
    warning = danger._replace(id="pad-b", safety=(SafetyMessage("WARNING", "Hot.", 2),))
    quick = DEMO._replace(id="pad-c", minutes=1, safety=())
    assert [row.id for row in check_notes([danger, warning, quick], journal).best] == ["pad-a", "pad-c", "pad-b"]


def look(n: int, *notes: str, step: int | None = None) -> Step:
    """Return a step with a choice for each note, and one for a step to go to."""
    to_notes = tuple(Branch(f"If {note}", f'If {note}: go to "{note}".', note=note) for note in notes)
    to_step = (Branch("If lit", f"If lit: go to step {step}.", step=step),) if step else ()
    return Step(n, f"Look at part {n}.", (*to_notes, *to_step))


def note_of(*steps: Step, guarded: int | None = None) -> Note:
    safety = (SafetyMessage("DANGER", "Live parts.", guarded),) if guarded else ()
    return DEMO._replace(minutes=2 * len(steps), steps=steps, safety=safety)


def take(recorder: Recorder, note: Note, *chosen: int) -> None:
    """Work through the first steps of a note with these choices."""
    walk = recorder.walk_of(recorder.begin(note), note)
    for choice in chosen:
        walk = recorder.act(walk, tick(walk, choice))


def test_which_step_first_by_hand(recorder: Recorder, journal: Journal) -> None:
    """Causes a, b under step 1, c under step 2; c was taken twice: 1/5, 1/5, 3/5. Two minutes a step."""
    note = note_of(look(1, "pad-a", "pad-b"), look(2, "pad-c"), Step(3, "Close the door."))
    take(recorder, note, 2, 0)
    take(recorder, note, 2, 0)
    plan = check_steps(note, journal)
    assert [(row.id, row.seen, row.minutes, row.fixed) for row in plan.written] == [
        ("1", 0, 2.0, False),
        ("2", 2, 2.0, False),
        ("3", 0, 2.0, True),
    ]
    assert [row.probability for row in plan.written] == pytest.approx([2 / 5, 3 / 5, 0])
    assert [row.id for row in plan.best] == ["2", "1", "3"]
    assert plan.written_minutes == pytest.approx(2 / 5 * 2 + 3 / 5 * 4)
    assert plan.best_minutes == pytest.approx(3 / 5 * 2 + 2 / 5 * 4)
    assert "over its 3 steps" in plan.definition
    assert note.steps[0].n == 1


def test_the_prior_alone_makes_each_choice_alike(journal: Journal) -> None:
    note = note_of(look(1, "pad-a"), look(2, "pad-b"), look(3, "pad-c"), look(4, "pad-d"))
    plan = check_steps(note, journal, prior=0.5)
    assert [row.probability for row in plan.written] == pytest.approx([1 / 4] * 4)
    assert plan.best == plan.written


def test_a_choice_counts_as_it_stands_and_in_its_words(recorder: Recorder, journal: Journal) -> None:
    note = note_of(look(1, "pad-a"), look(2, "pad-b"))
    walk = recorder.walk_of(recorder.begin(note), note)
    walk = recorder.act(walk, tick(walk, 0))
    recorder.act(walk, go_back(walk))
    take(recorder, changed(note, steps=(look(1, "pad-z"), look(2, "pad-b")), revision=9), 1, 0)
    take(recorder, changed(note, id="pad-else"), 0)
    assert [row.seen for row in check_steps(note, journal).written] == [0, 1]


@pytest.mark.parametrize(
    ("between", "guarded"),
    [
        (Step(3, "Switch the station off."), None),
        (look(3, "pad-x"), 3),
        (look(3, "pad-x", step=1), None),
        (look(3, "pad-x", "safety-x"), None),
        (look(3, step=5), None),
    ],
)
def test_no_check_passes_a_step_that_keeps_its_place(
    recorder: Recorder, journal: Journal, between: Step, guarded: int | None
) -> None:
    note = note_of(look(1, "pad-a"), look(2, "pad-b"), between, look(4, "pad-c"), look(5, "pad-d"), guarded=guarded)
    work = recorder.begin(note)
    step = note.steps[4]
    recorder.act(
        begin(note, work.id), Act(work.id, "done", 5, step.text, choice=step.branches[0].text, to_note="pad-d")
    )
    assert [row.id for row in check_steps(note, journal).best] == ["1", "2", "3", "5", "4"]


def test_the_order_of_checks_in_a_sentence_names_no_other_step(recorder: Recorder, journal: Journal) -> None:
    note = note_of(Step(1, "Switch the station off."), look(2, "pad-a"), look(3, "pad-b"))
    work = recorder.begin(note)
    step = note.steps[2]
    recorder.act(
        begin(note, work.id), Act(work.id, "done", 3, step.text, choice=step.branches[0].text, to_note="pad-b")
    )
    said = plain_order(check_steps(note, journal))
    assert said == (
        f"Look first at: step 3, {step.text.rstrip('.')}; then step 2, {note.steps[1].text.rstrip('.')}. "
        "Do the other steps where they stand."
    )


def test_a_check_with_none_beside_it_keeps_its_place(journal: Journal) -> None:
    note = note_of(look(1, "pad-a"), Step(2, "Switch the station off."), look(3, "pad-b"))
    assert all(row.fixed for row in check_steps(note, journal).written)


def test_one_check_is_no_order(journal: Journal) -> None:
    for note in (DEMO, note_of(look(1, "pad-a", "pad-b"), Step(2, "Close the door."))):
        with pytest.raises(UsageError, match="no two checks"):
            check_steps(note, journal)


@st.composite
def checked_notes(draw: st.DrawFn) -> tuple[Note, Seen, set[str]]:
    """Draw a note, works through it, and the numbers of the steps that must keep their place."""
    steps: list[Step] = []
    acts: list[Act] = []
    barriers: set[str] = set()
    count = draw(st.integers(2, 5))
    guards = draw(st.sets(st.integers(3, count))) if count >= 3 else set()
    for n in range(1, count + 1):
        letters = draw(st.sampled_from(["a", "ab"] if n <= 2 else ["", "a", "ab"]))
        notes = [f"{draw(st.sampled_from(['pad', 'pad', 'safety']))}-{n}{letter}" for letter in letters]
        to_step = draw(st.none() | st.integers(1, count))
        steps.append(look(n, *notes, step=to_step))
        leads_back = to_step is not None and to_step <= n
        if n in guards or not notes or leads_back or any(note.startswith("safety") for note in notes):
            barriers.add(str(n))
        acts += [
            Act(1 + len(acts) + k, "done", n, steps[-1].text, choice=branch.text, to_note=branch.note)
            for branch in steps[-1].branches
            if branch.note
            for k in range(draw(st.integers(0, 5)))
        ]
    safety = tuple(SafetyMessage(draw(st.sampled_from(SIGNALS)), "Take care.", n) for n in sorted(guards))
    acts = [act._replace(work=work) for work, act in enumerate(acts, start=1)]
    works = [Work("pad-demo", "", "", 3, 6, id=act.work) for act in acts]
    return DEMO._replace(steps=tuple(steps), safety=safety), Seen(*works, *acts), barriers


@given(checked_notes())
def test_no_allowed_order_of_steps_is_better_and_none_passes_a_safety_message(
    case: tuple[Note, Seen, set[str]],
) -> None:
    note, seen, barriers = case
    plan = check_steps(note, seen)  # type: ignore[arg-type]
    assert sum(row.probability for row in plan.written) == pytest.approx(1)
    assert {row.id for row in plan.written if row.fixed} >= barriers
    assert_nothing_passes(plan, barriers)
    assert plan.best_minutes == pytest.approx(least_minutes(plan.written, barriers), abs=0.01)
    assert plan.best_minutes <= plan.written_minutes
