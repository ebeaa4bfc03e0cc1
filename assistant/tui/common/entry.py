"""What stands in the record: the welcome, a question with its card, help."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.journal.records import Question
from assistant.languages import said, to_say
from assistant.model import Answer, Option
from assistant.tui.common.actions import ACTIONS, Action, key_name
from assistant.tui.common.card import card_widgets
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import AskedLine, Choice, Example, Pressable

__all__ = ["AnswerEntry", "Entry", "HelpEntry", "Welcome"]

EXAMPLES = (
    to_say("controller stick cap broken?"),
    to_say("screen says no signal"),
    to_say("fingerprints on the game disc"),
)
_WHAT = to_say(
    "Type what is wrong with a demo station: it answers with the action, the steps, the parts and the minutes."
)
_WHAT_ELSE = to_say("Type what is wrong: it answers with the action, the steps, the parts and the minutes.")
_SAFETY = to_say(
    "Life in danger: call the local emergency number first. Mains wiring is for licensed people. "
    "Local and store rules come first."
)


class Entry(Vertical):
    """One entry of the record; the lines of the newest alone can hold the focus."""

    def set_newest(self, newest: bool) -> None:
        """Make this entry the newest, or an earlier one."""
        self.styles.min_height = "100%" if newest else None
        for line in self.query(Pressable):
            line.can_focus = newest and not isinstance(line, AskedLine)

    def choices(self) -> list[Choice]:
        """Return the numbered lines of this entry."""
        return list(self.query(Choice))


class Welcome(Entry):
    """What an empty record shows, with the examples that are given, or else those that fit the notes that ship."""

    def __init__(self, examples: Sequence[str] = ()) -> None:
        super().__init__()
        self._examples = tuple(examples) or tuple(map(said, EXAMPLES))
        self._what = _WHAT_ELSE if examples else _WHAT

    def compose(self) -> ComposeResult:
        """Lay out what this is, three examples and the safety line."""
        yield Static(Content(said("Station assistant")), classes="title")
        yield Static(Content(said(self._what)), classes="text")
        yield Static(Content(said("Try one: tap it, or type its number")), classes="label")
        for number, example in enumerate(self._examples, start=1):
            yield Example(number, example)
        yield Hanging("! ", Content(said(_SAFETY)), classes="first-rule")


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
    topic
        The question that brought the note, where this one goes on with it; the question where empty.
    """

    def __init__(self, answer: Answer, question: str, kept: Question | None = None, *, topic: str = "") -> None:
        super().__init__()
        self.topic = topic or question
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
    """What a screen is for, every action with its word and letter, and the keys.

    Parameters
    ----------
    texts
        What the screen is for.
    actions
        The actions that it has.
    """

    def __init__(self, texts: tuple[str, ...], actions: tuple[Action, ...]) -> None:
        super().__init__()
        self._texts = texts
        self._actions = actions

    def compose(self) -> ComposeResult:
        """Lay out one line an action and one a key."""
        yield Static(Content(said("Help")), classes="title")
        for text in self._texts:
            yield Static(Content(said(text)), classes="text")
        yield Static(Content(said("Type the word or its letter, then Enter")), classes="label")
        for action in self._actions:
            if action.letter:
                yield _help_line(f"{said(action.word)} ({action.letter})", action)
        yield Static(Content(said("Keys")), classes="label")
        for action in ACTIONS:
            if action.keys and (not action.word or action in self._actions):
                yield _help_line(said(" or ").join(key_name(key) for key in action.keys), action)


def _help_line(name: str, action: Action) -> Widget:
    return Hanging(f"{name}: ", Content(f"{said(action.tooltip)}."), classes="help-line", indent=4)
