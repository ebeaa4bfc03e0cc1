"""What stands on the paper of the screen that a rep asks on: the welcome, a question with its card, help."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.content import Content

from assistant.journal.records import Question
from assistant.languages import said, to_say
from assistant.model import Answer, Option
from assistant.tui.common.actions import Action
from assistant.tui.common.card import card_paragraphs
from assistant.tui.common.entry import help_paragraphs
from assistant.tui.common.paragraph import Paragraph, Press
from assistant.tui.common.text import literal

__all__ = ["AnswerSheet", "HelpSheet", "Sheet", "Welcome"]

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


class Sheet:
    """One entry: paragraphs, top to bottom."""

    def __init__(self, paragraphs: Iterable[Paragraph]) -> None:
        self.paragraphs = tuple(paragraphs)

    def choices(self) -> list[Press]:
        """Return what the numbered lines do."""
        presses = (paragraph.press for paragraph in self.paragraphs)
        return [press for press in presses if press and press.kind in ("ask", "pick")]


class Welcome(Sheet):
    """What an empty record shows, with the examples that are given, or else those that fit the notes that ship."""

    def __init__(self, examples: Sequence[str] = ()) -> None:
        asked = tuple(examples) or tuple(map(said, EXAMPLES))
        super().__init__(
            (
                Paragraph("title", Content(said("Station assistant"))),
                Paragraph("text", Content(said(_WHAT_ELSE if examples else _WHAT))),
                Paragraph("label", Content(said("Try one: tap it, or type its number"))),
                *(
                    Paragraph("option", literal(example), f"{number:<2} ", press=Press("ask", example))
                    for number, example in enumerate(asked, start=1)
                ),
                Paragraph("first-rule", Content(said(_SAFETY)), "! "),
            )
        )


class AnswerSheet(Sheet):
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
        asked = Paragraph("asked", literal(question), said("Asked: "), press=Press("again", question))
        super().__init__((asked, *card_paragraphs(answer)))
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


class HelpSheet(Sheet):
    """What the screen is for, every action with its word and letter, and the keys."""

    def __init__(self, texts: tuple[str, ...], actions: tuple[Action, ...]) -> None:
        super().__init__(help_paragraphs(texts, actions))
