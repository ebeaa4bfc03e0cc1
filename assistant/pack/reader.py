"""Look things up in a pack; the standard library alone."""

from __future__ import annotations

from array import array
from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from operator import gt, sub

from assistant.model import Figure, Note, Trade
from assistant.pack.checked import json_of, object_of, pairs_of, rows_of, text_of, texts_of, whole_of
from assistant.pack.codec import decision_from_json, note_from_json, trade_from_json
from assistant.pack.features import Features
from assistant.pack.file import PackFile, Reading
from assistant.pack.format import (
    FIELDS,
    FIRST_AT_ONCE,
    IDS_AT_ONCE,
    NOTES_MODEL,
    TURN_CLASSES,
    part_key,
    unpack_directory,
    unpack_numbers,
    unpack_part,
    unpack_title,
)
from assistant.pack.listed import Ids, Titles
from assistant.pack.recent import NOTHING, Recent
from assistant.pack.words import Worded, Words
from assistant.ranking.linear import FeatureRow, WordRow
from assistant.ranking.postings import PART, Part, TermRow
from assistant.ranking.score import FULL, NONE

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from types import TracebackType
    from typing import Any, Self

__all__ = ["Pack"]

_NEEDED = (
    "corpus",
    "compiled_by",
    "notes",
    "fields",
    "analysis",
    "decision",
    "harm",
    "emergency",
    "trade",
    "sizes",
    "bias",
)


_OF_NOTHING = "a weight belongs to nothing in this pack"
_TERM_ROOM, _NOTE_ROOM, _ROOM = 64 * 2**20, 8 * 2**20, 2 * 2**20
"""Bytes of what is kept in memory once read: postings, notes, and of everything else each."""
_TEXT = 5
"""Bytes of memory that a byte of a note takes."""


class Pack(Worded):
    """One open pack; also the `Lexicon` that reading a question asks.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    PackError
        If the file is missing, damaged, of another kind or of another format.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = path
        self._models: dict[str, Features] = {}
        self._terms: Recent[TermRow | None] = Recent(
            _TERM_ROOM // 4, lambda row: NOTHING if row is None else row.room(self.sizes[1])
        )
        self._parts: Recent[Part] = Recent(_TERM_ROOM, lambda part: part.room)
        self._notes: Recent[tuple[Note, int]] = Recent(_NOTE_ROOM, lambda held: held[1] * _TEXT)
        self._steps: Recent[tuple[dict[str, Any], int]] = Recent(_NOTE_ROOM, lambda held: held[1] * _TEXT)
        self._alarms: Recent[tuple[tuple[int, str, int, int], ...]] = Recent(
            _ROOM, lambda rows: NOTHING * (1 + len(rows))
        )
        self._some_ids: Recent[list[str]] = Recent(_ROOM, lambda ids: NOTHING * len(ids))
        self._numbered: Recent[tuple[int, str] | None] = Recent(_ROOM, lambda _: 2 * NOTHING)
        self._biases: dict[str, dict[int, int]] = {}
        self._file = PackFile(path)
        self._words = Words(self._file, self._reading)
        self.manifest = self._file.manifest
        missing = [key for key in _NEEDED if key not in self.manifest]
        if missing:
            self.close()
            raise self._file.damaged(ValueError(f"the manifest lacks {', '.join(missing)}"))

    def _reading(self, what: str) -> Reading:
        """Return what turns an error with a value inside of it into the one that says so."""
        return Reading(self._file, what)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    @property
    def digest(self) -> str:
        """Digest of the notes that this pack was compiled from, shortened for people."""
        return self.manifest["corpus"][:12]

    @cached_property
    def decision(self) -> dict[str, Any]:
        """Weights and thresholds of the decision, frozen when compiled."""
        with self._reading("decision"):
            return decision_from_json(self.manifest["decision"])

    @cached_property
    def analysis(self) -> dict[str, Any]:
        """Settings with which questions are read: switches, and weights in percent."""
        with self._reading("analysis"):
            settings = object_of(json_of(self.manifest["analysis"]))
            for value in settings.values():
                if type(value) is not bool:
                    whole_of(value, 0, FULL)
            return settings

    def _numbers(self, key: str) -> list[int]:
        """Return the note numbers that stand under ``key`` of the manifest."""
        with self._reading(key):
            numbers = json_of(self.manifest[key])
            if not isinstance(numbers, list) or any(type(number) is not int for number in numbers):
                raise ValueError("holds no numbers of notes")
            _check_range(numbers, 0, len(self.note_ids))
            return list(numbers)

    @cached_property
    def harm(self) -> list[int]:
        """Numbers of the notes that deal with harm to somebody."""
        return self._numbers("harm")

    @cached_property
    def sizes(self) -> tuple[int, int]:
        """How many notes and how many chunks there are."""
        with self._reading("sizes"):
            sizes = object_of(json_of(self.manifest["sizes"]), ("notes", "chunks"))
            return whole_of(sizes["notes"], 0), whole_of(sizes["chunks"], 0)

    @cached_property
    def first_chunk(self) -> Sequence[int]:
        """The first chunk of each note by number, and at the end how many chunks there are."""
        notes, chunks = self.sizes
        first: array[int] = array("I")
        with self._reading("first"):
            for entry in range(-(-notes // FIRST_AT_ONCE)):
                key = str(entry)
                first.extend(unpack_numbers(self._file.entries("first", (key,)).get(key, b"")))
            first.append(chunks)
            if len(first) != notes + 1 or first[0] or any(map(gt, first, first[1:])):
                raise ValueError("the chunks of the notes are not in order")
        return first

    @cached_property
    def longest(self) -> int:
        """How many chunks a note has at most."""
        first = self.first_chunk
        return max(map(sub, first[1:], first), default=0)

    @cached_property
    def chunk_note(self) -> Sequence[int]:
        """Note number of each chunk."""
        first = self.first_chunk
        return array("I", [note for note in range(len(first) - 1) for _ in range(first[note + 1] - first[note])])

    @property
    def emergency(self) -> str:
        """The line on whom to call where harm comes near."""
        return self.manifest["emergency"]

    @cached_property
    def trade(self) -> Trade:
        """What there is in the trade, without what the check of the notes alone reads."""
        with self._reading("trade"):
            return trade_from_json(self.manifest["trade"])._replace(language=self.language.code)

    @cached_property
    def named(self) -> Trade:
        """The names of the trade and its contacts, which is what answering asks for: without tools and parts."""
        with self._reading("trade"):
            return trade_from_json(self.manifest["trade"], listed=False)._replace(language=self.language.code)

    def bias(self, model: str) -> dict[int, int]:
        """Return the bias of every class of a linear model, in thousandths."""
        if model not in self._biases:
            with self._reading("bias"):
                pairs = pairs_of(object_of(json_of(self.manifest["bias"]), (model,))[model])
                least, end = (NONE, len(self.note_ids)) if model == NOTES_MODEL else (0, len(TURN_CLASSES))
                _check_range([number for number, _ in pairs], least, end)
            self._biases[model] = {pair[0]: pair[1] for pair in pairs}
        return self._biases[model]

    @cached_property
    def fields(self) -> tuple[str, ...]:
        """Names of the field numbers of the weights."""
        with self._reading("fields"):
            if self.manifest["fields"] != " ".join(FIELDS):
                raise ValueError("they are not those of this program")
        return FIELDS

    @cached_property
    def note_ids(self) -> Ids:
        """Ids by note number, sorted."""
        return Ids(self.sizes[0], self._ids_of, IDS_AT_ONCE, lambda note: (self._numbered_title(note) or (None,))[0])

    def _ids_of(self, entry: int) -> list[str]:
        key = str(entry)
        held, missing = self._some_ids.held((key,))
        if missing:
            with self._reading("ids"):
                ids = list(texts_of(json_of(self._file.entries("id", (key,)).get(key, b""))))
                if len(ids) != min(IDS_AT_ONCE, self.sizes[0] - entry * IDS_AT_ONCE) or ids != sorted(set(ids)):
                    raise ValueError("the notes are not in order")
            held[key] = ids
            self._some_ids.keep(held)
        return held[key]

    def _numbered_title(self, id: str) -> tuple[int, str] | None:
        held, missing = self._numbered.held((id,))
        if missing:
            raw = self._file.entries("title", (id,)).get(id)
            held[id] = None
            if raw is not None:
                with self._reading("titles"):
                    number, _ = held[id] = unpack_title(raw)
                    if not 0 <= number < self.sizes[0] or self.note_ids[number] != id:
                        raise ValueError(f"{id} is not at its place")
            self._numbered.keep(held)
        return held[id]

    @property
    def harm_ids(self) -> frozenset[str]:
        """Ids of the notes that deal with harm to somebody."""
        return frozenset(self.note_ids[number] for number in self.harm)

    @cached_property
    def titles(self) -> Titles:
        """Title by id, in the order of the note numbers."""
        return Titles(self.note_ids, self._title)

    def _title(self, note_id: str) -> str:
        found = self._numbered_title(note_id)
        if found is None:
            raise self._file.damaged(ValueError(f"titles: there is none of {note_id}"))
        return found[1]

    def note(self, note_id: str) -> Note | None:
        """Return the note of that id, or None."""
        held, missing = self._notes.held((note_id,))
        if missing:
            raw = self._file.entries("note", (note_id,)).get(note_id)
            listed = note_id in self.note_ids
            if not listed and raw is None:
                return None
            if not listed:
                self._title(note_id)
            if raw is None:
                raise self._file.damaged(ValueError(f"there is no note {note_id}"))
            with self._reading(f"note {note_id}"):
                note = note_from_json(raw, self.language.signals)
                if note.id != note_id or note.action not in self.named.actions:
                    raise ValueError("its id or its action is not of this pack")
            held[note_id] = note, len(raw)
            self._notes.keep(held)
        return held[note_id][0]

    def figure(self, figure: Figure) -> bytes:
        """Return a picture of a note of this pack as it is shown.

        Raises
        ------
        PackError
            If the pack lacks it, or it is not what was written.
        """
        found = self._file.figure(figure.digest)
        if found is None:
            raise self._file.damaged(ValueError(f"there is no picture {figure.name}"))
        return found

    def step_weights(self, note_id: str, terms: Iterable[str] | None = None) -> dict[str, list[list[int]]]:
        """Return term -> [step, weight] pairs of a note's steps: those of ``terms`` alone, all where it is left out."""
        held, missing = self._steps.held((note_id,))
        if missing:
            raw = self._file.entries("step", (note_id,)).get(note_id, b"{}")
            with self._reading(f"steps of {note_id}"):
                held[note_id] = object_of(json_of(raw)), len(raw)
            self._steps.keep(held)
        weights = held[note_id][0]
        with self._reading(f"steps of {note_id}"):
            return {term: pairs_of(weights[term]) for term in (weights if terms is None else terms) if term in weights}

    def term_rows(self, terms: Iterable[str]) -> dict[str, TermRow]:
        """Return the stored weights of the terms that the pack knows."""
        wanted = tuple(terms)
        rows, missing = self._terms.held(wanted)
        if missing:
            with self._reading("term"):
                found = self._file.entries("term", missing)
                read = {term: self._row(term, found[term]) if term in found else None for term in missing}
            self._terms.keep(read)
            rows |= read
        return {term: row for term in wanted if (row := rows[term]) is not None}

    def _row(self, term: str, raw: bytes) -> TermRow:
        count, first, tops, part = unpack_directory(raw)
        if part:
            self._check_part(part)
            return TermRow(count, first, tops, lambda numbers: [part] * len(numbers))

        def read(numbers: Sequence[int]) -> list[Part]:
            keys = {part_key(term, number): min(PART, count - number * PART) for number in numbers}
            held, missing = self._parts.held(keys)
            if missing:
                with self._reading("term"):
                    found = self._file.entries("term", missing)
                    new = {key: unpack_part(found.get(key, b""), keys[key]) for key in missing}
                    for each in new.values():
                        self._check_part(each)
                self._parts.keep(new)
                held |= new
            return [held[key] for key in keys]

        return TermRow(count, first, tops, read)

    def _check_part(self, part: Part) -> None:
        if not part.below(self.sizes[1]):
            raise ValueError(_OF_NOTHING)

    def _model(self, model: str) -> Features:
        if model not in self._models:
            self._models[model] = Features(self._file, model, self.bias(model), self._reading)
        return self._models[model]

    def feature_rows(self, model: str, features: Iterable[str]) -> dict[str, FeatureRow]:
        """Return idf and weights of the features that a linear model knows."""
        return self._model(model).rows(features)

    def word_rows(self, model: str, words: Iterable[str]) -> dict[str, WordRow] | None:
        """Return the row of each word with its runs of letters; None where a model has too many classes for that."""
        return self._model(model).words(words)

    def alarms(self, words: Iterable[str]) -> list[tuple[str, int, int]]:
        """Return (phrase, note number, 1 where it lifts) of the alarm phrases that begin with one of ``words``.

        Phrases of notes that go first come first.
        """
        wanted = dict.fromkeys(words)
        held, missing = self._alarms.held(wanted)
        if missing:
            with self._reading("alarm"):
                found = self._file.entries("alarm", missing)
                read = {word: self._alarms_of(found[word]) if word in found else () for word in missing}
            self._alarms.keep(read)
            held |= read
        rows = sorted(row for word in wanted for row in held[word])
        return [(phrase, note, lifts) for _, phrase, note, lifts in rows]

    def _alarms_of(self, raw: bytes) -> tuple[tuple[int, str, int, int], ...]:
        last = len(self.note_ids) - 1
        return tuple(
            (whole_of(rank, 0), text_of(phrase), whole_of(note, 0, last), whole_of(lifts, 0, 1))
            for rank, phrase, note, lifts in rows_of(json_of(raw), 4)
        )


def _check_range(numbers: Collection[int], least: int, end: int) -> None:
    if numbers and not (least <= min(numbers) and max(numbers) < end):
        raise ValueError(_OF_NOTHING)
