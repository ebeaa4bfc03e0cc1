"""What was done to groups by hand: parted, joined, ignored; kept in one file, so that it can be taken back."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Literal, NamedTuple, get_args

from assistant.desk.missed import Missed
from assistant.desk.unanswered import Group, Now, group_of, in_order
from assistant.errors import Fault, NotesError, UsageError
from assistant.notes.text import read_text
from assistant.notes.writing import write_whole

__all__ = ["ByHand", "Deed", "Did", "apart", "deed_of", "picked_wordings", "sorted_by_hand", "together"]

Did = Literal["apart", "together", "ignored", "taken up"]
_FILE = "desk-groups.jsonl"
_MOST_BYTES = 8 * 2**20


class Deed(NamedTuple):
    """One thing done by hand, and the questions that it was done to."""

    did: Did
    questions: tuple[str, ...]

    def __str__(self) -> str:
        more = len(self.questions) - 1
        return f"{self.did}: {self.questions[0]}" + (f" and {more} more" if more else "")


class ByHand:
    """The file in the home folder; a line ``{"did": ..., "questions": [...]}`` a deed, the newest last.

    Parameters
    ----------
    home
        The folder; it is made where it is not there.
    """

    def __init__(self, home: Path) -> None:
        self.path = home / _FILE

    def read(self) -> list[Deed]:
        """Return all deeds, the oldest first.

        Raises
        ------
        NotesError
            If the file cannot be read or a line of it is no deed.
        """
        return [_deed(line, number, self.path) for number, line in enumerate(self._lines(), start=1)]

    def add(self, deed: Deed) -> None:
        """Add a deed.

        Raises
        ------
        NotesError, OSError
            If the file cannot be read or written.
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        line = json.dumps({"did": deed.did, "questions": list(deed.questions)}, ensure_ascii=True)
        self._write([*self._lines(), line])

    def undo(self) -> Deed:
        """Take back the newest deed.

        Raises
        ------
        UsageError
            If there is none.
        """
        deeds = self.read()
        if not deeds:
            raise UsageError("nothing was done to groups by hand")
        self._write(self._lines()[:-1])
        return deeds[-1]

    def _lines(self) -> list[str]:
        if not self.path.exists():
            return []
        return read_text(self.path, str(self.path), _MOST_BYTES).splitlines()

    def _write(self, lines: Sequence[str]) -> None:
        write_whole(self.path, "".join(f"{line}\n" for line in lines), private=True)


def _deed(line: str, number: int, path: Path) -> Deed:
    try:
        found = json.loads(line)
        did, questions = found["did"], found["questions"]
        whole = isinstance(questions, list) and questions and all(isinstance(text, str) for text in questions)
        if whole and did in get_args(Did):
            return Deed(did, tuple(questions))
    except (ValueError, KeyError, TypeError, RecursionError):
        pass
    message = f'must read {{"did": "ignored", "questions": ["..."]}}; did is one of {", ".join(get_args(Did))}'
    raise NotesError([Fault(str(path), number, message)])


def deed_of(did: Did, group: Group) -> Deed:
    """Return the deed that is done to all questions of a group."""
    return Deed(did, tuple(text for text, _ in group.wordings))


def picked_wordings(group: Group, numbers: str) -> list[str]:
    """Return the wordings of a group with these numbers, such as ``2,5``, in the order of the group.

    Raises
    ------
    UsageError
        If one of them is no number of a wording.
    """
    parts = [part.strip() for part in numbers.replace(",", " ").split()]
    count = len(group.wordings)
    if not parts or not all(part.isascii() and part.isdecimal() and 1 <= int(part[:9]) <= count for part in parts):
        raise UsageError(f"name wordings by their numbers, 1 to {count}, such as {'1,2' if count > 1 else '1'}")
    picked = {int(part) for part in parts}
    return [text for number, (text, _) in enumerate(group.wordings, start=1) if number in picked]


def apart(group: Group, numbers: str) -> Deed:
    """Return the deed that makes some wordings a group of their own; not all, and not none.

    Raises
    ------
    UsageError
        If they are not some of the wordings.
    """
    texts = picked_wordings(group, numbers)
    if len(texts) == len(group.wordings):
        raise UsageError("these are all wordings of the group; leave one in it")
    return Deed("apart", tuple(texts))


def together(group: Group, other: Group) -> Deed:
    """Return the deed that makes one group of two."""
    return Deed("together", (group.text, other.text))


def sorted_by_hand(groups: Sequence[Group], deeds: Iterable[Deed], now: Callable[[str], Now]) -> list[Group]:
    """Return the groups after what was done by hand, one deed after the other.

    Wordings that were set apart are a group wherever they stood; groups that hold questions that were joined are one. A
    group is ignored where at least half of its wordings were. ``now`` tells what a question gets now.
    """
    found = list(groups)
    ignored: set[str] = set()
    for deed in deeds:
        if deed.did == "ignored":
            ignored |= set(deed.questions)
        elif deed.did == "taken up":
            ignored -= set(deed.questions)
        elif deed.did == "apart":
            found = _parted(found, set(deed.questions), now)
        else:
            found = _joined(found, set(deed.questions), now)
    return in_order(group._replace(ignored=_is_ignored(group, ignored)) for group in found)


def _is_ignored(group: Group, ignored: set[str]) -> bool:
    return 2 * sum(text in ignored for text, _ in group.wordings) >= len(group.wordings)


def _parted(groups: Sequence[Group], texts: set[str], now: Callable[[str], Now]) -> list[Group]:
    found: list[Group] = []
    own: list[Missed] = []
    for group in groups:
        taken = [entry for entry in group.missed if entry.text in texts]
        left = [entry for entry in group.missed if entry.text not in texts]
        own += taken
        if not taken:
            found.append(group)
        elif left:
            found.append(_remade(group, left, now))
    return [*found, _made(own, now)] if own else found


def _joined(groups: Sequence[Group], texts: set[str], now: Callable[[str], Now]) -> list[Group]:
    held = [group for group in groups if any(text in texts for text, _ in group.wordings)]
    if len(held) < 2:
        return list(groups)
    first = in_order(held)[0]
    joined = group_of(first.text, (entry for group in held for entry in group.missed), first.now)
    return [*(group for group in groups if group not in held), joined]


def _remade(group: Group, left: Sequence[Missed], now: Callable[[str], Now]) -> Group:
    if any(entry.text == group.text for entry in left):
        return group_of(group.text, left, group.now)
    return _made(left, now)


def _made(missed: Sequence[Missed], now: Callable[[str], Now]) -> Group:
    """Return a group whose middle is what was asked most."""
    rough = group_of(missed[0].text, missed, Now("", "", "none"))
    middle = rough.wordings[0][0]
    return group_of(middle, missed, now(middle))
