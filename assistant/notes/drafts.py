"""Drafts: notes that are still written, and in no pack for reps."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Literal

from assistant.errors import Fault, NotesError, UsageError
from assistant.model import Corpus, Note, Phrases

__all__ = ["DRAFT", "STATES", "TO_WRITE", "drafts", "refuse_drafts", "released", "silenced", "why_draft"]

TO_WRITE = "(to write)"
"""Marks what an author still has to write; the check finds it."""
DRAFT = "draft"
STATES = (DRAFT, "ready")
"""What ``status`` in the front matter of a note may say; a note without it is ready."""
Reason = Literal["", "its status says so", "lines of it are still to be written"]
_LEAST_FITTING = 2


def why_draft(status: str, text: str) -> Reason:
    """Return why a note is a draft, whose file has this ``text``; empty where it is none."""
    if status == DRAFT:
        return "its status says so"
    return "lines of it are still to be written" if TO_WRITE in text else ""


def drafts(corpus: Corpus) -> tuple[Note, ...]:
    """Return the drafts among the notes."""
    return tuple(note for note in corpus.notes if note.draft)


def refuse_drafts(notes: Iterable[Note], ids: Collection[str]) -> None:
    """Raise where one of the ids that somebody named is that of a draft.

    Raises
    ------
    UsageError
        Which says why it is a draft.
    """
    named = [f"{note.id} is a draft: {note.draft}" for note in notes if note.draft and note.id in ids]
    if named:
        raise UsageError("; ".join(named))


def silenced(corpus: Corpus) -> tuple[str, ...]:
    """Return the ids of the drafts to which alarms or sentences of harm lead; without them none of those is heard."""
    told = {alarm.note for alarm in corpus.alarms}.union(note for note, _ in corpus.dangers)
    return tuple(note.id for note in drafts(corpus) if note.id in told)


def released(corpus: Corpus) -> Corpus:
    """Return the corpus without its drafts: no line, list or link leads to one, but for the text of a choice.

    Raises
    ------
    NotesError
        If every note is a draft.
    """
    left_out = frozenset(note.id for note in drafts(corpus))
    if not left_out:
        return corpus
    notes = tuple(_without(note, left_out) for note in corpus.notes if not note.draft)
    if not notes:
        first = corpus.notes[0]
        raise NotesError([Fault(first.path, 1, f"is a draft, as every note is: {first.draft}; finish one first")])
    fitting = [(_kept(ids, left_out), question) for ids, question in corpus.ambiguous]
    return corpus._replace(
        notes=notes,
        dangers=tuple(pair for pair in corpus.dangers if pair[0] not in left_out),
        ambiguous=tuple(pair for pair in fitting if len(pair[0]) >= _LEAST_FITTING),
        alarms=tuple(alarm for alarm in corpus.alarms if alarm.note not in left_out),
    )


def _without(note: Note, left_out: frozenset[str]) -> Note:
    return note._replace(
        see_also=_kept(note.see_also, left_out),
        links=_kept(note.links, left_out),
        on_failure=_kept(note.on_failure, left_out),
        phrases=_phrases(note.phrases, left_out),
    )


def _kept(ids: tuple[str, ...], left_out: frozenset[str]) -> tuple[str, ...]:
    return tuple(one for one in ids if one not in left_out)


def _phrases(phrases: Phrases, left_out: frozenset[str]) -> Phrases:
    """Return phrases in which what would be the line of a draft is that of no note."""
    led = tuple((line, "" if other in left_out else other) for line, other in phrases.not_this)
    return phrases._replace(not_this=led)
