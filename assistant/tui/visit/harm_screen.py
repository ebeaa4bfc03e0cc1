"""The card of the note that words of harm put first, over the screen on which they were typed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import ClassVar, Literal

from textual.app import ComposeResult

from assistant.errors import UsageError
from assistant.languages import said, to_say
from assistant.model import Answer
from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.asking import Ask, Offer, line_number
from assistant.tui.common.card import card_paragraphs
from assistant.tui.common.contracts import Asks
from assistant.tui.common.entry import Entry
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.common.pressable import OfferLine
from assistant.visiting.entries import danger_of

__all__ = ["AtHarm", "Chosen", "HarmScreen"]

Chosen = Literal["back", "work", "answer"]


class AtHarm:
    """What can be done about words of harm: nothing is marked, and they are an answer only where that is picked.

    Parameters
    ----------
    answer
        The answer to what was typed.
    asks
        Finds the note for further words.
    wanted
        Whether what was typed could be the answer to a question on the line.
    """

    def __init__(self, answer: Answer, asks: Asks, *, wanted: bool) -> None:
        self.answer = answer
        self.said = ""
        self.ask: Ask | None = None
        self.chosen: Chosen | None = None
        self._asks = asks
        self._typed = answer.question if wanted else ""

    @property
    def question(self) -> str:
        """What the line takes now."""
        return said("What now?")

    @property
    def marked(self) -> int:
        """No line is marked."""
        return 0

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        lines: list[tuple[str, Chosen]] = []
        if note := self.answer.note:
            told = said("Work through it now: {title}, about {minutes} min", title=note.title, minutes=note.minutes)
            lines.append((told, "work"))
        lines.append((said("Go back to what stood before"), "back"))
        if self._typed:
            lines.append((said("No harm is meant: '{typed}' is the answer", typed=self._typed), "answer"))
        return tuple(Offer(told, partial(self._choose, what)) for told, what in lines)

    def _choose(self, what: Chosen) -> None:
        self.chosen = what

    def take(self, text: str) -> None:
        """Take the number of a line, or further words of harm, whose card is shown in place of this one."""
        number = line_number(text, len(self.offers))
        if number:
            self.pick(number)
            return
        answer = self._asks.ask(text)[0] if text else None
        if answer is None or danger_of(answer) is None:
            raise UsageError(said("type the number of a line, 1 to {len}, or press Esc", len=len(self.offers)))
        self.answer, self._typed = answer, ""

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.offers[number - 1].take()

    def cancel(self) -> bool:
        """Tell that there is no question to drop."""
        return False


class HarmScreen(OfferingScreen[Chosen]):
    """Shows the whole card with the line on whom to call; is dismissed with what was chosen."""

    ACTIONS: ClassVar[tuple[Action, ...]] = chosen("help", "colours", "leave")
    TEXTS: ClassVar[tuple[str, ...]] = (
        to_say("What was typed tells of harm: this note goes first. What stood before stands behind it."),
    )
    CSS_PATH = "visit.tcss"

    def __init__(self, answer: Answer, asks: Asks, *, wanted: bool) -> None:
        self._at = AtHarm(answer, asks, wanted=wanted)
        super().__init__(self._at)

    def entry(self) -> Entry:
        """Return the card, and what can be done about it."""
        return _HarmEntry(self._at)

    @property
    def can_cancel(self) -> bool:
        """Esc goes back."""
        return True

    def leaves(self) -> bool:
        """Leave with what was chosen."""
        if self._at.chosen:
            self.dismiss(self._at.chosen)
        return self._at.chosen is not None

    def action_leave(self) -> None:
        """Go back to what stood before."""
        self.dismiss("back")


class _HarmEntry(Entry):
    def __init__(self, at: AtHarm) -> None:
        super().__init__()
        self._at = at

    def compose(self) -> ComposeResult:
        """Lay out the card of the one note, and below it the numbered lines."""
        for paragraph in card_paragraphs(self._at.answer._replace(options=())):
            yield paragraph.widget()
        yield from self._lines()

    def _lines(self) -> Iterator[OfferLine]:
        for number, offer in enumerate(self._at.offers, start=1):
            yield OfferLine(number, offer.text)
