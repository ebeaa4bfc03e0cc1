"""What a rep sees otherwise in one state of the notes than in another, line by line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import NamedTuple

from assistant.checking.as_seen import seen_lines
from assistant.desk.states import notes_of
from assistant.model import Note, Trade
from assistant.notes.corpus import read_released
from assistant.pack.reader import Pack

__all__ = ["Seen", "changes_of", "differing", "seen_in"]


class Seen(NamedTuple):
    """The notes of a state by id, and the trade in whose words they are shown."""

    notes: Mapping[str, Note]
    trade: Trade


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
        read = read_released(folder)
    return Seen({note.id: note for note in read.notes}, read.trade)


def differing(before: Seen, after: Seen, only: str = "") -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Yield (id, what became of it, lines) of each note that a rep sees otherwise, of one note where it is named.

    What became of it is ``new``, ``gone`` or ``revision 3 -> 4``; the lines begin with ``-``, ``+`` or a bracket.
    """
    for name in sorted(before.notes.keys() | after.notes.keys()):
        if only and name != only:
            continue
        old, new = before.notes.get(name), after.notes.get(name)
        left = seen_lines(old, before.trade) if old else ()
        right = seen_lines(new, after.trade) if new else ()
        if left != right:
            told = f"revision {old.revision} -> {new.revision}" if old and new else "new" if new else "gone"
            yield name, told, tuple(changes_of(left, right))


def changes_of(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """Yield the lines that went with ``-``, those that came with ``+``, and how many between are alike."""
    for tag, i, j, k, m in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag == "equal":
            yield f"({j - i} line{'s' if j - i > 1 else ''} alike)"
        else:
            yield from (f"- {line}" for line in before[i:j])
            yield from (f"+ {line}" for line in after[k:m])
