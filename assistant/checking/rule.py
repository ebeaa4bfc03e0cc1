"""What a rule of the author's check is, and what it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Literal, NamedTuple

from assistant.errors import Fault
from assistant.model import Corpus, Note

__all__ = ["Book", "Edit", "Finding", "Place", "Rule", "Severity"]

Severity = Literal["error", "warning", "note"]
"""The levels of SARIF 2.1.0, worst first."""

Place = Literal[
    "front",
    "condition",
    "steps",
    "result",
    "fails",
    "why",
    "questions",
    "phrases",
    "plain",
    "uncovered",
    "vocabulary",
    "trade",
    "waivers",
    "hazards",
    "alarms",
    "note",
    "line",
    "start",
]
"""Where the examples of a rule stand: a part of a note, a file beside the notes, a whole note, any line, or the first.

``phrases`` is the whole file of phrases, ``plain`` one of its plain lines.
"""


class Edit(NamedTuple):
    """A safe mend: the line's text as it is and as it should be; ``after`` None takes the line out."""

    path: str
    line: int
    before: str
    after: str | None


class Finding(NamedTuple):
    """One thing found in one place; ``line`` counts from 1. The code and the severity are those of its rule.

    ``edit`` mends it, with ``more`` where it stands in several lines.
    """

    path: str
    line: int
    message: str
    edit: Edit | None = None
    more: tuple[Edit, ...] = ()


class Book(NamedTuple):
    """All that rules read: the corpus as far as it could be read, and the text of every file.

    ``texts`` maps a path below the corpus folder to its lines; a line may still end in a carriage return. ``today`` is
    the day of the check. ``faults`` are those of reading. ``first_note`` names the note that a compiled pack ranks
    first for a question, None where it ranks none; it is None itself where no pack is given. ``marked`` are the files
    that begin with a byte order mark. ``earlier`` are notes as they were before, by id; None where nobody knows.
    ``figures`` are the paths of all pictures beside the notes.
    """

    corpus: Corpus
    texts: Mapping[str, tuple[str, ...]]
    today: date
    faults: tuple[Fault, ...] = ()
    first_note: Callable[[str], str | None] | None = None
    marked: frozenset[str] = frozenset()
    earlier: Mapping[str, Note] | None = None
    figures: frozenset[str] = frozenset()

    def has_trade(self) -> bool:
        """Tell whether the trade, which has a station at least, could be read; else no name is missing from it."""
        return bool(self.corpus.trade.stations)

    def unread(self) -> set[str]:
        """Return the paths of the notes that could not be read; what these say nobody knows."""
        paths = (*self.texts, *(fault.path for fault in self.faults))
        return {path for path in paths if path.endswith(".md")} - {note.path for note in self.corpus.notes}

    def line_of(self, note: Note, words: str, *, first: int = 1) -> int:
        """Return the first line of a note's file, from ``first`` on, that holds ``words``; else ``first``."""
        lines = self.texts.get(note.path, ())
        return next((n for n, line in enumerate(lines, start=1) if n >= first and words in line), first)


class Rule(NamedTuple):
    """One rule of the check.

    ``name`` is the short name in kebab case, ``reason`` why it is kept, ``source`` the publication, "common practice"
    or the corpus's own style, ``good`` and ``bad`` an example each as it would stand in a note, at ``place``. A rule
    that ``needs_pack`` finds nothing where no compiled pack is given. One that looks ``across`` holds notes against one
    another; what any other finds in the files of a note hangs on these alone. What a rule ``needs`` are words of the
    trade, as `TradeWords.has` takes it; where there are none it rests.
    """

    code: str
    name: str
    severity: Severity
    summary: str
    reason: str
    source: str
    good: str
    bad: str
    find: Callable[[Book], Iterable[Finding]]
    place: Place = "steps"
    needs_pack: bool = False
    across: bool = False
    needs: str = ""
