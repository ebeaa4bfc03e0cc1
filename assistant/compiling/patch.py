"""One changed note into a compiled pack, in a fraction of a second: for an author who watches figures while writing.

What hangs on all notes together stays as it was when the pack was compiled: idf, mean lengths, the words that slips
are repaired to, the features, and the classes of all other notes. What hangs on the note alone is made anew: its
chunks, its class of the linear model and its steps.
"""

from __future__ import annotations

import json
import sqlite3
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path

import numpy as np

from assistant.analysis.tokens import spellings
from assistant.compiling.changed import ChangedRows
from assistant.compiling.classes import ClassWeights
from assistant.compiling.compiler import compile_corpus, slip_entries, step_entry, term_entries
from assistant.compiling.lexicon import GrownWords, KnownWords
from assistant.compiling.lines import TOLD
from assistant.compiling.sample import Sampling
from assistant.compiling.settings import CompileSettings
from assistant.compiling.taken import LEARNED
from assistant.compiling.vectors import Vectors
from assistant.compiling.words import ChunkWeights, chunk_terms, chunk_weights, term_masses
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.blocks import block_number, decode_block, encode_block
from assistant.pack.codec import note_to_json
from assistant.pack.format import (
    NOTES_MODEL,
    feature_table,
    pack_feature,
    pack_form,
    pack_title,
    part_key,
    unpack_directory,
    unpack_feature,
    unpack_part,
)
from assistant.progress import Progress, silent
from assistant.ranking.chunks import chunk_note
from assistant.ranking.postings import PART

__all__ = ["PatchedPack"]

_NO_CHUNKS = array("I"), array("H"), b""


class _Entries:
    """The entries of a pack that is open for writing."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self._counts = {"manifest": 1}
        self._counts |= json.loads(self.of("manifest", ["blocks"])["blocks"])

    def _block(self, table: str, number: int) -> dict[str, bytes]:
        (content,) = self._db.execute(f"SELECT content FROM {table} WHERE number = ?", (number,)).fetchone()
        return decode_block(table, number, content)

    def of(self, table: str, keys: Iterable[str]) -> dict[str, bytes]:
        """Return what the table holds under ``keys``."""
        wanted = set(keys)
        blocks = {block_number(key, self._counts[table]) for key in wanted}
        return {key: value for number in blocks for key, value in self._block(table, number).items() if key in wanted}

    def put(self, table: str, entries: Mapping[str, bytes]) -> None:
        """Write entries, in place of those that stand under the same keys."""
        changed: dict[int, dict[str, bytes]] = {}
        for key, value in entries.items():
            changed.setdefault(block_number(key, self._counts[table]), {})[key] = value
        for number, block in changed.items():
            before = self._block(table, number)
            if block.items() <= before.items():
                continue
            content = encode_block(table, number, {**before, **block})
            self._db.execute(f"UPDATE {table} SET content = ? WHERE number = ?", (content, number))


class PatchedPack:
    """A pack compiled from a corpus, into which changed notes are written one at a time.

    Parameters
    ----------
    corpus
        All notes as they are at the start.
    path
        Where the pack is written; it is not to be one that others read.
    sampling
        How many lines each class is learned against; see `learn_linear`.
    before
        A pack from which the model is taken over where it was learned from the same lines.

    Attributes
    ----------
    corpus
        The notes as they are in the pack.
    number
        The number of each note in the pack, by id.
    brought
        Word forms that changed notes have brought, which the pack did not know at the start.

    Raises
    ------
    PackError
        If the file cannot be written.
    """

    def __init__(
        self,
        corpus: Corpus,
        settings: CompileSettings,
        path: Path,
        progress: Progress = silent,
        *,
        sampling: Sampling | None = None,
        before: Path | None = None,
    ) -> None:
        self.path = path
        self.corpus = corpus
        self._settings = settings
        self._vectors: Vectors | None = None
        self._learned: dict[int, ClassWeights] = {}
        words = compile_corpus(
            corpus, settings, path, progress=progress, keep=self._keep, sampling=sampling, before=before
        )
        self._lexicon = GrownWords(words.lexicon)
        self._statistics = words.statistics
        self._masses = term_masses(words.statistics)
        self._rows = self._changed_rows(sampling)
        self.number: Mapping[str, int] = {note.id: number for number, note in enumerate(corpus.notes)}
        self._chunks: dict[str, list[int]] = {}
        for place, owner in enumerate(note.id for note in corpus.notes for _ in chunk_note(note)):
            self._chunks.setdefault(owner, []).append(place)
        self._terms: dict[str, set[str]] = {}
        self.brought: frozenset[str] = frozenset()

    def _keep(self, vectors: Vectors, learned: dict[int, ClassWeights]) -> None:
        self._vectors, self._learned = vectors, learned

    def _changed_rows(self, sampling: Sampling | None) -> ChangedRows | None:
        return ChangedRows(self.corpus, self._settings.linear, self._vectors, sampling) if self._vectors else None

    def _weights(self, note: Note, lexicon: KnownWords) -> ChunkWeights:
        read = chunk_terms(lexicon)
        terms = [read(chunk.fields) for chunk in chunk_note(note)]
        return chunk_weights(terms, self._settings, self._statistics)

    def points(self, questions: Sequence[str]) -> Callable[[str], Sequence[int]]:
        """Return a function from a note's id to the points of the linear model that each question gives it now."""
        if self._vectors is None or not questions:
            return lambda _: [0] * len(questions)
        rows = self._vectors.rows(questions)

        def of(id: str) -> Sequence[int]:
            found = self._learned[self.number[id]]
            columns, weights = np.asarray(found.columns, dtype=int), np.asarray(found.weights, dtype=int)
            points: Sequence[int] = (rows[:, columns] @ weights + found.bias).astype(int).tolist()
            return points

        return of

    def replace(self, note: Note) -> None:
        """Write a note anew that the pack holds under the same id; a pack that is open has to be opened anew.

        Raises
        ------
        PackError
            If the file cannot be written.
        """
        number = self.number[note.id]
        before = self.corpus.notes[number]
        notes = (*self.corpus.notes[:number], note, *self.corpus.notes[number + 1 :])
        corpus = self.corpus._replace(notes=notes)
        if note.id not in self._terms:
            self._terms[note.id] = set(self._weights(before, self._lexicon.base))
        forms = self._lexicon.bring(chunk_note(note))
        texts = [text for chunk in chunk_note(note) for name, text in chunk.fields.items() if name != "examples"]
        spelled = {form: word for text in texts for form, word in spellings(text, self._lexicon.language).items()}
        self.brought = frozenset(self._lexicon.forms)
        terms = self._weights(note, self._lexicon)
        learned = self._rows.learned(before, note) if self._rows else None
        try:
            with closing(sqlite3.connect(self.path)) as db:
                db.executescript("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")
                entries = _Entries(db)
                entries.put("title", {note.id: pack_title(number, note.title)})
                entries.put("note", {note.id: note_to_json(note).encode()})
                entries.put("step", dict([step_entry(note, self._lexicon, self._masses, self._settings)]))
                entries.put("form", {form: pack_form(1, spelled.get(form, "")) for form in forms})
                slips = dict(slip_entries(forms))
                old = entries.of("slip", slips)
                entries.put(
                    "slip", {key: b" ".join((old[key], new) if key in old else (new,)) for key, new in slips.items()}
                )
                self._write_terms(entries, note.id, terms)
                if learned:
                    self._write_class(entries, number, learned)
                db.commit()
        except (OSError, ValueError, sqlite3.Error) as error:
            raise PackError(f"{self.path}:1: cannot be written: {error}") from error
        self._terms[note.id] = set(terms)
        self.corpus = corpus

    def _write_class(self, entries: _Entries, number: int, learned: ClassWeights) -> None:
        names = self._vectors.names if self._vectors else []
        old = dict(zip(self._learned[number].columns, self._learned[number].weights, strict=True))
        new = dict(zip(learned.columns, learned.weights, strict=True))
        columns = {names[column]: column for column in old.keys() | new.keys() if old.get(column) != new.get(column)}
        changed = {}
        for name, blob in entries.of(feature_table(NOTES_MODEL), columns).items():
            row = unpack_feature(blob)
            weights = {other: weight for other, weight in row.pairs() if other != number}
            if columns[name] in new:
                weights[number] = new[columns[name]]
            changed[name] = pack_feature(row.idf, sorted(weights), [weights[other] for other in sorted(weights)])
        entries.put(feature_table(NOTES_MODEL), changed)
        (bias,) = entries.of("manifest", ["bias"]).values()
        if columns or learned.bias != self._learned[number].bias:
            entries.put(
                "manifest", {"bias": _with_bias(bias, number, learned.bias).encode(), LEARNED: b"{}", TOLD: b""}
            )
        self._learned[number] = learned

    def _write_terms(self, entries: _Entries, id: str, terms: ChunkWeights) -> None:
        chunks = self._chunks[id]
        touched = self._terms[id] | terms.keys()
        held = entries.of("term", touched)
        changed: ChunkWeights = {}
        for term in touched:
            before, (places, weights, fields) = _postings(entries, term, held.get(term)), terms.get(term, _NO_CHUNKS)
            start, end = bisect_left(before[0], chunks[0]), bisect_right(before[0], chunks[-1])
            changed[term] = (
                before[0][:start] + array("I", [chunks[place] for place in places]) + before[0][end:],
                before[1][:start] + weights + before[1][end:],
                before[2][:start] + fields + before[2][end:],
            )
        entries.put("term", dict(term_entries(changed)))


def _postings(entries: _Entries, term: str, blob: bytes | None) -> tuple[array[int], array[int], bytes]:
    """Return chunks, weights and fields of what a pack holds of a term; those of one note stand side by side."""
    if blob is None:
        return _NO_CHUNKS
    count, first, _, part = unpack_directory(blob)
    if part is not None:
        return part.chunks, part.weights, part.fields
    sizes = {part_key(term, number): min(PART, count - number * PART) for number in range(len(first))}
    found = entries.of("term", sizes)
    chunks, weights, fields = array("I"), array("H"), bytearray()
    for key, size in sizes.items():
        one = unpack_part(found[key], size)
        chunks.extend(one.chunks)
        weights.extend(one.weights)
        fields.extend(one.fields)
    return chunks, weights, bytes(fields)


def _with_bias(text: bytes, number: int, bias: int) -> str:
    models = json.loads(text)
    models[NOTES_MODEL] = [[other, bias if other == number else value] for other, value in models[NOTES_MODEL]]
    return json.dumps(models)
