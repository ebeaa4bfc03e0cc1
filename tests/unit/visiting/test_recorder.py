"""What a rep records: made printable, refused in words, on the disk when it is confirmed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assistant.errors import UsageError
from assistant.journal.records import (
    KINDS,
    Act,
    Entry,
    Outcome,
    Question,
    Release,
    Sighting,
    Undo,
    Visit,
    Work,
)
from assistant.journal.store import Journal
from assistant.notes.reader import read_note
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.recorder import Recorder, spent_minutes
from assistant.visiting.rounds import stations_of
from assistant.visiting.typed import MOST_CHARACTERS
from assistant.visiting.walk import skip, tick
from tests.making import NOTE_PATH, NOTE_TEXT, TRADE, answer_of
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import PICTURE, picture

NOTE = read_note(NOTE_TEXT, NOTE_PATH)
GRAVE = NOTE._replace(id="safety-demo", title="Leave it off", action="withdraw")


def test_one_visit_is_open_at_a_time(recorder: Recorder) -> None:
    first = recorder.open_visit(" s-014 ", "Ina")
    assert recorder.visit == first == Visit("S-014", "Ina", 1, first.at, 1)
    with pytest.raises(UsageError, match="S-014 is still open"):
        recorder.open_visit("S-015")
    recorder.close_visit()
    assert recorder.visit != first
    with pytest.raises(UsageError, match="no visit is open"):
        recorder.close_visit()
    assert recorder.open_visit("S-015").id == 2


def test_a_fault_needs_words_or_a_note(recorder: Recorder) -> None:
    with pytest.raises(UsageError, match="no visit"):
        recorder.see("a-1", "pass")
    recorder.open_visit("S-1")
    with pytest.raises(UsageError, match="the fault is empty"):
        recorder.see("a-1", "fault")
    assert recorder.see("a-1", "fault", note="pad-demo").station == "A-1"
    assert recorder.see("a-1", "pass", model="pad").condition == ""


@pytest.mark.parametrize(
    "call",
    [
        lambda r: r.see("A-1", "maybe"),
        lambda r: r.see("A-1", "pass", model="kiosk"),
        lambda r: r.see("  ", "pass"),
        lambda r: r.part("pad", "lost"),
        lambda r: r.part("pad", "used", quantity=0),
        lambda r: r.part("pad", "used", quantity=1000),
        lambda r: r.part("\x1b\x07", "used"),
        lambda r: r.photo(Path("..")),
        lambda r: r.photo(Path("no-such.jpg")),
        lambda r: r.count("pad", -1),
        lambda r: r.arrange("A-1", "fault"),
        lambda r: r.arrange("A-1", "fault", due="soon"),
        lambda r: r.swap("A-1", "console", taken_out="n-1", put_in="N-1"),
        lambda r: r.swap("A-1", "console", taken_out="", put_in="N-1"),
        lambda r: r.incident("shock", " "),
        lambda r: r.incident("fall", "over a lead"),
        lambda r: r.release("A-1", by="Ola", number="77"),
        lambda r: r.arrive(""),
        lambda r: r.close_visit(signed="typed"),
        lambda r: r.close_visit(next_visit="soon"),
        lambda r: r.remark("x" * (MOST_CHARACTERS + 1)),
        lambda r: r.hand_over(" "),
        lambda r: r.hand_over("no spare", due="tomorrow"),
        lambda r: r.open_visit("\n"),
    ],
)
def test_bad_input_is_refused_and_nothing_is_recorded(recorder: Recorder, journal: Journal, call: Any) -> None:
    recorder.open_visit("S-1")
    before = [journal.every(kind) for kind in KINDS]
    with pytest.raises(UsageError):
        call(recorder)
    assert [journal.every(kind) for kind in KINDS] == before


def test_of_a_picture_the_file_name_and_a_copy_beside_the_journal_are_kept(
    recorder: Recorder, journal: Journal, tmp_path: Path
) -> None:
    (tmp_path / "taken").mkdir()
    kept = recorder.photo(picture(tmp_path / "taken", "a<b>.png"), station="a-1", shows="the plug")
    assert (kept.name, kept.station, kept.shows) == ("a<b>.png", "A-1", "the plug")
    assert (journal.path.parent / "photos" / kept.copy).read_bytes() == PICTURE


def test_escape_sequences_and_direction_marks_are_not_kept(recorder: Recorder) -> None:
    assert recorder.remark("a\x1b[2Jb\u202ec\r\nd").text == "a[2Jbc d"


def test_work_is_counted_without_long_pauses_and_ends_once(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    work = recorder.begin(NOTE, station="a-7", condition="lamp is dark")
    walk = recorder.walk_of(work, NOTE)
    clock.pass_(minutes=4)
    walk = recorder.act(walk, tick(walk, 1))
    clock.pass_(hours=20)
    walk = recorder.act(walk, skip(walk, "no \x07spare"))
    clock.pass_(minutes=2.5)
    assert [w.id for w in recorder.open_works()] == [work.id]
    assert recorder.walk_of(work, NOTE) == walk
    assert recorder.end(work, "replaced").minutes == 6.5
    assert recorder.open_works() == []
    with pytest.raises(UsageError, match="has ended already"):
        recorder.end(work, "mended")
    assert [act.reason for act in journal.all(Act)] == ["", "no spare"]
    assert [outcome.outcome for outcome in journal.all(Outcome)] == ["replaced"]


def test_a_revised_note_is_begun_anew(recorder: Recorder) -> None:
    work = recorder.begin(NOTE)
    recorder.act(recorder.walk_of(work, NOTE), tick(recorder.walk_of(work, NOTE), 1))
    assert recorder.walk_of(work, NOTE).step == 3
    assert recorder.walk_of(work, NOTE._replace(revision=4)).step == 1


def test_what_is_recorded_for_a_work_takes_its_station_and_visit(recorder: Recorder) -> None:
    visit = recorder.open_visit("S-1")
    work = recorder.begin(NOTE, station="a-7")
    part = recorder.part("Wired Pad", "wanted", quantity=2, work=work)
    assert (part.part, part.station, part.visit, part.work) == ("wired pad", "A-7", visit.id, work.id)
    handed = recorder.hand_over("no spare", number="J-1", taken_by="Ola", due="2026-03-09", work=work)
    assert (handed.station, handed.note, handed.visit) == ("A-7", "pad-demo", visit.id)
    assert (handed.job, handed.contact, handed.due) == ("J-1", "Ola", "2026-03-09")


def test_a_question_is_kept_with_its_answer_and_its_verdict(recorder: Recorder, journal: Journal) -> None:
    kept = recorder.question(answer_of(NOTE))
    assert kept == journal.get(Question, kept.id)
    assert (kept.text, kept.decision, kept.note, kept.visit) == ("q", "answer", "pad-demo", None)
    visit = recorder.open_visit("S-1")
    assert recorder.question(answer_of(None)).visit == visit.id
    assert recorder.judge(kept, "not_helpful", "wrong pad").question == kept.id


def test_minutes_between_times() -> None:
    times = [f"2026-03-02T{time}Z" for time in ("09:00:00.000", "09:10:30.000", "11:00:00.000", "11:30:00.000")]
    assert spent_minutes(times) == 40.5
    assert spent_minutes(times[:1]) == 0


def test_an_entry_is_recorded_whole_or_not_at_all(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    with pytest.raises(UsageError, match="remark is empty"), recorder.entry("a-1 in one"):
        recorder.see("a-1", "pass")
        recorder.remark(" ")
    assert (journal.every(Sighting), len(journal.every(Entry))) == ([], 1)
    with recorder.entry("a-1 in one"):
        seen = recorder.see("a-1", "pass")
        remark = recorder.remark("tidy")
    assert seen.entry == remark.entry == journal.every(Entry)[-1].id
    assert recorder.see("a-2", "pass").entry != seen.entry


def test_the_last_entry_is_taken_back_and_then_the_one_before(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    recorder.see("a-1", "pass")
    recorder.see("a-2", "fault", condition="lamp \x1bdark")
    assert recorder.undo().says == "A-2: lamp dark"
    assert [one.station for one in journal.all(Sighting)] == ["A-1"]
    assert [one.station for one in journal.every(Sighting)] == ["A-1", "A-2"]
    assert [undo.entry for undo in journal.all(Undo)] == [3]
    assert recorder.undo().says == "A-1: pass"
    assert recorder.undo().says == "visit at S-1 opened"
    assert recorder.visit is None
    with pytest.raises(UsageError, match="nothing to take back"):
        recorder.undo()


def test_an_earlier_visit_is_not_taken_back(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    recorder.see("a-1", "pass")
    recorder.close_visit()
    recorder.open_visit("S-2")
    assert recorder.undo().says == "visit at S-2 opened"
    assert recorder.undo().says == "visit closed"
    assert recorder.visit == recorder.journal.all(Visit)[0]


def test_a_work_that_has_gone_on_is_not_taken_back(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    work = recorder.take_up(NOTE, station="a-1")
    recorder.act(recorder.walk_of(work, NOTE), tick(recorder.walk_of(work, NOTE), 1))
    with pytest.raises(UsageError, match="has gone on since"):
        recorder.undo()
    assert journal.all(Undo) == []
    recorder.end(work, "mended")
    assert recorder.undo().says == "A-1: Pad lamp stays dark: mended"
    assert recorder.open_works() == [work]


def test_a_work_that_stands_open_is_taken_up_and_not_begun_twice(recorder: Recorder, journal: Journal) -> None:
    recorder.open_visit("S-1")
    work = recorder.take_up(NOTE, station="a-1", condition="lamp dark")
    assert recorder.take_up(NOTE, station="A-1") == work
    assert recorder.open_work("A-1") == work
    others = [recorder.take_up(NOTE, station="A-2"), recorder.take_up(GRAVE, station="A-1")]
    assert len({work, *others}) == len(journal.all(Work)) == 3
    recorder.end(work, "mended")
    assert recorder.take_up(NOTE, station="A-1") != work


def test_a_work_of_another_shop_is_not_taken_up(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    there = recorder.take_up(NOTE, station="A-1")
    recorder.close_visit()
    recorder.open_visit("S-2")
    assert recorder.open_work("A-1") is None
    assert recorder.take_up(NOTE, station="A-1") != there
    assert recorder.see("A-2", "pass").result == "pass"


def test_a_work_begun_without_a_visit_is_taken_up_on_one(recorder: Recorder) -> None:
    work = recorder.take_up(NOTE, station="A-1")
    recorder.open_visit("S-1")
    assert recorder.take_up(NOTE, station="A-1") == work


def test_a_station_out_of_service_needs_a_release(recorder: Recorder, journal: Journal, clock: Clock) -> None:
    recorder.open_visit("S-1")
    recorder.end(recorder.begin(GRAVE, station="A-1", condition="plug smokes"), "withdrawn")
    clock.pass_(minutes=1)
    work = recorder.begin(NOTE, station="A-1")
    for call in (
        lambda: recorder.see("A-1", "pass"),
        lambda: recorder.end(work, "mended"),
        lambda: recorder.end(work, "replaced"),
    ):
        with pytest.raises(NeedsReleaseError, match=r"A-1 is out of service \(plug smokes\)"):
            call()
    assert recorder.out_of_service("A-1") == stations_of(journal, "S-1")[0]
    with pytest.raises(UsageError, match="still to come"):
        recorder.release("A-1", by="Ola", number="77", day="2026-03-03")
    assert recorder.release("a-1", by="Ola", number="77").day == "2026-03-02"
    clock.pass_(minutes=1)
    assert recorder.out_of_service("A-1") is None
    assert stations_of(journal, "S-1")[0].state == "fault"
    recorder.end(work, "mended")
    assert stations_of(journal, "S-1")[0].state == "plays"


@pytest.mark.parametrize(("action", "needs"), [("withdraw", True), ("replace", True), ("inform", False)])
def test_a_note_on_harm_ends_mended_only_with_a_release_of_its_work(
    journal: Journal, clock: Clock, action: str, needs: bool
) -> None:
    note = NOTE._replace(action=action)
    recorder = Recorder(journal, TRADE, frozenset({note.id}), clock=clock)
    recorder.open_visit("S-1")
    work = recorder.begin(note, station="A-1")
    if needs:
        with pytest.raises(NeedsReleaseError, match=note.title):
            recorder.end(work, "mended")
        recorder.release("", by="Ola", number="77", work=work)
        assert [one.station for one in journal.all(Release)] == ["A-1"]
    assert recorder.end(work, "mended").outcome == "mended"


def test_a_station_that_is_worked_on_does_not_pass(recorder: Recorder) -> None:
    recorder.open_visit("S-1")
    work = recorder.begin(NOTE, station="A-1")
    with pytest.raises(UsageError, match="'Pad lamp stays dark' stands open: end it first"):
        recorder.see("A-1", "pass")
    recorder.end(work, "not_mended")
    assert recorder.see("A-1", "pass").result == "pass"


@pytest.mark.parametrize("minutes", [-5.0, 480.5, 1e9, float("nan"), float("inf")])
def test_minutes_out_of_range_are_refused(recorder: Recorder, journal: Journal, minutes: float) -> None:
    work = recorder.begin(NOTE)
    with pytest.raises(UsageError, match="minutes must be 0 to 480"):
        recorder.end(work, "mended", minutes=minutes)
    assert journal.every(Outcome) == []
