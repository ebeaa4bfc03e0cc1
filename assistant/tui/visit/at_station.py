"""One station of the round as the screen offers it: it passes, has a fault, is handed over, released, and the rest."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from assistant.errors import AssistantError
from assistant.journal.records import Plays, Work
from assistant.languages import said
from assistant.model import Answer, Note
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.visit.beside import Beside
from assistant.tui.visit.forms import Answers, Field, Marked, form, hand_over_form, release_form
from assistant.visiting import entries
from assistant.visiting.entries import Released
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import RoundView
from assistant.visiting.rounds import StationState
from assistant.visiting.standing import note_or_none, where

__all__ = ["AtStation"]


class AtStation:
    """Records what is seen at stations; each thing is one entry.

    Parameters
    ----------
    recorder
        Records all that is done.
    asks
        Finds the note for a fault.
    note_by_id
        Returns a note of the pack.
    begin_work
        Is given a work that has begun, or is to be gone on with, and its note.
    tell
        Is told what was recorded.
    """

    def __init__(
        self,
        recorder: Recorder,
        asks: Asks,
        note_by_id: NoteById,
        begin_work: Callable[[Work, Note], None],
        tell: Callable[[str], None],
    ) -> None:
        self._recorder = recorder
        self._asks = asks
        self._note_by_id = note_by_id
        self._begin_work = begin_work
        self._tell = tell
        self.emergency = ""
        """On whom to call, where harm came near in the fault that was told last; else empty."""

    def next(self, view: RoundView) -> Offer | None:
        """Return the line for the station that is next, which Enter takes: never a pass of one out of service."""
        stand = next((stand for stand in view.stations if stand.station not in view.seen), None)
        if stand is None:
            return None
        station = stand.station
        work = self._open_work(view, station)
        if stand.state == "withdrawn":
            return Marked(
                said("{station}{kind}: still out of service, next", station=station, kind=self._kind(stand)),
                partial(self._still_out, station),
            )
        if work:
            return Marked(
                said("{station}: go on with {work_words}", station=station, work_words=self._work_words(work)),
                partial(self.go_on, work),
            )
        told = said("passes, next")
        if station in view.off:
            told += said(
                " (the staff had switched it off{told}{told_2})",
                told=": " if view.off[station] else "",
                told_2=view.off[station],
            )
        elif stand.state == "fault":
            told = said("passes now, next (it had: {told})", told=stand.condition or stand.note)
        line = Marked if stand.state != "fault" and station not in view.off else Offer
        return line(f"{station}{self._kind(stand)}: {told}", partial(self.passes, view, station))

    def words(self, view: RoundView, stand: StationState) -> str:
        """Return how a station stands, for its line on the round."""
        told = f": {stand.condition or stand.note}" if stand.condition or stand.note else ""
        return f"{stand.station}{self._kind(stand)} {view.word(stand)}{told}"

    def _kind(self, stand: StationState) -> str:
        return f" ({self._recorder.trade.stations.get(stand.model, stand.model)})" if stand.model else ""

    def menu(self, view: RoundView, station: str) -> Ask:
        """Ask how a station is; what is typed is its fault."""
        stand = view.stand(station)
        out = stand is not None and stand.state == "withdrawn"
        work = self._open_work(view, station)
        offers: list[Offer] = []
        if out:
            offers.append(Marked(said("Still out of service"), partial(self._still_out, station)))
            offers.append(Offer(said("It was released: it may be played again"), partial(self._ask_release, station)))
        if work:
            going = said("Go on with {work_words}", work_words=self._work_words(work))
            offers.append((Offer if out else Marked)(going, partial(self.go_on, work)))
        unsure = out or work or station in view.off or (stand is not None and stand.state == "fault")
        passes = Offer if unsure else Marked
        offers += [
            passes(said("It passes"), partial(self.passes, view, station)),
            Offer(said("Fault, it still plays"), partial(self._ask_fault, view, station, "yes")),
            Offer(said("Fault, it does not play"), partial(self._ask_fault, view, station, "no")),
            Offer(said("Hand it over to the support desk"), partial(self._ask_hand_over, station, stand)),
            *Beside(self._recorder, self._tell, station).offers,
            Offer(said("The staff had switched it off"), partial(self._ask_off, station)),
        ]
        return Ask(
            said("{station}: how is it? Or type what is wrong", station=station),
            partial(self.fault, view, station),
            tuple(offers),
            content=True,
        )

    def passes(self, view: RoundView, station: str, remark: str = "") -> Ask | None:
        """Record a pass; one that is out of service needs its release, one that is being worked on an end first."""
        work = self._open_work(view, station)
        if self._recorder.out_of_service(station):
            return release_form(self._recorder, station, partial(self._release_and_pass, station))
        if work:
            offers = (
                Offer(said("Go on with {work_words}", work_words=self._work_words(work)), partial(self.go_on, work)),
                Offer(said("Back to the round"), self._nothing),
            )
            return Ask(said("{station}: this work stands open. Say first how it ended.", station=station), None, offers)
        entries.pass_station(self._recorder, station, remark)
        self._tell(said("{station} passes. Recorded.", station=station))
        return None

    def doubt(self, view: RoundView, station: str, words: str) -> Ask:
        """Ask what is meant where words follow a pass."""
        offers = (
            Offer(
                said("It passes; keep '{words}' as a remark", words=words), partial(self.passes, view, station, words)
            ),
            Offer(said("It has a fault: {words}", words=words), partial(self.fault, view, station, words)),
        )
        return Ask(
            said("{station}: '{words}' stands after the pass. How is it?", station=station, words=words),
            None,
            offers,
            holds=True,
        )

    def _still_out(self, station: str) -> None:
        entries.still_out(self._recorder, station)
        self._tell(said("{station}: still out of service. Recorded.", station=station))

    def _ask_release(self, station: str) -> Ask:
        return release_form(self._recorder, station, partial(self._release, station))

    def _release(self, station: str, told: Released) -> None:
        self._recorder.release(station, by=told.by, number=told.number, day=told.day)
        self._tell(
            said(
                "{station} is released. Recorded. Look at it, then let it pass, or tell what is wrong.", station=station
            )
        )

    def _release_and_pass(self, station: str, told: Released) -> None:
        entries.release_and_pass(self._recorder, station, told.by, told.number, told.day)
        self._tell(said("{station}: released, passes. Recorded.", station=station))

    def _ask_fault(self, view: RoundView, station: str, plays: Plays) -> Ask:
        field = Field(said("{station}: what is wrong?", station=station), needed=True, content=True)
        return form((field,), lambda answers: self.fault(view, station, answers[0], plays))

    def fault(self, view: RoundView, station: str, condition: str, plays: Plays = "") -> Ask:
        """Ask which note fits a fault; nothing is recorded before that is chosen."""
        if not condition:
            return self._ask_fault(view, station, plays)
        answer, unasked = self._answer(condition)
        options = [option.id for option in answer.options] if answer and answer.decision != "none" else []
        first = answer.note if answer else None
        others = [note for note_id in options if (note := note_or_none(self._note_by_id, note_id)) and note != first]
        danger = entries.danger_of(answer) if answer else None
        safety = answer.safety if answer and danger else ()
        self.emergency = answer.emergency if answer else ""
        record = partial(self._see, station, condition, plays, answer)
        offers: list[Offer] = []
        if first:
            plain = not danger and not self.emergency
            words = said("Work through it now: {title}, about {minutes} min", title=first.title, minutes=first.minutes)
            offers.append((Marked if plain else Offer)(words, partial(record, first, work=True)))
        offers += [
            Offer(
                said("{title}, about {minutes} min", title=note.title, minutes=note.minutes),
                partial(record, note, work=True),
            )
            for note in others
        ]
        if danger:
            offers.append(Offer(said("Only the fault: it is out of service"), partial(record, danger)))
        else:
            offers.append(Offer(said("No note, only the fault"), partial(record, None)))
        if first and not danger:
            offers.append(Offer(said("Later: only the fault, with this note"), partial(record, first)))
        asked = said("What now?") if first else said("Which note fits?")
        return Ask(f"{unasked}{asked} {station}: {condition}", None, tuple(offers), holds=True, safety=safety)

    def _answer(self, condition: str) -> tuple[Answer | None, str]:
        """Ask for the note; where that fails it is said, and the fault can still be recorded."""
        try:
            return self._asks.ask(condition)[0], ""
        except AssistantError as error:
            return None, said("No note could be looked for: {error}. ", error=error)

    def _see(
        self,
        station: str,
        condition: str,
        plays: Plays,
        answer: Answer | None,
        note: Note | None,
        *,
        work: bool = False,
    ) -> None:
        begun = entries.fault(self._recorder, station, condition, note=note, plays=plays, work=work)
        self._tell(said("{station}: {condition}. Recorded.", station=station, condition=condition))
        if answer:
            self._keep(answer)
        if begun and note:
            self._begin_work(begun, note)

    def _keep(self, answer: Answer) -> None:
        """Keep what was asked for the authors; the fault is recorded all the same."""
        try:
            self._recorder.question(answer)
        except AssistantError as error:
            self._tell(said("The fault is recorded; what was asked was not kept: {error}", error=error))

    def _ask_hand_over(self, station: str, stand: StationState | None) -> Ask:
        return hand_over_form(stand.condition if stand else "", partial(self._hand_over, station))

    def _hand_over(self, station: str, why: str, number: str) -> None:
        entries.hand_over(self._recorder, why, station, number)
        self._tell(said("{station}: handed over to the support desk. Recorded.", station=station))

    def _ask_off(self, station: str) -> Ask:
        why = Field(said("Why had they switched it off? May be empty"), content=True)
        return form((why,), partial(self._off, station))

    def _off(self, station: str, answers: Answers) -> None:
        self._recorder.switched_off(station, answers[0])
        self._tell(said("{station}: switched off by the staff. Recorded.", station=station))

    def _open_work(self, view: RoundView, station: str) -> Work | None:
        return next((work for work in view.works if work.station == station), None)

    def work_line(self, work: Work, shop: str | None = None) -> Offer:
        """Return the line of a work that stands open here, or in another shop, none where its code is empty."""
        station = work.station or said("no station")
        named = f"{station}, {self._work_words(work)}"
        if shop is None and note_or_none(self._note_by_id, work.note):
            return Offer(said("Go on: {named}", named=named), partial(self.go_on, work))
        elsewhere = said("shop {shop}, ", shop=shop) if shop else ""
        return Offer(said("Open: {elsewhere}{named}", elsewhere=elsewhere, named=named), partial(self._work, work))

    def _work_words(self, work: Work) -> str:
        note = note_or_none(self._note_by_id, work.note)
        if note is None:
            return said("{title}, whose note cannot be read", title=work.title)
        return f"{work.title}, {where(self._recorder.walk_of(work, note))}"

    def _work(self, work: Work) -> Ask:
        offers = (
            Offer(said("Go on with {work_words}", work_words=self._work_words(work)), partial(self.go_on, work)),
            Offer(said("End it as not mended"), partial(self._drop, work)),
        )
        station = work.station or said("No station")
        return Ask(f"{station}: {work.title}", None, offers)

    def go_on(self, work: Work) -> None:
        """Take a work up where it stands."""
        note = self._note_by_id(work.note)
        if note is None:
            self._tell(
                said("The note '{note}' is not in this pack. The work can be ended as not mended.", note=work.note)
            )
        else:
            self._begin_work(work, note)

    def _drop(self, work: Work) -> None:
        entries.end_work(self._recorder, work, "not_mended")
        self._tell(said("{title}: ended as not mended. Recorded.", title=work.title))

    def _nothing(self) -> None:
        self._tell("")
