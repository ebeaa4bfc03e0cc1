"""What reps asked and did not find, as the screen offers it: the groups, one of them, and what to do with it.

Nothing is drawn here. Nothing is written but by a picked line, and a group is taken only after its file is written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TypeVar

from assistant.desk.skeleton import FIELDS, Draft, draft_of, new_note, note_text, question_of, stand_in
from assistant.desk.taking import add_questions, add_vocabulary
from assistant.desk.unanswered import Group
from assistant.errors import AssistantError, NotesError, UsageError
from assistant.notes.reader import read_note
from assistant.notes.trade import read_trade
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.common.text import printable
from assistant.tui.desk.at_desk import AtDesk
from assistant.visiting.times import local_day

__all__ = ["AtGroups", "now_words"]

T = TypeVar("T")

_NOW = {"answer": "answered with", "choose": "offered:", "none": "not answered; nearest is"}
_MOST_NOTES = 5
_TITLE_WORDS = 9
_WEIGHT = 0.8
_CHECK = "The notes have changed; to check them: assistant corpus check"


def now_words(group: Group) -> str:
    """Return what a question of the group gets now."""
    return f"{_NOW[group.decision]} {group.note}" if group.note else "not answered, and no note comes near"


class AtGroups(AtDesk):
    """The groups, biggest first, those set aside last.

    Parameters
    ----------
    groups
        The groups in the order in which they are shown.
    asks
        Finds notes by words.
    note_by_id
        Returns a note of the pack.
    corpus
        Folder of the notes, which are written to.
    today
        The day that a new note is given.
    """

    def __init__(self, groups: Sequence[Group], asks: Asks, note_by_id: NoteById, corpus: Path, today: date) -> None:
        super().__init__()
        self._groups = list(groups)
        self._asks = asks
        self._note_by_id = note_by_id
        self._corpus = corpus
        self._today = today
        self._aside: set[str] = set()
        self.taken: dict[str, list[str]] = {}

    @property
    def groups(self) -> list[Group]:
        """The groups in the order of the lines."""
        return sorted(self._groups, key=lambda group: group.key in self._aside)

    @property
    def count(self) -> int:
        """How many groups there are."""
        return len(self._groups)

    @property
    def group(self) -> Group | None:
        """The open group."""
        return None if self.opened is None else self.groups[self.opened]

    def state(self, group: Group) -> str:
        """Return what has become of a group in this sitting; empty where nothing has."""
        if group.key in self.taken:
            return f"+ taken: {', '.join(self.taken[group.key])}"
        return "x set aside" if group.key in self._aside else ""

    def line(self, place: int) -> str:
        """Return how often, how many shops, last seen, the wording most asked, and what it gets now."""
        group = self.groups[place]
        shops = len(group.stores)
        where = f"{shops} shop{'' if shops == 1 else 's'}" if shops else "shop not known"
        state = self.state(group)
        asked = f"{group.askings} x, {where}, last {local_day(group.last_at)}"
        told = f"{asked}: {group.wordings[0][0]} (now {now_words(group)})"
        return f"{state} | {told}" if state else told

    @property
    def open_offers(self) -> tuple[Offer, ...]:
        """What can be done with the open group."""
        group = self.group
        if group is None:
            return ()
        nearest = [Offer(f"Examples of {group.note}", partial(self._add, group, group.note))] if group.note else []
        aside = "Take it up again" if group.key in self._aside else "Set aside, for this sitting only"
        return (
            *nearest,
            Offer("Examples of another note", partial(self._ask_note, group)),
            Offer("A word that reps use", partial(self._ask_word, group)),
            Offer("A new note", partial(self._ask_field, group, {})),
            Offer(aside, partial(self._set_aside, group)),
            Offer("Back to the groups", self.close),
        )

    def _ask_note(self, group: Group) -> Ask:
        return Ask("Which note? Type words that it deals with, or its id", partial(self._find, group))

    def _find(self, group: Group, text: str) -> Ask:
        note = self._note_by_id(text) if text else None
        notes = [(note.id, note.title)] if note else self._near(text)
        if not notes:
            raise UsageError("no note comes near; type other words, or the id of a note")
        offers = tuple(Offer(f"{title} ({key})", partial(self._add, group, key)) for key, title in notes[:_MOST_NOTES])
        return Ask("Pick the note, or type other words", partial(self._find, group), offers)

    def _near(self, text: str) -> list[tuple[str, str]]:
        if not text:
            return []
        answer, _ = self._asks.ask(text)
        first = [(answer.note.id, answer.note.title)] if answer.note else []
        return [*first, *((option.id, option.title) for option in answer.options)]

    def _add(self, group: Group, note_id: str) -> None:
        note = self._note_by_id(note_id)
        if note is None:
            raise UsageError(f"no note '{note_id}' in this pack")
        self._done(group, f"examples of {note.id}", self._questions(group, self._corpus / note.path))

    def _questions(self, group: Group, path: Path) -> str:
        taken = _written(lambda: add_questions(self._corpus, path, [text for text, _ in group.wordings]))
        told = f"{path.with_suffix('')}: {taken}, of {len(group.wordings)} wordings."
        return f"{told} {_CHECK}" if any(taken) else told

    def _ask_word(self, group: Group) -> Ask:
        question = "FORM=WORD: the form that reps type, and the word of the notes, such as gamepad=pad"
        return Ask(question, partial(self._word, group))

    def _word(self, group: Group, text: str) -> Ask:
        form, equals, word = (part.strip() for part in text.partition("="))
        if not (form and equals and word):
            raise UsageError("a word reads FORM=WORD, such as gamepad=pad")
        offer = Offer(f"Write it into the vocabulary, at {_WEIGHT}", partial(self._add_word, group, form, word))
        return Ask(f"'{form}' is to stand for '{word}'?", partial(self._word, group), (offer,))

    def _add_word(self, group: Group, form: str, word: str) -> None:
        _written(lambda: add_vocabulary(self._corpus, form, word, _WEIGHT))
        told = f"{self._corpus / 'vocabulary.yaml'}: '{form}' stands for '{word}' at {_WEIGHT}. {_CHECK}"
        self._done(group, f"the word {form}", told)

    def _ask_field(self, group: Group, given: Mapping[str, str]) -> Ask:
        trade = read_trade(self._corpus)
        if len(given) == len(FIELDS):
            offer = Offer("Write it", partial(self._new_note, group, draft_of(given, trade)))
            return Ask(f"New note: {'; '.join(filter(None, given.values()))}", None, (offer,))
        field = FIELDS[len(given)]
        ready = {
            "title": (" ".join(group.wordings[0][0].rstrip(" .?").split()[:_TITLE_WORDS]),),
            "station": tuple(trade.stations),
            "action": tuple(trade.actions),
            "things": ("",),
            "troubles": ("",),
        }
        take = partial(self._given, group, given, field)
        offers = tuple(Offer(printable(text) or "None for now", partial(take, text)) for text in ready.get(field, ()))
        return Ask(f"New note, {len(given) + 1} of {len(FIELDS)}: {question_of(field, trade)}", take, offers)

    def _given(self, group: Group, given: Mapping[str, str], field: str, text: str) -> Ask:
        answers = {**given, field: text}
        trade = read_trade(self._corpus)
        draft = draft_of({**stand_in(trade), **answers}, trade)
        if field == "id" and any(self._corpus.rglob(f"{draft.id}.md")):
            raise UsageError(f"a note '{draft.id}' is there already")
        try:
            read_note(note_text(draft, self._today), f"{draft.id.partition('-')[0]}/{draft.id}.md")
        except NotesError as error:
            raise UsageError("; ".join(fault.message for fault in error.faults)) from error
        return self._ask_field(group, answers)

    def _new_note(self, group: Group, draft: Draft) -> None:
        path = _written(lambda: new_note(self._corpus, draft, self._today))
        told = self._questions(group, path)
        self._done(group, f"new note {draft.id}", f"{path}: written, to be filled in. {told}")

    def _done(self, group: Group, what: str, told: str) -> None:
        self.taken.setdefault(group.key, []).append(what)
        self.said = told
        self.close()

    def _set_aside(self, group: Group) -> None:
        self._aside ^= {group.key}
        self.opened = None
        self.last = 0


def _written(write: Callable[[], T]) -> T:
    """Write into the notes; what the disk refuses is said as any other refusal."""
    try:
        return write()
    except OSError as error:
        raise AssistantError(f"{error.filename}: cannot be written: {error.strerror}") from error
