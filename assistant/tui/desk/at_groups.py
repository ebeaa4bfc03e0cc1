"""What reps asked and did not find, as the screen offers it: the groups, one of them, and what to do with it.

Nothing is drawn here. Nothing is written into the notes but by a picked line, and a group is taken only after its file
is written. What is done to groups by hand is kept at once, and can be taken back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path

from assistant.desk.by_hand import ByHand
from assistant.desk.skeleton import FIELDS, Draft, draft_of, new_note, note_text, question_of, stand_in
from assistant.desk.taking import UNCOVERED, add_questions, add_uncovered, add_vocabulary, near_uncovered, take_over
from assistant.desk.unanswered import Group
from assistant.errors import NotesError, UsageError
from assistant.notes.reader import read_note
from assistant.notes.trade import read_trade
from assistant.pack.reader import Pack
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.common.contracts import Asks
from assistant.tui.common.text import printable
from assistant.tui.desk.at_sorted import AtSorted, written

__all__ = ["AtGroups"]

_MOST_NOTES = 5
_TITLE_WORDS = 9
_WEIGHT = 0.8
_CHECK = "The notes have changed; to check them: assistant corpus check"


class AtGroups(AtSorted):
    """The groups, sorted by hand, and what takes one of them into the notes.

    Parameters
    ----------
    groups
        The groups as they were found.
    asks
        Finds notes by words.
    pack
        The notes as they were when the groups were found.
    corpus
        Folder of the notes, which are written to.
    today
        The day that a new note is given.
    by_hand
        What was done to groups by hand, before and now.
    """

    def __init__(
        self, groups: Sequence[Group], asks: Asks, pack: Pack, corpus: Path, today: date, by_hand: ByHand
    ) -> None:
        super().__init__(groups, asks, by_hand)
        self._pack = pack
        self._corpus = corpus
        self._today = today

    @property
    def open_offers(self) -> tuple[Offer, ...]:
        """What can be done with the open group."""
        group = self.group
        if group is None:
            return ()
        nearest = [Offer(f"Examples of {group.note}", partial(self._add, group, group.note))] if group.note else []
        return (
            *nearest,
            Offer("Examples of another note", partial(self._ask_note, group)),
            Offer("A word that reps use", partial(self._ask_word, group)),
            Offer("A new note", partial(self._ask_field, group, {})),
            Offer("No note is to cover it", partial(self._uncovered, group)),
            *self.sorting_offers(group),
            Offer("Back to the groups", self.close),
        )

    def _uncovered(self, group: Group) -> None:
        texts = [text for text, _ in group.wordings]
        added = written(lambda: add_uncovered(self._corpus, texts))
        told = f"{self._corpus / UNCOVERED}: {added} new lines, of {len(texts)} wordings."
        self._done(group, "uncovered", f"{told} {_CHECK}" if added else told)

    def _ask_note(self, group: Group) -> Ask:
        return Ask("Which note? Type words that it deals with, or its id", partial(self._find, group))

    def _find(self, group: Group, text: str) -> Ask:
        note = self._pack.note(text) if text else None
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

    def _add(self, group: Group, note_id: str) -> Ask | None:
        note = self._pack.note(note_id)
        if note is None:
            raise UsageError(f"no note '{note_id}' in this pack")
        path = self._corpus / note.path
        self._done(group, f"examples of {note.id}", self._questions(group, path))
        return self._ask_over(group, path)

    def _ask_over(self, group: Group, path: Path) -> Ask | None:
        """Ask whether near lines that no note is to cover go to the note; None where there is none."""
        near = near_uncovered(self._corpus, [text for text, _ in group.wordings], self._pack)
        if not near:
            return None
        told = f"{UNCOVERED} says that no note covers what is near to it. Move it to {path.stem}?"
        ones = near[:_MOST_NOTES] if len(near) > 1 else []
        moves = [
            (f"Move all {len(near)} lines" if ones else f"Move: {near[0]}", near),
            *((f"Move: {x}", [x]) for x in ones),
        ]
        offers = [Offer(words, partial(self._over, path, lines)) for words, lines in moves]
        return Ask(told, None, (*offers, Offer("Leave it as it is", lambda: None)))

    def _over(self, path: Path, lines: Sequence[str]) -> None:
        taken = written(lambda: take_over(self._corpus, path, lines))
        self.said = f"{path.with_suffix('')}: {taken}, taken over from {UNCOVERED}. {_CHECK}"

    def _questions(self, group: Group, path: Path) -> str:
        taken = written(lambda: add_questions(self._corpus, path, [text for text, _ in group.wordings]))
        told = f"{path.with_suffix('')}: {taken}, of {len(group.wordings)} wordings."
        return f"{told} {_CHECK}" if any(taken) else told

    def _ask_word(self, group: Group) -> Ask:
        question = "FORM=WORD: the form that reps type, and the word of the notes"
        return Ask(question, partial(self._word, group))

    def _word(self, group: Group, text: str) -> Ask:
        form, equals, word = (part.strip() for part in text.partition("="))
        if not (form and equals and word):
            raise UsageError("a word reads FORM=WORD")
        offer = Offer(f"Write it into the vocabulary, at {_WEIGHT}", partial(self._add_word, group, form, word))
        return Ask(f"'{form}' is to stand for '{word}'?", partial(self._word, group), (offer,))

    def _add_word(self, group: Group, form: str, word: str) -> None:
        written(lambda: add_vocabulary(self._corpus, form, word, _WEIGHT))
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

    def _new_note(self, group: Group, draft: Draft) -> Ask | None:
        path = written(lambda: new_note(self._corpus, draft, self._today))
        told = self._questions(group, path)
        self._done(group, f"new note {draft.id}", f"{path}: written, to be filled in. {told}")
        return self._ask_over(group, path)

    def _done(self, group: Group, what: str, told: str) -> None:
        self.taken.setdefault(group.key, []).append(what)
        self.said = told
        self.close()
