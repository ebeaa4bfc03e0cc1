"""Words of harm are heard in all that is typed on the screens of a visit, before it is taken for anything else."""

from __future__ import annotations

from functools import partial

from textual.screen import ScreenResultType

from assistant.errors import AssistantError
from assistant.journal.records import Work
from assistant.languages import said
from assistant.model import Answer, Note
from assistant.tui.common.contracts import Asks
from assistant.tui.common.offering import Offering, OfferingScreen
from assistant.tui.visit.harm_screen import Chosen, HarmScreen
from assistant.visiting.entries import danger_of
from assistant.visiting.recorder import Recorder

__all__ = ["HearingScreen"]


class HearingScreen(OfferingScreen[ScreenResultType]):
    """Shows the note that words of harm put first over what stands, and goes on there as if they had not been typed."""

    def __init__(self, offering: Offering, recorder: Recorder, asks: Asks) -> None:
        super().__init__(offering)
        self._recorder = recorder
        self._asks = asks

    @property
    def station(self) -> str:
        """The label of the station in hand, empty for none."""
        raise NotImplementedError

    def hears(self, text: str) -> bool:
        """Tell whether words of harm are heard before a text is taken: not where what is asked may well tell of it."""
        ask = self._offering.ask
        return not (ask and ask.content)

    def begin_work(self, work: Work, note: Note) -> None:
        """Show the screen of a work that has begun, or is to be gone on with."""
        raise NotImplementedError

    async def enter_text(self, text: str) -> None:
        """Show the note that words of harm put first, or else take a number, or an answer."""
        answer = self._harm(text)
        if answer is None:
            await super().enter_text(text)
            return
        self.line.value = ""
        ask = self._offering.ask
        screen = HarmScreen(answer, self._asks, wanted=bool(ask and ask.take))
        self.app.push_screen(screen, partial(self._after_harm, text, answer))
        self.notice(self._kept(answer))

    def _harm(self, text: str) -> Answer | None:
        if not any(character.isalpha() for character in text) or not self.hears(text):
            return None
        try:
            answer = self._asks.ask(text)[0]
        except AssistantError:  # no note can be looked for: what was asked can still be answered
            return None
        return answer if danger_of(answer) else None

    def _kept(self, answer: Answer) -> str:
        """Keep what was typed for the authors; return why that failed, else that it was not taken as an answer."""
        try:
            self._recorder.question(answer)
        except AssistantError as error:
            return str(error)
        return said("'{typed}' was not taken as an answer: go on where you stood.", typed=answer.question)

    async def _after_harm(self, typed: str, answer: Answer, chosen: Chosen | None) -> None:
        if chosen == "answer":
            await self.do(lambda: self._offering.take(typed))
        elif chosen == "work" and answer.note:
            try:
                work = self._recorder.take_up(answer.note, station=self.station, condition=typed)
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.begin_work(work, answer.note)
