"""What a rep sees otherwise in one state of the notes than in another, line by line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import NamedTuple

from assistant.checking.as_seen import seen_lines
from assistant.desk.states import notes_of
from assistant.model import Note, Trade
from assistant.notes.corpus import read_corpus
from assistant.notes.drafts import drafts, released
from assistant.pack.reader import Pack

__all__ = ["Seen", "changes_of", "differing", "seen_in"]


class Seen(NamedTuple):
    """The notes of a state by id, the trade in whose words they are shown, and the drafts, which are none of these."""

    notes: Mapping[str, Note]
    trade: Trade
    drafts: tuple[Note, ...] = ()


def seen_in(state: str, corpus: Path) -> Seen:
    """Return the notes of a state, without their drafts.

    Parameters
    ----------
    state
        Path of a pack, path of a folder of notes, or else a git revision of the repository that holds ``corpus``.

    Raises
    ------
    PackError, NotesError
        If the pack or the notes are refused.
    UsageError
        If it is none of the three.
    """
    path = Path(state)
    if path.is_file():
        with Pack(path) as pack:
            notes = {name: note for name in pack.note_ids if (note := pack.note(name)) is not None}
            return Seen(notes, pack.trade)
    with notes_of(state, corpus) as folder:
        whole = read_corpus(folder)
    read = released(whole)
    return Seen({note.id: note for note in read.notes}, read.trade, drafts(whole))


def differing(before: Seen, after: Seen, only: str = "") -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Yield (id, what became of it, lines) of each note that a rep sees otherwise, of one note where it is named.

    What became of it is ``new``, ``gone``, ``a draft now`` or ``revision 3 -> 4``; the lines begin with ``-``, ``+`` or
    a bracket.
    """
    withdrawn = {note.id for note in after.drafts}
    for name in sorted(before.notes.keys() | after.notes.keys()):
        if only and name != only:
            continue
        old, new = before.notes.get(name), after.notes.get(name)
        left = seen_lines(old, before.trade) if old else ()
        right = seen_lines(new, after.trade) if new else ()
        if left != right:
            gone = "a draft now" if name in withdrawn else "gone"
            told = f"revision {old.revision} -> {new.revision}" if old and new else "new" if new else gone
            yield name, told, tuple(changes_of(left, right))


def changes_of(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """Yield the lines that went with ``-``, those that came with ``+``, and how many between are alike."""
    for tag, i, j, k, m in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag == "equal":
            yield f"({j - i} line{'s' if j - i > 1 else ''} alike)"
        else:
            yield from (f"- {line}" for line in before[i:j])
            yield from (f"+ {line}" for line in after[k:m])
