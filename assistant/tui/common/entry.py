"""What stands in the record: the welcome, a question with its card, help."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import ItemGrid, Vertical
from textual.content import Content
from textual.widgets import Static

from assistant.journal.records import Question
from assistant.model import Answer, Option
from assistant.tui.common.actions import ACTIONS, Action, key_name, row_actions
from assistant.tui.common.card import MATCH_SIGN, card_widgets
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import ActionKey, AskedLine, Choice, Example, Pressable

__all__ = ["ActionRow", "AnswerEntry", "Entry", "HelpEntry", "Welcome"]

EXAMPLES = (
    "controller stick cap broken?",
    "screen says no signal",
    "fingerprints on the game disc",
)
_WHAT = "Type what is wrong with a demo station: it answers with the action, the steps, the parts and the minutes."
_SAFETY = (
    "Life in danger: call the local emergency number first. Mains wiring is for licensed people. "
    "Local and store rules come first."
)


class ActionRow(ItemGrid):
    """The things to press or tap under the newest card."""

    def __init__(self, actions: tuple[Action, ...]) -> None:
        super().__init__(min_column_width=18, classes="action-row")
        self._actions = actions

    def compose(self) -> ComposeResult:
        """Lay out one key an action."""
        for action in self._actions:
            yield ActionKey(action)


class Entry(Vertical):
    """One entry of the record; the newest alone can hold the focus and has the row of actions."""

    with_answer = False

    def set_newest(self, newest: bool) -> None:
        """Make this entry the newest, or an earlier one."""
        self.set_class(newest, "-newest")
        for line in self.query(Pressable):
            line.can_focus = newest and not isinstance(line, AskedLine)
        if newest and not self.query(ActionRow):
            self.mount(ActionRow(row_actions(with_answer=self.with_answer)))
        elif not newest:
            self.query(ActionRow).remove()

    def choices(self) -> list[Choice]:
        """Return the numbered lines of this entry."""
        return list(self.query(Choice))


class Welcome(Entry):
    """What an empty record shows."""

    def compose(self) -> ComposeResult:
        """Lay out what this is, three examples and the safety line."""
        yield Static(Content("Station assistant"), classes="title")
        yield Static(Content(_WHAT), classes="text")
        yield Static(Content("Try one: tap it, or type its number"), classes="label")
        for number, example in enumerate(EXAMPLES, start=1):
            yield Example(number, example)
        yield Hanging("! ", Content(_SAFETY), classes="first-rule")


class AnswerEntry(Entry):
    """A question and its card.

    Parameters
    ----------
    answer
        What to show.
    question
        The question that the card, and every note picked from it, answers.
    kept
        The record of the question in the journal, where it was kept.
    """

    with_answer = True

    def __init__(self, answer: Answer, question: str, kept: Question | None = None) -> None:
        super().__init__()
        self.answer = answer
        self.question = question
        self.kept = kept

    @property
    def pool(self) -> tuple[Option, ...]:
        """The note shown and the others, best first."""
        note = self.answer.note
        shown = (Option(note.id, note.title),) if note else ()
        return (*shown, *self.answer.options)

    @property
    def named(self) -> frozenset[str]:
        """Ids of the notes that the note shown leads to."""
        note = self.answer.note
        return frozenset((*note.links, *note.see_also)) if note else frozenset()

    def compose(self) -> ComposeResult:
        """Lay out the question and the card."""
        yield AskedLine(self.question)
        yield from card_widgets(self.answer)


class HelpEntry(Entry):
    """What a screen is for, and every action with its keys and what to tap."""

    TEXTS: ClassVar[tuple[str, ...]] = (
        "Type what is wrong and press Enter. After an answer, a short question asks about the same note: how long?",
        "Pick a numbered line: tap it, type its number and Enter, or go to it with Tab and press Enter.",
        "Where a card says to see another note, tap that line, or type the note's name and press Enter.",
        f"{MATCH_SIGN} marks a step that holds what you asked about.",
    )
    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS

    def compose(self) -> ComposeResult:
        """Lay out one line an action."""
        yield Static(Content("Help"), classes="title")
        for text in self.TEXTS:
            yield Static(Content(text), classes="text")
        yield Static(Content("Keys"), classes="label")
        for action in self.ACTIONS:
            keys = " or ".join(key_name(key) for key in action.keys)
            tap = f" Or tap: {action.tap}." if action.tap else ""
            yield Hanging(f"{keys}: ", Content(f"{action.tooltip}.{tap}"), classes="help-line", indent=4)
        yield Static(Content("Ctrl+C twice: close the program at once."), classes="help-line")
