"""One changed note into a compiled pack, in a fraction of a second: for an author who watches figures while writing.

What hangs on all notes together stays as it was when the pack was compiled: idf, mean lengths, the words that slips
are repaired to, the features, and the classes of all other notes. What hangs on the note alone is made anew: its
chunks, its class of the linear model and its steps.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import closing
from pathlib import Path

from scipy.sparse import vstack

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.compiling.compiler import chunk_terms, chunk_weights, compile_corpus, slip_rows, step_rows, term_masses
from assistant.compiling.lexicon import CompileLexicon
from assistant.compiling.linear import ClassWeights, Vectors, learn_class
from assistant.compiling.lines import lines_of
from assistant.compiling.settings import CompileSettings
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.codec import note_to_json
from assistant.pack.format import NOTES_MODEL, pack_postings, pack_weights, unpack_postings, unpack_weights
from assistant.progress import Progress, silent
from assistant.ranking.chunks import chunk_note

__all__ = ["PatchedPack"]


_ADD_SLIPS = """INSERT INTO slip VALUES (?, ?)
    ON CONFLICT (key) DO UPDATE SET forms = forms || ' ' || excluded.forms"""


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
        stems = Stems()
        try:
            with closing(sqlite3.connect(self.path)) as db:
                db.executescript("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")
                row = (note.title, note_to_json(note), number)
                db.execute("UPDATE note SET title = ?, content = ? WHERE number = ?", row)
                steps = step_rows(note, number, self._lexicon, self._masses, self._settings)
                db.execute("INSERT OR REPLACE INTO step VALUES (?, ?)", steps)
                known = [(form, stems(form)) for form in sorted(forms)]
                db.executemany("INSERT OR REPLACE INTO form VALUES (?, ?, 1)", known)
                db.executemany(_ADD_SLIPS, slip_rows(forms))
                self._write_terms(db, note.id, terms)
                if learned:
                    self._write_class(db, number, learned)
                db.commit()
        except sqlite3.Error as error:
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

    def _write_class(self, db: sqlite3.Connection, number: int, learned: ClassWeights) -> None:
        names = self._vectors.names if self._vectors else []
        old = dict(zip(self._learned[number].columns, self._learned[number].weights, strict=True))
        new = dict(zip(learned.columns, learned.weights, strict=True))
        changed = []
        for column in sorted(old.keys() | new.keys()):
            if old.get(column) == new.get(column):
                continue
            key = (NOTES_MODEL, names[column])
            (blob,) = db.execute("SELECT weights FROM feature WHERE model = ? AND feature = ?", key).fetchone()
            rows = [row for row in unpack_weights(blob) if row[0] != number]
            rows += [(number, new[column])] if column in new else []
            changed.append((pack_weights(sorted(rows)), *key))
        db.executemany("UPDATE feature SET weights = ? WHERE model = ? AND feature = ?", changed)
        (bias,) = db.execute("SELECT value FROM manifest WHERE key = 'bias'").fetchone()
        db.execute("UPDATE manifest SET value = ? WHERE key = 'bias'", (_with_bias(bias, number, learned.bias),))
        self._learned[number] = learned

    def _write_terms(
        self, db: sqlite3.Connection, id: str, terms: Mapping[str, Sequence[tuple[int, int, int]]]
    ) -> None:
        chunks = self._chunks[id]
        changed = []
        for term in sorted(self._terms[id] | terms.keys()):
            (blob,) = db.execute("SELECT chunks FROM term WHERE term = ?", (term,)).fetchone() or (b"",)
            rows = [
                *_others(blob, chunks),
                *((chunks[chunk], weight, field) for chunk, weight, field in terms.get(term, ())),
            ]
            changed.append((term, pack_postings(sorted(rows))))
        db.executemany("INSERT OR REPLACE INTO term VALUES (?, ?)", changed)


def _with_bias(text: str, number: int, bias: int) -> str:
    models = json.loads(text)
    models[NOTES_MODEL] = [[other, bias if other == number else value] for other, value in models[NOTES_MODEL]]
    return json.dumps(models)


def _others(blob: bytes, chunks: Collection[int]) -> list[tuple[int, int, int]]:
    """Return the postings of a blob that belong to none of ``chunks``."""
    return [row for row in unpack_postings(blob) if row[0] not in chunks]
