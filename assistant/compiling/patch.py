"""One changed note into a compiled pack, in a fraction of a second: for an author who watches figures while writing.

What hangs on all notes together stays as it was when the pack was compiled: idf, mean lengths, the words that slips
are repaired to, the features, and the classes of all other notes. What hangs on the note alone is made anew: its
chunks, its class of the linear model and its steps.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path

from scipy.sparse import vstack

from assistant.analysis.tokens import tokenize
from assistant.compiling.compiler import (
    chunk_terms,
    chunk_weights,
    compile_corpus,
    slip_entries,
    step_entry,
    term_masses,
)
from assistant.compiling.lexicon import CompileLexicon
from assistant.compiling.linear import ClassWeights, Vectors, learn_class
from assistant.compiling.lines import lines_of
from assistant.compiling.settings import CompileSettings
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.blocks import block_number, decode_block, encode_block
from assistant.pack.codec import note_to_json
from assistant.pack.format import (
    NOTES_MODEL,
    feature_table,
    pack_count,
    pack_feature,
    pack_postings,
    unpack_feature,
    unpack_postings,
)
from assistant.progress import Progress, silent
from assistant.ranking.chunks import chunk_note

__all__ = ["PatchedPack"]


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
        count = self._counts[table]
        blocks = ((key, self._block(table, block_number(key, count))) for key in keys)
        return {key: block[key] for key, block in blocks if key in block}

    def put(self, table: str, entries: Mapping[str, bytes]) -> None:
        """Write entries, in place of those that stand under the same keys."""
        changed: dict[int, dict[str, bytes]] = {}
        for key, value in entries.items():
            changed.setdefault(block_number(key, self._counts[table]), {})[key] = value
        for number, block in changed.items():
            content = encode_block(table, number, {**self._block(table, number), **block})
            self._db.execute(f"UPDATE {table} SET content = ? WHERE number = ?", (content, number))


class _Grown:
    """The lexicon of the whole, with the forms that changed notes have brought."""

    def __init__(self, base: CompileLexicon) -> None:
        self.base = base
        self.forms: set[str] = set()

    def known(self, form: str) -> bool:
        return form in self.forms or self.base.known(form)

    def near(self, form: str) -> list[str]:
        return self.base.near(form)


class PatchedPack:
    """A pack compiled from a corpus, into which changed notes are written one at a time.

    Parameters
    ----------
    corpus
        All notes as they are at the start.
    path
        Where the pack is written; it is not to be one that others read.

    Attributes
    ----------
    corpus
        The notes as they are in the pack.
    brought
        Word forms that changed notes have brought, which the pack did not know at the start.

    Raises
    ------
    PackError
        If the file cannot be written.
    """

    def __init__(self, corpus: Corpus, settings: CompileSettings, path: Path, progress: Progress = silent) -> None:
        self.path = path
        self.corpus = corpus
        self._settings = settings
        self._vectors: Vectors | None = None
        self._learned: dict[int, ClassWeights] = {}
        words = compile_corpus(corpus, settings, path, progress=progress, keep=self._keep)
        self._lexicon = _Grown(words.lexicon)
        self._statistics = words.statistics
        self._masses = term_masses(words.statistics)
        self._lines = lines_of(corpus, settings.linear.pairs)
        self._number = {note.id: number for number, note in enumerate(corpus.notes)}
        owners = [note.id for note in corpus.notes for _ in chunk_note(note)]
        self._chunks = {
            note.id: [place for place, owner in enumerate(owners) if owner == note.id] for note in corpus.notes
        }
        self._terms = {
            note.id: set(chunk_weights(self._note_terms(note), settings, self._statistics)) for note in corpus.notes
        }
        self.brought: frozenset[str] = frozenset()

    def _keep(self, vectors: Vectors, learned: dict[int, ClassWeights]) -> None:
        self._vectors, self._learned = vectors, learned

    def _note_terms(self, note: Note) -> list[dict[str, list[str]]]:
        return [chunk_terms(chunk.fields, self._lexicon) for chunk in chunk_note(note)]

    def points(self, questions: Sequence[str]) -> Callable[[str], Sequence[int]]:
        """Return a function from a note's id to the points of the linear model that each question gives it now."""
        if self._vectors is None or not questions:
            return lambda _: [0] * len(questions)
        rows = self._vectors.rows(questions)

        def of(id: str) -> Sequence[int]:
            found = self._learned[self._number[id]]
            points: Sequence[int] = (rows[:, found.columns] @ found.weights + found.bias).astype(int).tolist()
            return points

        return of

    def replace(self, note: Note) -> None:
        """Write a note anew that the pack holds under the same id; a pack that is open has to be opened anew.

        Raises
        ------
        PackError
            If the file cannot be written.
        """
        notes = tuple(note if other.id == note.id else other for other in self.corpus.notes)
        corpus = self.corpus._replace(notes=notes)
        number = self._number[note.id]
        texts = [text for chunk in chunk_note(note) for name, text in chunk.fields.items() if name != "examples"]
        forms = {form for text in texts for form in tokenize(text) if not self._lexicon.known(form)}
        self._lexicon.forms |= forms
        self.brought = frozenset(self._lexicon.forms)
        terms = chunk_weights(self._note_terms(note), self._settings, self._statistics)
        learned = self._learn(corpus, number)
        try:
            with closing(sqlite3.connect(self.path)) as db:
                db.executescript("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")
                entries = _Entries(db)
                (titles,) = entries.of("manifest", ["titles"]).values()
                told = json.dumps({**json.loads(titles), note.id: note.title}, ensure_ascii=False)
                entries.put("manifest", {"titles": told.encode()})
                entries.put("note", {note.id: note_to_json(note).encode()})
                entries.put("step", dict([step_entry(note, self._lexicon, self._masses, self._settings)]))
                entries.put("form", dict.fromkeys(forms, pack_count(1)))
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

    def _learn(self, corpus: Corpus, number: int) -> ClassWeights | None:
        """Learn one class anew, from its lines as they are now and the lines of others as they were."""
        if self._vectors is None:
            return None
        lines = lines_of(corpus, self._settings.linear.pairs)
        gone = {line for line, classes in self._lines.items() if line not in lines and classes == {number}}
        kept = [place for place, line in enumerate(self._lines) if line not in gone]
        own = [number in lines.get(line, ()) for line in self._lines if line not in gone]
        new = [line for line, classes in lines.items() if number in classes and line not in self._lines]
        matrix = vstack([self._vectors.matrix[kept], *([self._vectors.rows(new)] if new else [])], format="csr")
        return learn_class(matrix, [*own, *(True for _ in new)], self._settings.linear)

    def _write_class(self, entries: _Entries, number: int, learned: ClassWeights) -> None:
        names = self._vectors.names if self._vectors else []
        old = dict(zip(self._learned[number].columns, self._learned[number].weights, strict=True))
        new = dict(zip(learned.columns, learned.weights, strict=True))
        columns = {names[column]: column for column in old.keys() | new.keys() if old.get(column) != new.get(column)}
        changed = {}
        for name, blob in entries.of(feature_table(NOTES_MODEL), columns).items():
            idf, weights = unpack_feature(blob)
            rows = [row for row in weights if row[0] != number]
            rows += [(number, new[columns[name]])] if columns[name] in new else []
            changed[name] = pack_feature(idf, sorted(rows))
        entries.put(feature_table(NOTES_MODEL), changed)
        (bias,) = entries.of("manifest", ["bias"]).values()
        entries.put("manifest", {"bias": _with_bias(bias, number, learned.bias).encode()})
        self._learned[number] = learned

    def _write_terms(self, entries: _Entries, id: str, terms: Mapping[str, Sequence[tuple[int, int, int]]]) -> None:
        chunks = self._chunks[id]
        touched = self._terms[id] | terms.keys()
        held = entries.of("term", touched)
        changed = {}
        for term in touched:
            rows = [
                *_others(held.get(term, b""), chunks),
                *((chunks[chunk], weight, field) for chunk, weight, field in terms.get(term, ())),
            ]
            changed[term] = pack_postings(sorted(rows))
        entries.put("term", changed)


def _with_bias(text: bytes, number: int, bias: int) -> str:
    models = json.loads(text)
    models[NOTES_MODEL] = [[other, bias if other == number else value] for other, value in models[NOTES_MODEL]]
    return json.dumps(models)


def _others(blob: bytes, chunks: Collection[int]) -> list[tuple[int, int, int]]:
    """Return the postings of a blob that belong to none of ``chunks``."""
    return [row for row in unpack_postings(blob) if row[0] not in chunks]
