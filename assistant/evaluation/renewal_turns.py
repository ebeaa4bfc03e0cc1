"""Turns of talks that a new note answers otherwise than their label says, and giving these labels anew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from typing import Any, NamedTuple

from assistant.analysis.tokens import json_line
from assistant.answering.assistant import Assistant
from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.judgements import Judgement
from assistant.evaluation.labels import Talk, TalkTurn, read_talks
from assistant.evaluation.outdated import day_of
from assistant.evaluation.renewal import Renewals
from assistant.notes.text import regular
from assistant.notes.writing import write_read_back

__all__ = ["OldTurn", "TurnRenewals", "answered_with", "old_turns", "turn_name"]


_KEPT = ("notes", "since")
"""Fields of a turn that a new label changes."""


class OldTurn(NamedTuple):
    """A turn to look at again, what was said before it, and the new note that answers it."""

    name: str
    turn: TalkTurn
    before: tuple[str, ...]
    note: str

    @property
    def shown(self) -> str:
        """The turn as it is asked about, with what was said before it."""
        return f"{self.turn.question} (after: {' / '.join(self.before)})" if self.before else self.turn.question


def turn_name(talk: str, number: int) -> str:
    """Return how a turn is named, its number from 1."""
    return f"{talk}/{number}"


def old_turns(assistant: Assistant, talks: Sequence[Talk], named: Mapping[str, str], new: Set[str]) -> list[OldTurn]:
    """Return the turns that are answered with a note that is new to their talk.

    Parameters
    ----------
    named, new
        As of `outdated.is_old`.
    """
    found = []
    for talk in talks:
        for number, (turn, note) in enumerate(_answered(assistant, talk), start=1):
            known = bool(named.get(note)) and day_of(turn.since or talk.since) >= named[note]
            if note in new and note not in (*turn.notes, *turn.seen) and not known:
                before = tuple(each.question for each in talk.turns[: number - 1])
                found.append(OldTurn(turn_name(talk.id, number), turn, before, note))
    return found


def answered_with(assistant: Assistant, talk: Talk, number: int) -> list[str]:
    """Return the note that a turn is answered with, its number from 1, in a list; an empty one where none is."""
    return [note for _, note in list(_answered(assistant, talk))[number - 1 : number] if note]


def _answered(assistant: Assistant, talk: Talk) -> Iterator[tuple[TalkTurn, str]]:
    conversation = None
    for turn in talk.turns:
        answer, conversation = assistant.ask(turn.question, conversation)
        yield turn, answer.note.id if answer.note else ""


class TurnRenewals(Renewals):
    """Takes judgements of turns and writes them into ``dialogues.jsonl`` at once.

    What a turn's label said before stays in its ``was``, with the new notes for whose sake it was looked at.

    Parameters
    ----------
    path
        The labelled talks.
    since
        From when the new labels hold.
    seen
        Name of a turn -> the new notes for the sake of which it is looked at.
    """

    def add(self, judgement: Judgement) -> None:
        """Write a judgement; when this returns it is on the disk. An open or an unsure one puts the label back.

        Raises
        ------
        NotesError
            If the file cannot be read or written; it stays as it was.
        UsageError
            If there is no such turn.
        """
        talk, _, number = judgement.id.rpartition("/")
        try:
            lines = regular(self.path).read_text("utf-8").split("\n")
        except (OSError, UnicodeDecodeError) as error:
            raise NotesError([Fault(str(self.path), 1, f"cannot be read: {error}")]) from error
        for place, line in enumerate(lines):
            record = json_object(line)
            if record is not None and record.get("id") == talk and 0 < int(number) <= len(record["turns"]):
                at = int(number) - 1
                record["turns"][at] = self._renewed(record["turns"][at], judgement)
                lines[place] = json_line(record)
                break
        else:
            raise UsageError(f"{self.path}: no turn '{judgement.id}'")
        write_read_back(self.path, "\n".join(lines), lambda: read_talks(self.path))

    def _renewed(self, turn: dict[str, Any], judgement: Judgement) -> dict[str, Any]:
        seen = list(self._seen.get(judgement.id, ()))
        first = _before(turn, seen)
        if judgement.is_open or judgement.mark == "unsure":
            return first
        stood = {key: first[key] for key in _KEPT if key in first}
        was = [*first.get("was", []), {**stood, "seen": seen}]
        return {**first, "notes": list(judgement.notes), "since": self._since, "was": was}


def _before(turn: Mapping[str, Any], seen: Sequence[str]) -> dict[str, Any]:
    """Return the turn as it was before it was looked at for the sake of some notes."""
    was = list(turn.get("was", []))
    if not was or was[-1]["seen"] != seen:
        return dict(turn)
    last = was.pop()
    kept = {key: value for key, value in turn.items() if key not in (*_KEPT, "was")}
    return {**kept, **{key: last[key] for key in _KEPT if key in last}, **({"was": was} if was else {})}
