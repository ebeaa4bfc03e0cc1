"""What stands in a record of widgets, and help, which every screen shows."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content

from assistant.languages import said
from assistant.tui.common.actions import ACTIONS, Action, key_name
from assistant.tui.common.paragraph import Paragraph

__all__ = ["Entry", "HelpEntry", "help_paragraphs"]


class Entry(Vertical):
    """One entry of the record."""


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
        yield from (paragraph.widget() for paragraph in help_paragraphs(self._texts, self._actions))


def help_paragraphs(texts: tuple[str, ...], actions: tuple[Action, ...]) -> Iterator[Paragraph]:
    """Yield help: what a screen is for, then one line an action and one a key."""
    yield Paragraph("title", Content(said("Help")))
    for text in texts:
        yield Paragraph("text", Content(said(text)))
    yield Paragraph("label", Content(said("Type the word or its letter, then Enter")))
    for action in actions:
        if action.letter:
            yield _help_line(f"{said(action.word)} ({action.letter})", action)
    yield Paragraph("label", Content(said("Keys")))
    for action in ACTIONS:
        if action.keys and (not action.word or action in actions):
            yield _help_line(said(" or ").join(key_name(key) for key in action.keys), action)


def _help_line(name: str, action: Action) -> Paragraph:
    return Paragraph("help-line", Content(f"{said(action.tooltip)}."), f"{name}: ", 4)
