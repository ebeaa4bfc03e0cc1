"""The notes while an author writes: what the last save did to the rules and to the figures, within a second.

The notes are compiled once. A changed note is then written into that pack, and those labelled questions are asked anew
which it comes near, before or after. What hangs on all notes together (see `assistant.compiling.patch`) stays as it
was at the start: what is shown is near, and ``assistant corpus compile`` with ``assistant score run`` is exact.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import NamedTuple

from assistant.answering.retrieve import Retrieval, Retriever
from assistant.answering.spread import ask_all
from assistant.checking.book import read_again, read_book
from assistant.checking.check import Found, check, narrowed
from assistant.checking.rule import Book, Rule
from assistant.checking.switched import kept_rules
from assistant.compiling.patch import PatchedPack
from assistant.compiling.settings import CompileSettings
from assistant.desk.impact import Change, change_of, worst_first
from assistant.errors import NotesError
from assistant.evaluation.labels import LabelledQuestion
from assistant.evaluation.run import Outcome, came_right, outcome_of, share_of, tallies
from assistant.evaluation.statistics import Share
from assistant.model import Corpus, Note, Trade
from assistant.notes.stamp import changed_notes, corpus_stamp
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["Look", "Watch"]

_NEAR = 4
"""A note among the first so many, which are those that a rep may be offered, has a part in what is decided. One further
down comes there only if the model gives it what the last of these has, less the most that BM25F adds."""
_ANY = 10**9


_BETWEEN = 1.0
"""Seconds between two looks at whether something was saved, while rules are kept."""


class _SavedError(Exception):
    """Something was saved while rules were kept."""


class Look(NamedTuple):
    """What a save did.

    ``notes`` are the ids of those that were saved, none where all was compiled anew or another file was saved.
    ``found`` are the findings in the files of these notes, of all where there are none. ``own`` counts the labelled
    questions of these notes that come right, ``shares`` all of them; each is given as it was at the start and as it is
    now. ``changes`` are the questions that fare otherwise than at the start, ``asked`` how many were asked anew.
    ``refused`` says why the notes cannot be read; nothing is scored then. ``anew`` tells that all was compiled anew.
    """

    notes: tuple[str, ...]
    found: tuple[Found, ...] = ()
    own: tuple[Share, Share] = (Share(0, 0), Share(0, 0))
    shares: Mapping[str, tuple[Share, Share]] = {}
    changes: tuple[Change, ...] = ()
    asked: int = 0
    seconds: float = 0.0
    refused: str = ""
    anew: bool = False


class _Known(NamedTuple):
    """What is kept of a question: the note numbers that matter to it, the points of the model from which another note
    could come among them, and its words that were repaired.
    """

    near: frozenset[int]
    bar: int
    strange: frozenset[str]


class Watch:
    """Notes under watch; close it to drop the pack.

    Parameters
    ----------
    root
        The folder of notes.
    questions
        The labelled questions that are scored.
    rules
        The rules to keep, but for those that the notes do without.
    pack
        A pack from which is taken over what was learned, where it was learned from the same lines.

    Attributes
    ----------
    outcomes
        What the assistant does with each question, as the notes are now.

    Raises
    ------
    NotesError, PackError
        If the notes cannot be read at the start, or the pack not be written.
    """

    def __init__(
        self,
        root: Path,
        questions: Sequence[LabelledQuestion],
        settings: CompileSettings,
        rules: Sequence[Rule],
        today: date,
        progress: Progress = silent,
        pack: Path | None = None,
    ) -> None:
        self._root = root
        self._questions = questions
        self._settings = settings
        self._local = [rule for rule in rules if not rule.across]
        self._across = [rule for rule in rules if rule.across]
        self._today = today
        self._progress = progress
        self._pack = pack
        self._owed: tuple[frozenset[str], ...] = ()
        self._folder = tempfile.TemporaryDirectory()
        self._read_at = self._stamp = corpus_stamp(root) if root.is_dir() else ""
        try:
            self._book = _whole(read_book(root, today))
            self._begin(self._book.corpus)
        except BaseException:
            self.close()
            raise
        self._start = list(self.outcomes)

    def close(self) -> None:
        """Drop the pack."""
        self._folder.cleanup()

    @property
    def trade(self) -> Trade:
        """The trade, as the notes are now."""
        return self._book.corpus.trade

    def note(self, id: str) -> Note | None:
        """Return a note as it is now."""
        return next((note for note in self._book.corpus.notes if note.id == id), None)

    def changed(self) -> bool:
        """Tell whether anything was saved since the last look."""
        with suppress(OSError):
            return corpus_stamp(self._root) != self._stamp
        return False

    def look(self) -> Look:
        """Read what was saved, check and score it."""
        began = time.monotonic()
        try:
            self._stamp = corpus_stamp(self._root)
        except OSError as error:
            why = f"{self._root}: cannot be read: {error.strerror}"
            return Look((), refused=why, seconds=time.monotonic() - began)
        changed = changed_notes(self._read_at, self._stamp)
        try:
            book = _whole(
                read_book(self._root, self._today) if changed is None else read_again(self._root, self._book, changed)
            )
        except NotesError as error:
            return Look((), refused=str(error), seconds=time.monotonic() - began)
        self._book, self._read_at = book, self._stamp
        rules = kept_rules(book, self._local)
        others = _changed(self._patched.corpus, book.corpus)
        if others is None:
            self._begin(book.corpus)
            return self._seen((), check(book, rules), len(self._questions), began)._replace(anew=True)
        asked = sum(self._replace(note) for note in others)
        saved = {note.path for note in others} | (changed or frozenset())
        notes = tuple(note for note in book.corpus.notes if note.path in saved)
        books = [narrowed(book, note) for note in notes] or [book]
        return self._seen(notes, [one for part in books for one in check(part, rules)], asked, began)

    def across(self, notes: Collection[str]) -> tuple[Found, ...] | None:
        """Return what the rules that look across notes find in the files of ``notes``, of all where none is named.

        None where something was saved before all of them were kept: the next call tells of these notes, too.
        """
        self._owed = (*self._owed, frozenset(notes))
        try:
            found = check(self._book, kept_rules(self._book, self._across), self._until_saved())
        except _SavedError:
            return None
        owed, self._owed = self._owed, ()
        return tuple(
            one for one in found if any(not ids or Path(one.finding.path).name.partition(".")[0] in ids for ids in owed)
        )

    def _until_saved(self) -> Progress:
        """Return what is told before each rule, and ends it all where something was saved; it looks now and then."""
        looked = time.monotonic()

        def tell(_message: str, done: int = 0, total: int = 0, /) -> None:
            nonlocal looked
            if done < total and time.monotonic() - looked >= _BETWEEN:
                if self.changed():
                    raise _SavedError
                looked = time.monotonic()

        return tell

    def _begin(self, corpus: Corpus) -> None:
        path = Path(self._folder.name, "watched.pack")
        self._patched = PatchedPack(corpus, self._settings, path, self._progress, before=self._pack)
        self._points = self._patched.points([question.question for question in self._questions])
        self._known: list[_Known] = []
        self.outcomes: list[Outcome] = []
        message = f"asking {len(self._questions)} questions"
        with Pack(self._patched.path) as pack:
            for known, outcome in ask_all(pack, _begin_asking, self._questions, self._progress, message):
                self._known.append(known)
                self.outcomes.append(outcome)

    def _replace(self, note: Note) -> int:
        """Write one note into the pack, ask those questions anew that it comes near, and return how many they are."""
        self._patched.replace(note)
        points, number = self._points(note.id), self._patched.number[note.id]
        places = [
            place
            for place, (known, question) in enumerate(zip(self._known, self._questions, strict=True))
            if note.id in question.relevant
            or number in known.near
            or known.strange & self._patched.brought
            or points[place] >= known.bar
        ]
        if places:
            with Pack(self._patched.path) as pack:
                ask = _begin_asking(pack)
                for place in places:
                    self._known[place], self.outcomes[place] = ask(self._questions[place])
        return len(places)

    def _seen(self, notes: Sequence[Note], found: Sequence[Found], asked: int, began: float) -> Look:
        ids = {note.id for note in notes}
        pairs = list(zip(self._start, self.outcomes, strict=True))
        own = [pair for pair in pairs if ids & set(pair[0].question.relevant)]
        before, now = _shares(self._start), _shares(self.outcomes)
        return Look(
            tuple(note.id for note in notes),
            tuple(found),
            (_right(one for one, _ in own), _right(other for _, other in own)),
            {name: (before[name], now[name]) for name in now if now[name].n},
            worst_first(change for pair in pairs if (change := change_of(*pair))),
            asked,
            time.monotonic() - began,
        )


def _whole(book: Book) -> Book:
    """Return the book of a folder that could be read; `NotesError` otherwise."""
    if book.faults:
        raise NotesError(list(book.faults))
    return book


def _shares(outcomes: Sequence[Outcome]) -> dict[str, Share]:
    return {name: share_of(tally) for name, tally in tallies(outcomes).items()}


def _right(outcomes: Iterable[Outcome]) -> Share:
    judged = [came_right(outcome) for outcome in outcomes]
    return Share(sum(judged), len(judged))


def _changed(before: Corpus, after: Corpus) -> tuple[Note, ...] | None:
    """Return the notes that differ; None where more differs than notes."""
    if [note.id for note in before.notes] != [note.id for note in after.notes]:
        return None
    if before._replace(notes=(), digest="") != after._replace(notes=(), digest=""):
        return None
    pairs = zip(before.notes, after.notes, strict=True)
    return tuple(new for old, new in pairs if old != new)


def _begin_asking(pack: Pack) -> Callable[[LabelledQuestion], tuple[_Known, Outcome]]:
    retrieve = Retriever(pack)

    def ask(labelled: LabelledQuestion) -> tuple[_Known, Outcome]:
        retrieval = retrieve(labelled.question)
        return _known(retrieval, pack.decision["bm25f_share"]), outcome_of(pack, labelled, retrieval)

    return ask


def _known(retrieval: Retrieval, share: int) -> _Known:
    total, near = retrieval.scores.total, retrieval.scores.order[:_NEAR]
    return _Known(
        frozenset((*near, *(note for note in (retrieval.harm.note, retrieval.harm.alarm) if note is not None))),
        total[near[-1]] - share if len(near) == _NEAR else -_ANY,
        frozenset(word for word, _ in retrieval.query.repaired),
    )
