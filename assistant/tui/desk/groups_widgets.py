"""What reps asked and did not find, as widgets: the groups, and one of them."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.desk.unanswered import Group
from assistant.tui.common.entry import Entry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.text import literal
from assistant.tui.desk.at_groups import AtGroups
from assistant.tui.desk.at_sorted import now_words
from assistant.tui.desk.widgets import offer_lines
from assistant.visiting.times import local_day

__all__ = ["GROUPS_TEXTS", "GroupsEntry"]

GROUPS_TEXTS = (
    "Each line is a group of questions that would be one note and did not find their answer. Pick one to open it.",
    "Type the number of a line, or tap it; type next for the next ten lines.",
    "A group goes into the notes as examples, as a word that reps use, as a new note, or as what no note is to cover.",
    "Wordings can go apart, groups be made one, and what is no work for a note be ignored; undo takes it back.",
    "People's names are masked where a word before them tells of a person, such as 'ask for'. Look for others.",
    "Nothing is written before you pick the line that says so; Esc cancels a question.",
)
"""What help says."""

_MISSED = {
    "none": "without an answer",
    "not helpful": "called not helpful",
    "asked again": "asked again in other words",
    "left at once": "left before it could be read",
}


class GroupsEntry(Entry):
    """The groups ten at a time, or one group whole."""

    def __init__(self, at: AtGroups) -> None:
        super().__init__()
        self._at = at

    def compose(self) -> ComposeResult:
        """Lay out the page and the numbered lines."""
        at = self._at
        group = at.group
        yield Static(Content("Asked and not found"), classes="title")
        if group is None:
            yield from self._groups()
        elif at.ask is None or not at.ask.offers:
            yield from self._group(group)
        else:
            yield Hanging("Asked: ", literal(group.wordings[0][0]), classes="needs")
        yield from offer_lines(at)

    def _groups(self) -> Iterator[Widget]:
        if self._at.count:
            yield Static(literal(f"Groups, biggest first: {self._at.shown_of}"), classes="label")
        else:
            yield Static(Content("Every question found its answer."), classes="text")

    def _group(self, group: Group) -> Iterator[Widget]:
        yield Static(literal(f"Group {self._at.shown_of}"), classes="label")
        state = self._at.state(group)
        if state:
            yield Static(literal(state), classes="title")
        for number, (text, count) in enumerate(group.wordings, start=1):
            lead = f"{number}. {count} x " if self._at.numbered else f"{count} x "
            yield Hanging(lead, literal(text), classes="item")
        yield Static(Content("Where and when"), classes="label")
        yield Hanging("Shops: ", literal(", ".join(group.stores) or "not known"), classes="needs")
        yield Hanging("Seen: ", literal(f"{local_day(group.first_at)} to {local_day(group.last_at)}"), classes="needs")
        kinds = ", ".join(f"{count} {_MISSED[miss]}" for miss, count in group.misses)
        yield Hanging("Missed: ", literal(kinds), classes="needs")
        if group.given:
            given = ", ".join(f"{note} ({count} x)" for note, count in group.given)
            yield Hanging("Answered, likely wrongly: ", literal(given), classes="needs")
        now = f"{now_words(group)}, {group.title}" if group.note else now_words(group)
        yield Hanging("Now: ", literal(now), classes="needs")
        if self._at.ask is None:
            yield Static(Content("What to do with it"), classes="label")
