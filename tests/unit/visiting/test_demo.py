"""Made-up journals: the same for the same seed, of every kind, and true to the rules of working through a note."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from assistant.errors import UsageError
from assistant.journal.records import (
    ACTS,
    KINDS,
    OUTCOMES,
    USES,
    VERDICTS,
    Act,
    Arrival,
    Closing,
    Count,
    Entry,
    Escalation,
    Feedback,
    Incident,
    Outcome,
    Part,
    Photo,
    Question,
    Record,
    Sighting,
    Swap,
    Undo,
    Visit,
    Work,
)
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.visiting.demo import fill_demo
from assistant.visiting.demo_words import shipped_scenes
from assistant.visiting.figures import repeat_faults
from assistant.visiting.kit import live_bag
from assistant.visiting.open_points import left_open
from assistant.visiting.photos import FOLDER
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import events
from assistant.visiting.walk import replay
from tests.shipped import shipped_corpus

CASES, THEMES = shipped_scenes()
MIXED_UP = "dark: no, that is the next station"
UNTIL = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
DAY = "2026-03-02"
HARM = frozenset({"safety-burning-smell", "power-cable-damage", "disc-noise"})
"""Some notes, whose works the demo must not end as mended; the last one has no reason but that it is followed often."""


@cache
def notes() -> dict[str, Note]:
    return {note.id: note for note in shipped_corpus().notes}


@contextmanager
def fill(path: Path, seed: int) -> Iterator[Journal]:
    with Journal(path) as journal:
        fill_demo(journal, notes().get, until=UNTIL, harm=HARM, seed=seed)
        yield journal


@pytest.fixture(scope="module", params=[1, 2, 3])
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Journal]:
    with fill(tmp_path_factory.mktemp("demo") / "journal.db", request.param) as journal:
        yield journal


def records(journal: Journal) -> list[Record]:
    return [record for kind in KINDS for record in journal.every(kind)]


def test_the_same_seed_gives_the_same_records(tmp_path: Path) -> None:
    with fill(tmp_path / "a.db", 1) as a, fill(tmp_path / "b.db", 1) as b, fill(tmp_path / "c.db", 2) as c:
        assert records(a) == records(b)
        assert records(a) != records(c)


def test_every_kind_of_record_act_outcome_and_verdict_is_there(filled: Journal) -> None:
    assert all(filled.all(kind) for kind in KINDS)
    assert {act.act for act in filled.all(Act)} == set(ACTS) - {"back"}
    assert {outcome.outcome for outcome in filled.all(Outcome)} == set(OUTCOMES)
    assert {part.use for part in filled.all(Part)} == set(USES)
    assert {feedback.verdict for feedback in filled.all(Feedback)} == set(VERDICTS)
    assert {question.decision for question in filled.all(Question)} == {"answer", "choose", "none"}
    assert all(act.reason for act in filled.all(Act, act="skipped"))
    assert all(handed.contact and handed.due > handed.at[:10] for handed in filled.all(Escalation))
    assert any(handed.job for handed in filled.all(Escalation))


def test_ten_shops_are_visited_in_turn_over_120_days(filled: Journal) -> None:
    visits = filled.all(Visit)
    assert [visit.at for visit in visits] == sorted(visit.at for visit in visits)
    assert Counter(visit.store for visit in visits[:-1]) == {f"S-{n:03}": 6 for n in range(1, 11)}
    assert visits[0].at[:10] == "2025-11-02"  # 120 days before: 28 of November, 31, 31, 28, and 2 of March
    assert max(record.at for record in records(filled)) <= DAY + "T17:00"


def test_a_station_stays_in_its_shop_and_keeps_its_kind(filled: Journal) -> None:
    stores = {visit.id: visit.store for visit in filled.all(Visit)}
    places = {
        (sighting.station, sighting.model, stores[sighting.visit])
        for sighting in filled.all(Sighting)
        if sighting.model
    }
    assert len({station for station, _, _ in places}) == len(places)
    assert all(4 <= count <= 8 for count in Counter(store for _, _, store in places).values())


def test_a_visit_is_open_with_a_work_in_the_middle_of_a_step(filled: Journal) -> None:
    recorder = Recorder(filled)
    assert recorder.visit is not None
    assert recorder.visit.at[:10] == DAY
    now, earlier = recorder.open_works()
    walk = recorder.walk_of(now, notes()[now.note])
    assert now.visit == recorder.visit.id != earlier.visit
    assert walk.step > 1
    assert not walk.finished
    assert filled.all(Act, work=earlier.id)
    assert filled.all(Question, visit=recorder.visit.id)


def test_something_of_every_kind_is_left_open(filled: Journal) -> None:
    stores = sorted({visit.store for visit in filled.all(Visit)})
    kinds = {point.kind for store in stores for point in left_open(filled, store)}
    assert kinds == {"withdrawn", "fault", "part"}
    assert repeat_faults(filled)


def test_the_rest_of_a_day_is_there(filled: Journal) -> None:
    visits = {visit.id: visit for visit in filled.all(Visit)}
    assert {arrival.visit for arrival in filled.all(Arrival)} == visits.keys()
    closings = filled.all(Closing)
    assert len(closings) == len(visits) - 1
    assert any(closing.taken_by and closing.signed == "typed" for closing in closings)
    assert all(closing.next_visit > closing.at[:10] for closing in closings if closing.next_visit)
    assert {incident.incident for incident in filled.all(Incident)} == {"near_miss"}
    assert all(swap.taken_out != swap.put_in for swap in filled.all(Swap))
    back = {undo.entry for undo in filled.all(Undo)}
    assert back
    assert {sighting.entry for sighting in filled.every(Sighting)} - {s.entry for s in filled.all(Sighting)} == back
    assert len({count.entry for count in filled.all(Count)}) == 5
    assert any(row.fill for row in live_bag(filled, shipped_corpus().trade).rows)
    assert all(entry.says for entry in filled.every(Entry))


def test_pictures_are_beside_the_journal(filled: Journal) -> None:
    photos = filled.all(Photo)
    kept = {file.name: file.read_bytes() for file in (filled.path.parent / FOLDER).iterdir()}
    assert {photo.copy for photo in photos} == kept.keys()
    assert all(picture.startswith(b"\x89PNG") and len(picture) < 1000 for picture in kept.values())
    assert len({photo.name for photo in photos}) == len(photos) > 5


def test_no_station_that_is_out_of_service_plays_again_without_a_release(filled: Journal) -> None:
    out: set[str] = set()
    released = 0
    for event in events(filled):
        if event.name == "withdrawn":
            out.add(event.station)
        elif event.name == "released":
            out.discard(event.station)
            released += 1
        elif event.name in {"pass", "mended", "replaced"}:
            assert event.station not in out
    assert released
    grave = {work.id for work in filled.all(Work) if work.note in HARM or work.action == "withdraw"}
    assert grave
    assert not [o for o in filled.all(Outcome) if o.work in grave and o.outcome in {"mended", "replaced"}]


def test_works_lead_on_by_a_choice_on_their_way_and_at_their_end(filled: Journal) -> None:
    works = {work.id: work for work in filled.all(Work)}
    ended = {outcome.work: outcome.outcome for outcome in filled.all(Outcome)}
    chosen = {(act.work, act.to_note): act.to_step for act in filled.all(Act) if act.to_note}
    children = [work for work in works.values() if work.parent]
    by_choice = [child for child in children if (child.parent, child.note) in chosen]
    left = [child for child in by_choice if chosen[child.parent or 0, child.note] is None]
    on_the_way = [child for child in by_choice if child not in left]
    at_end = [child for child in children if child not in by_choice]
    assert left
    assert at_end
    assert all(ended[child.parent or 0] == "led_on" != ended[child.id] for child in left)
    assert all(ended[child.id] == "done" for child in on_the_way)
    assert all(ended[child.parent or 0] == "not_mended" for child in at_end)
    assert all(child.station == works[child.parent or 0].station for child in children)


def test_every_work_follows_its_note(filled: Journal) -> None:
    for work in filled.all(Work):
        acts = filled.all(Act, work=work.id)
        note = notes()[work.note]
        walk = replay(note, acts)
        assert work.id not in {outcome.work for outcome in filled.all(Outcome)} or walk.finished or walk.leads_to
        read: set[tuple[int, str]] = set()
        for act in acts:
            if act.act == "acknowledged":
                read.add((act.step, act.text))
            else:
                due = {(m.before_step, f"{m.signal}: {m.text}") for m in note.safety if m.before_step == act.step}
                assert due <= read
                assert act.text == note.steps[act.step - 1].text


def test_themes_are_asked_in_vain_by_several_shops(filled: Journal) -> None:
    stores = {visit.id: visit.store for visit in filled.all(Visit)}
    unhelpful = {feedback.question for feedback in filled.all(Feedback, verdict="not_helpful")}
    questions = filled.all(Question)
    assert len(THEMES) >= 4
    for theme in THEMES:
        asked = [question for question in questions if question.text in theme.wordings]
        assert 5 <= len(asked) <= 12
        assert all(question.decision == "none" or question.id in unhelpful for question in asked)
        assert len({question.text for question in asked}) == len(theme.wordings)
        assert len({stores[question.visit or 0] for question in asked}) >= 3
        assert any(
            one.visit == other.visit and one.id + 1 == other.id and one.text != other.text
            for one in asked
            for other in asked
        )


def test_questions_name_notes_of_the_corpus(filled: Journal) -> None:
    for question in filled.all(Question):
        assert {question.note, *question.options.split()} - {""} <= notes().keys()
        assert bool(question.note) == (question.decision == "answer")
        assert len(question.options.split()) > 1 or question.decision != "choose"


def test_faults_without_a_note_are_recorded_as_seen_only(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        fill_demo(journal, lambda _: None, until=UNTIL)
        assert len(journal.all(Sighting, result="fault")) > 50
        assert not journal.all(Work)


def test_notes_of_another_trade_are_told_by_their_titles(tmp_path: Path) -> None:
    """Notes that only inform, withdraw or hand over, and those on safety, tell of no fault by themselves."""
    kept = ("pad-stick-cap", "disc-clean", "visit-out-of-order", "safety-fire", "visit-kit")
    own = {f"x-{name}" if "safety" not in name else name: notes()[name]._replace(id=f"x-{name}") for name in kept}
    with Journal(tmp_path / "a.db") as journal:
        fill_demo(journal, own.get, until=UNTIL, ids=tuple(own))
        told = {sighting.condition for sighting in journal.all(Sighting, result="fault")} - {MIXED_UP}
        assert told == {own["x-pad-stick-cap"].title.lower(), own["x-disc-clean"].title.lower()}
        assert {work.note for work in journal.all(Work)} >= {"x-pad-stick-cap", "x-disc-clean"}


def test_where_no_note_mends_anything_no_visit_is_made_up(tmp_path: Path) -> None:
    only = {"x-kit": notes()["visit-kit"]._replace(id="x-kit")}
    with Journal(tmp_path / "a.db") as journal, pytest.raises(UsageError, match="no note has something done"):
        fill_demo(journal, only.get, until=UNTIL, ids=tuple(only))


def test_a_journal_with_records_is_refused(tmp_path: Path) -> None:
    with Journal(tmp_path / "a.db") as journal:
        journal.add(Visit("S-1"))
        with pytest.raises(UsageError, match="holds records"):
            fill_demo(journal, notes().get, until=UNTIL)
        assert len(records(journal)) == 1


def test_every_case_is_a_note_of_the_corpus_for_its_kind_of_station() -> None:
    assert len({case.condition for case in CASES}) == len(CASES) >= 40
    for case in CASES:
        assert {case.model, "all"} & set(notes()[case.note].station), case.note
    assert all(theme.nearest in notes() for theme in THEMES)
