"""What a rep records: made printable, refused in words, on the disk when it is confirmed."""

from __future__ import annotations

from typing import Any

import pytest

from assistant.errors import UsageError
from assistant.journal.records import Act, Outcome, Part, Photo, Question, Remark, Sighting, Visit
from assistant.journal.store import Journal
from assistant.notes.reader import read_note
from assistant.visiting.recorder import MOST_CHARACTERS, Recorder, spent_minutes
from assistant.visiting.walk import skip, tick
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of
from tests.unit.visiting.conftest import Clock

NOTE = read_note(NOTE_TEXT, NOTE_PATH)


def test_one_visit_is_open_at_a_time(recorder: Recorder) -> None:
    first = recorder.open_visit(" s-014 ", "Ina")
    assert recorder.visit == first == Visit("S-014", "Ina", first.at, 1)
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
        lambda r: r.photo(".."),
        lambda r: r.photo("/"),
        lambda r: r.remark("x" * (MOST_CHARACTERS + 1)),
        lambda r: r.escalate(" "),
        lambda r: r.open_visit("\n"),
    ],
)
def test_bad_input_is_refused_and_nothing_is_recorded(recorder: Recorder, journal: Journal, call: Any) -> None:
    recorder.open_visit("S-1")
    with pytest.raises(UsageError):
        call(recorder)
    for kind in (Sighting, Part, Photo, Remark):
        assert journal.all(kind) == []


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("lead.jpg", "lead.jpg"),
        ("../../etc/lead.jpg", "lead.jpg"),
        ("C:\\pictures\\lead.jpg", "lead.jpg"),
        ("/home/x/a\x1b[31m.jpg", "a[31m.jpg"),
        ("<b>.jpg", "<b>.jpg"),
    ],
)
def test_of_a_picture_the_file_name_alone_is_kept(recorder: Recorder, given: str, kept: str) -> None:
    assert recorder.photo(given).name == kept


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
    escalation = recorder.escalate("no spare", job="J-1", work=work)
    assert (escalation.station, escalation.note, escalation.visit) == ("A-7", "pad-demo", visit.id)


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
