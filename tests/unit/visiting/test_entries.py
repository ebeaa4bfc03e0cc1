"""What an entry means: recorded whole, or refused and nothing of it in the journal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, nan
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import UsageError
from assistant.journal.records import (
    KINDS,
    Entry,
    Escalation,
    Outcome,
    OutcomeName,
    Part,
    Photo,
    Release,
    Remark,
    Sighting,
    Undo,
    Visit,
    Work,
    kind_name,
)
from assistant.journal.store import Journal
from assistant.model import Contact
from assistant.visiting.entries import (
    Handed,
    Released,
    UnknownError,
    end_work,
    fault,
    hand_over,
    open_shop,
    pass_rest,
    pass_station,
    release_and_pass,
    rest_of,
    station_of,
    still_out,
)
from assistant.visiting.keeper import NeedsReleaseError
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.rounds import stations_of
from assistant.visiting.station_entry import StationEntry, record_station
from tests.making import TRADE, changed
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import DEMO, OTHER, picture

GRAVE = changed(DEMO, id="safety-demo", title="Leave it off", action="withdraw")
HARM = changed(DEMO, id="harm-demo", title="A cut lead")


@pytest.fixture
def here(recorder: Recorder, clock: Clock) -> Recorder:
    """A visit, a minute old, in a shop that an earlier visit saw three stations in."""
    recorder.open_visit("S-014")
    for station in ("A-0101", "A-0102", "A-0103"):
        recorder.see(station, "pass")
    clock.pass_(minutes=1)
    recorder.close_visit()
    clock.pass_(days=7)
    recorder.open_visit("S-014")
    clock.pass_(minutes=1)
    return recorder


def view_of(recorder: Recorder) -> RoundView:
    view = round_view(recorder)
    assert view is not None
    return view


def held(journal: Journal) -> dict[str, int]:
    """Return how many records of each kind a journal holds."""
    return {kind_name(kind): len(journal.every(kind)) for kind in KINDS}


def refused(recorder: Recorder, call: Callable[[], object], words: str) -> None:
    """Check that a call is refused in these words and leaves nothing in the journal."""
    before = held(recorder.journal)
    with pytest.raises(UsageError, match=words):
        call()
    assert held(recorder.journal) == before


def out_of_service(recorder: Recorder, clock: Clock, station: str = "A-0103") -> None:
    recorder.see(station, "fault", condition="plug smokes")
    clock.pass_(minutes=1)
    recorder.end(recorder.begin(GRAVE, station=station, condition="plug smokes"), "withdrawn")
    clock.pass_(minutes=1)


def state_of(recorder: Recorder, station: str) -> str:
    return next(one.state for one in stations_of(recorder.journal, "S-014") if one.station == station)


# The shop and the station.


def test_the_first_shop_is_taken_and_a_later_unknown_one_asked_about(recorder: Recorder) -> None:
    assert open_shop(recorder, "visit open s-014", "Ina").store == "S-014"
    recorder.close_visit()
    with pytest.raises(
        UnknownError, match=r"S-041 is not known here; did you mean S-014\? A new shop: add --new"
    ) as no:
        open_shop(recorder, "s041")
    assert (no.value.label, no.value.near) == ("S-041", ("S-014",))
    refused(recorder, lambda: open_shop(recorder, "Z-999"), r"Z-999 is not known here; known here: S-014\. A new shop")
    refused(recorder, lambda: open_shop(recorder, "help"), "type the code of the shop, such as S-014")
    assert open_shop(recorder, "s041", new=True).store == "S-041"
    recorder.close_visit()
    assert open_shop(recorder, "14").store == "S-014"
    refused(recorder, lambda: open_shop(recorder, "Z-999"), "the visit at S-014 is still open")


def test_a_station_is_asked_about_where_an_earlier_visit_saw_some_or_it_is_like_another(recorder: Recorder) -> None:
    recorder.open_visit("S-014")
    first = view_of(recorder)
    assert station_of(recorder, first, "a 0101") == "A-0101"
    recorder.see("A-0101", "pass")
    assert station_of(recorder, view_of(recorder), "a0155") == "A-0155"
    with pytest.raises(UnknownError, match=r"A-101 is not known here; did you mean A-0101\? A new station: add --new"):
        station_of(recorder, view_of(recorder), "a101")
    with pytest.raises(UnknownError, match=r"did you mean A-0155\?"):
        station_of(recorder, first, "A-155", beside=["A-0155"])
    assert station_of(recorder, view_of(recorder), "a101", new=True) == "A-101"
    recorder.close_visit()
    recorder.open_visit("S-014")
    view = view_of(recorder)
    assert station_of(recorder, view, "0101") == "A-0101"
    with pytest.raises(UnknownError, match=r"A-0110 is not known here; did you mean A-0101\? A new station: add --new"):
        station_of(recorder, view, "a-0110")
    assert station_of(recorder, view, "a-0110", new=True) == "A-0110"
    for typed, words in (("s-014", "is a shop"), ("ALL", "has no digit"), ("A-9999", "known here: A-0101")):
        with pytest.raises(UsageError, match=words):
            station_of(recorder, view, typed)


# A pass, the rest, and what is out of service.


def test_a_pass_with_its_remark_is_one_entry(here: Recorder) -> None:
    assert pass_station(here, "A-0101", "stick is stiff").result == "pass"
    assert [one.text for one in here.journal.all(Remark)] == ["stick is stiff"]
    assert here.undo().says == "A-0101: passes"
    assert here.journal.all(Remark) == []
    assert view_of(here).seen == frozenset()
    refused(here, lambda: pass_station(here, "A-0101", "x" * 3000), "remark is longer")


def test_all_the_rest_pass_but_what_must_be_looked_at(here: Recorder, clock: Clock) -> None:
    for station in ("A-0104", "A-0105", "A-0106", "A-0107"):
        here.see(station, "pass")
    here.close_visit()
    clock.pass_(days=7)
    here.open_visit("S-014")
    clock.pass_(minutes=1)
    here.switched_off("A-0102", "inspection")
    out_of_service(here, clock)
    here.close_visit()
    clock.pass_(days=7)
    here.open_visit("S-014")
    clock.pass_(minutes=1)
    here.switched_off("A-0102", "inspection")
    fault(here, "A-0104", "lamp dark", note=DEMO, work=True)
    pass_station(here, "A-0105")
    here.take_up(DEMO, station="A-0107")
    assert rest_of(view_of(here)) == ("A-0101", "A-0106")
    assert pass_rest(here, view_of(here)) == ("A-0101", "A-0106")
    assert set(view_of(here).unseen) == {"A-0102", "A-0103", "A-0107"}
    assert "ALL" not in view_of(here).known
    refused(here, lambda: pass_rest(here, view_of(here)), "no station is left")
    assert here.undo().says == "the rest pass: 2 stations"
    assert rest_of(view_of(here)) == ("A-0101", "A-0106")


def test_of_the_rest_all_pass_or_none(here: Recorder, clock: Clock) -> None:
    old = view_of(here)
    out_of_service(here, clock)
    refused(here, lambda: pass_rest(here, old), "A-0103 is out of service")


def test_a_station_out_of_service_does_not_pass_and_stays_as_it_is(here: Recorder, clock: Clock) -> None:
    out_of_service(here, clock)
    with pytest.raises(NeedsReleaseError, match=r"A-0103 is out of service \(plug smokes\)"):
        pass_station(here, "A-0103")
    refused(here, lambda: record_station(here, StationEntry("A-0103", "pass")), "out of service")
    assert state_of(here, "A-0103") == "withdrawn"
    seen = still_out(here, "A-0103")
    assert (seen.result, seen.condition, seen.plays) == ("fault", "plug smokes", "no")
    assert state_of(here, "A-0103") == "withdrawn"
    refused(here, lambda: still_out(here, "A-0101"), "A-0101 is not out of service: type A-0101 pass")


def test_a_released_station_passes_in_one_entry(here: Recorder, clock: Clock) -> None:
    out_of_service(here, clock)
    refused(here, lambda: release_and_pass(here, "A-0103", "", "77"), "the name is empty")
    refused(here, lambda: release_and_pass(here, "A-0103", "Ola", ""), "the number of the release is empty")
    refused(here, lambda: release_and_pass(here, "A-0103", "Ola", "77", "tomorrow"), "still to come")
    refused(here, lambda: release_and_pass(here, "A-0101", "Ola", "77"), "there is nothing to release")
    release_and_pass(here, "A-0103", "Ola", "77", "yesterday")
    assert [(one.by, one.number, one.day) for one in here.journal.all(Release)] == [("Ola", "77", "2026-03-08")]
    assert state_of(here, "A-0103") == "plays"
    clock.pass_(minutes=1)
    here.undo()
    assert state_of(here, "A-0103") == "withdrawn"


def test_a_pass_on_a_station_that_is_worked_on_is_refused(here: Recorder) -> None:
    fault(here, "A-0101", "lamp dark", note=DEMO, work=True)
    refused(here, lambda: pass_station(here, "A-0101"), "the work 'Pad lamp stays dark' stands open: end it first")


# A fault, its work, its end.


def test_a_fault_begins_a_work_or_takes_up_that_which_stands_open(here: Recorder) -> None:
    assert fault(here, "A-0101", "lamp dark", plays="yes", model="pad") is None
    work = fault(here, "A-0101", "lamp dark", note=DEMO, work=True)
    assert work is not None
    assert (work.note, work.station, work.condition) == (DEMO.id, "A-0101", "lamp dark")
    assert fault(here, "A-0101", "still dark", note=DEMO, work=True) == work
    assert len(here.journal.all(Work)) == 1
    refused(here, lambda: fault(here, "A-0102", "dark", work=True), "pick the note")
    refused(here, lambda: fault(here, "A-0102", "", plays="no"), "the fault is empty")


@pytest.mark.parametrize("note", [GRAVE, HARM])
def test_a_work_that_deals_with_harm_ends_mended_only_with_its_release(
    journal: Journal, clock: Clock, note: object
) -> None:
    here = Recorder(journal, TRADE, frozenset({HARM.id}), clock=clock)
    here.open_visit("S-014")
    work = fault(here, "A-0101", "lead cut", note=HARM if note == HARM else GRAVE, work=True)
    assert work is not None
    with pytest.raises(NeedsReleaseError):
        end_work(here, work, "mended")
    refused(
        here, lambda: end_work(here, work, "mended", released=Released("Ola", "")), "number of the release is empty"
    )
    clock.pass_(minutes=1)
    assert end_work(here, work, "mended", minutes=4, released=Released("Ola", "77")).minutes == 4
    assert [one.work for one in journal.all(Release)] == [work.id]
    assert state_of(here, "A-0101") == "plays"


def test_a_work_ends_with_its_hand_over_or_not_at_all(here: Recorder) -> None:
    work = fault(here, "A-0101", "lamp dark", note=DEMO, work=True)
    assert work is not None
    handed = Handed("no spare", "J-77", due="2026-03-01")
    refused(here, lambda: end_work(here, work, "escalated", handed=handed), "is past")
    refused(here, lambda: end_work(here, work, "escalated", minutes=nan, handed=Handed("no spare")), "minutes must be")
    end_work(here, work, "escalated", handed=handed._replace(due="in 3 days"))
    (told,) = here.journal.all(Escalation)
    assert (told.station, told.note, told.work, told.job, told.due) == (
        "A-0101",
        DEMO.id,
        work.id,
        "J-77",
        "2026-03-12",
    )
    refused(here, lambda: end_work(here, work, "mended"), "has ended already")


def test_a_hand_over_takes_what_the_trade_tells_of_the_desk(journal: Journal, clock: Clock) -> None:
    desk = Contact("support desk", "desk, early shift", "", 2)
    here = Recorder(journal, TRADE._replace(contacts=(desk,)), clock=clock)
    here.open_visit("S-014")
    told = hand_over(here, "no spare", "A-0101", "J-77")
    assert (told.reason, told.job, told.contact, told.due) == ("no spare", "J-77", "desk, early shift", "2026-03-04")
    told = hand_over(here, "no spare", "A-0101", "J-77", "Ola", "tomorrow")
    assert (told.contact, told.due) == ("Ola", "2026-03-03")
    refused(here, lambda: hand_over(here, "no spare", "A-0101", due="03/04"), "may be 3 apr or 4 mar")
    refused(here, lambda: hand_over(here, " ", "A-0101"), "the reason is empty")
    bare = Recorder(journal, clock=clock)
    assert hand_over(bare, "no spare", "A-0101")[3:6] == ("", "", "")


# One station, all at once.


def test_all_that_is_told_of_a_station_is_one_entry(here: Recorder, clock: Clock, tmp_path: Path) -> None:
    told = StationEntry(
        *("A-0101", "fault", "lamp dark", "pad", DEMO, "replaced", 12),
        used=("2 wired pads", "zip tie"),
        wanted=("video lead x2",),
        photos=(picture(tmp_path),),
        remarks=("sign hung",),
        plays="no",
    )
    kinds = [type(one) for one in record_station(here, told)]
    assert kinds == [Sighting, Work, Part, Part, Part, Remark, Outcome, Photo]
    parts = [(one.quantity, one.part, one.use, one.work) for one in here.journal.all(Part)]
    assert parts == [(2, "wired pad", "used", 1), (1, "cable tie", "used", 1), (2, "video lead", "wanted", 1)]
    assert [(one.outcome, one.minutes) for one in here.journal.all(Outcome)] == [("replaced", 12)]
    assert state_of(here, "A-0101") == "plays"
    clock.pass_(minutes=1)
    assert here.undo().says == "A-0101: lamp dark, replaced"
    assert not any(here.journal.all(kind) for kind in (Work, Part, Remark, Outcome, Photo))


def test_the_work_that_stands_open_is_the_one_that_ends(here: Recorder) -> None:
    work = fault(here, "A-0101", "lamp dark", note=DEMO, work=True)
    record_station(here, StationEntry("A-0101", "fault", "lamp dark", note=DEMO, outcome="mended"))
    assert work is not None
    assert [one.work for one in here.journal.all(Outcome)] == [work.id]
    assert here.open_works() == []


def test_a_station_out_of_service_is_put_back_within_its_entry(here: Recorder, clock: Clock) -> None:
    out_of_service(here, clock)
    mended = StationEntry("A-0103", "fault", "plug smokes", note=GRAVE, outcome="mended")
    refused(here, lambda: record_station(here, mended._replace(note=DEMO)), "out of service")
    record_station(here, mended._replace(released_by="Ola", release_number="77", release_day="today"))
    assert state_of(here, "A-0103") == "plays"
    clock.pass_(minutes=1)
    out_of_service(here, clock)
    record_station(here, StationEntry("A-0103", "pass", released_by="Ola", release_number="78"))
    assert state_of(here, "A-0103") == "plays"


@pytest.mark.parametrize("outcome", ["mended", "replaced"])
def test_a_danger_told_as_mended_is_recorded_and_out_of_service(here: Recorder, outcome: OutcomeName) -> None:
    made = record_station(here, StationEntry("A-0101", "fault", "plug smokes", note=GRAVE, outcome=outcome))
    assert [one.outcome for one in made if isinstance(one, Outcome)] == ["withdrawn"]
    assert state_of(here, "A-0101") == "withdrawn"
    refused(here, lambda: record_station(here, StationEntry("A-0101", "pass")), "out of service")


FAULT = StationEntry("A-0155", "fault", "lamp dark", note=DEMO, outcome="mended")
PASS = StationEntry("A-0155", "pass")


@dataclass(frozen=True)
class Bad:
    """One thing wrong with an entry, and what is said of it."""

    entry: StationEntry
    words: str


BAD = [
    Bad(FAULT._replace(minutes=-5.0), "minutes must be 0 to 480"),
    Bad(FAULT._replace(minutes=1e9), "minutes must be 0 to 480"),
    Bad(FAULT._replace(minutes=nan), "minutes must be 0 to 480"),
    Bad(FAULT._replace(minutes=inf), "minutes must be 0 to 480"),
    Bad(FAULT._replace(minutes=5.0, outcome=None), "minutes need the outcome"),
    Bad(FAULT._replace(note=None), "an outcome needs the note"),
    Bad(FAULT._replace(outcome="fixed"), "outcome must be one of mended"),  # type: ignore[arg-type]
    Bad(FAULT._replace(kind="kiosk"), "kind of station must be one of"),
    Bad(FAULT._replace(used=("wired pad", "2 unicorn")), "'unicorn' is no part"),
    Bad(FAULT._replace(wanted=("-3 wired pad",)), "how many must be 1 to 999"),
    Bad(FAULT._replace(used=("cabinet key",)), "a cabinet key is a tool"),
    Bad(FAULT._replace(photos=(Path("no-such.jpg"),)), "no-such.jpg"),
    Bad(FAULT._replace(remarks=("fine", " ")), "the remark is empty"),
    Bad(FAULT._replace(released_by="Ola"), "there is nothing to release|number of the release is empty"),
    Bad(StationEntry("A-0155", "fault"), "the fault is empty"),
    Bad(StationEntry("A-0155", "fault", "x" * 2001), "the fault is longer"),
    Bad(PASS._replace(condition="stick drifts"), "'stick drifts' after pass: type A-0155 fault stick drifts"),
    Bad(PASS._replace(outcome="mended"), "a station that passes has no fault, and so not an outcome"),
    Bad(PASS._replace(minutes=5.0), "and so not minutes"),
    Bad(PASS._replace(note=DEMO), "and so not a note"),
    Bad(PASS._replace(plays="no"), "does not play"),
    Bad(PASS._replace(result="maybe"), "result must be one of pass, fault"),  # type: ignore[arg-type]
    Bad(PASS._replace(photos=(Path("no-such.jpg"),)), "no-such.jpg"),
    Bad(PASS._replace(used=("unicorn",)), "is no part"),
    Bad(PASS._replace(release_number="77"), "the name is empty|nothing to release"),
]


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.words[:30])
def test_of_a_refused_entry_nothing_is_recorded(here: Recorder, bad: Bad) -> None:
    refused(here, lambda: record_station(here, bad.entry), bad.words)


@given(
    st.builds(
        StationEntry,
        st.sampled_from(["A-1", "A-2", " "]),
        st.sampled_from(["pass", "fault"]),
        st.sampled_from(["", "lamp dark", "x" * 2001]),
        st.sampled_from(["", "pad", "kiosk"]),
        st.sampled_from([None, DEMO, GRAVE, OTHER]),
        st.sampled_from([None, "mended", "withdrawn", "not_mended", "fixed"]),
        st.sampled_from([None, 0.0, 12.5, 480.0, 480.5, -5.0, 1e9, nan, inf]),
        st.lists(st.sampled_from(["wired pad", "2 cable ties", "2 unicorn", "-3 wired pad", ""]), max_size=2).map(
            tuple
        ),
        st.lists(st.sampled_from(["video lead", "cabinet key"]), max_size=1).map(tuple),
        st.just(()),
        st.lists(st.sampled_from(["fine", "", "y" * 2001]), max_size=2).map(tuple),
        st.sampled_from(["", "yes", "no"]),
        st.sampled_from(["", "Ola"]),
        st.sampled_from(["", "77"]),
        st.sampled_from(["", "today", "tomorrow", "soon"]),
    )
)
def test_whatever_is_told_is_recorded_whole_or_not_at_all(told: StationEntry) -> None:
    with TemporaryDirectory() as folder, Journal(Path(folder) / "journal.db") as journal:
        recorder = Recorder(journal, TRADE)
        recorder.open_visit("S-014")
        before = held(journal)
        try:
            made = record_station(recorder, told)
        except UsageError:
            assert held(journal) == before
            return
        (entry,) = journal.every(Entry)[before["entry"] :]
        assert {one.entry for one in made if not isinstance(one, Entry | Undo)} == {entry.id}  # type: ignore[union-attr]
        assert sum(held(journal).values()) - sum(before.values()) == len(made) + 1
        recorder.undo()
        assert [len(journal.all(kind)) for kind in (Sighting, Work, Outcome, Part, Remark, Release)] == [0] * 6
        assert len(journal.all(Visit)) == 1
