"""One visit to a made-up shop: five stations, each with another end."""

from __future__ import annotations

from pathlib import Path

from assistant.journal.records import OutcomeName, Visit, Work
from assistant.model import Note
from assistant.notes.reader import read_note
from assistant.visiting.recorder import Recorder
from assistant.visiting.walk import acknowledge, choices, pending, skip, tick
from tests.making import NOTE_PATH, NOTE_TEXT, OTHER_TEXT
from tests.unit.visiting.conftest import Clock

PICTURE = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55"
    "0000000a4944415478da6368000000820081da45083b0000000049454e44ae426082"
)
"""A PNG of one grey point."""
DEMO = read_note(NOTE_TEXT, NOTE_PATH)
OTHER = read_note(OTHER_TEXT, "pad/pad-other.md")


def picture(folder: Path, name: str = "sc01.png") -> Path:
    """Write a picture into a folder and return its path."""
    path = folder / name
    path.write_bytes(PICTURE)
    return path


def work_through(
    recorder: Recorder,
    clock: Clock,
    note: Note,
    station: str,
    outcome: OutcomeName,
    *,
    condition: str = "",
    parent: Work | None = None,
    choice: int = 1,
    skipped: str = "",
) -> Work:
    """Go through a note to its end, a minute an act; ``skipped`` is why the last step is skipped."""
    work = recorder.begin(note, station=station, condition=condition, parent=parent.id if parent else None)
    walk = recorder.walk_of(work, note)
    while not walk.finished:
        clock.pass_(minutes=1)
        step = walk.current
        assert step is not None
        if pending(walk):
            walk = recorder.act(walk, acknowledge(walk))
        elif skipped and step.n == len(note.steps):
            walk = recorder.act(walk, skip(walk, skipped))
        else:
            offered = choices(step)
            walk = recorder.act(walk, tick(walk, min(choice, len(offered) - 1) if offered else None))
    clock.pass_(minutes=1)
    recorder.end(work, outcome)
    return work


def five_stations(recorder: Recorder, clock: Clock, *, store: str = "S-014", close: bool = True) -> Visit:
    """Record a visit: a pass, a branch that mends, a chain that ends replaced, a hand-over, one out of service."""
    visit = recorder.open_visit(store, "Ina")
    clock.pass_(minutes=5)
    recorder.see("A-1", "pass", model="disc")
    recorder.see("A-2", "fault", model="pad", condition="lamp dark", note="pad-demo")
    work_through(recorder, clock, DEMO, "A-2", "mended", condition="lamp dark", choice=0)
    recorder.see("A-3", "fault", model="pad", condition="no pad seen", note="pad-demo")
    first = work_through(recorder, clock, DEMO, "A-3", "not_mended", condition="no pad seen", skipped="no spare lead")
    second = work_through(recorder, clock, OTHER, "A-3", "replaced", condition="no pad seen", parent=first, choice=2)
    recorder.part("wired pad", "used", quantity=2, work=second)
    recorder.see("A-4", "fault", model="screen", condition="code SC-01, no picture")
    recorder.photo(picture(recorder.journal.path.parent), station="A-4", shows="the code")
    recorder.part("video lead", "wanted", station="A-4")
    recorder.hand_over("no spare lead", station="A-4", number="J-77", taken_by="desk, early shift", due="2026-03-09")
    recorder.see("A-5", "fault", model="vr", condition="lead cut")
    work_through(recorder, clock, DEMO, "A-5", "withdrawn", condition="lead cut", choice=0)
    recorder.remark("sign hung on the plug", station="A-5")
    clock.pass_(minutes=3)
    if close:
        recorder.close_visit("row is tidy")
    return visit
