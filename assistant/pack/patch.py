"""One changed note into a compiled pack, in a fraction of a second: for an author who watches figures while writing.

What hangs on all notes together stays as it was when the pack was compiled: idf, mean lengths, the words that slips are
repaired to, and the models of turns, of harm and of the decision. What hangs on the note alone is weighed anew: its
chunks, its class of the learned weights, its example questions and its steps.
"""

from __future__ import annotations

import json
import math
import sqlite3
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from assistant.analysis.analyzer import Lexicon, Stems
from assistant.analysis.tokens import tokenize
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.codec import note_to_json
from assistant.pack.compiler import analyse, chunk_weights, compile_corpus, content_terms, term_masses
from assistant.pack.format import pack_numbers, unpack_numbers
from assistant.pack.learn import LEAST_PAIR_TEXTS, with_pairs
from assistant.pack.lexicon import CompileLexicon, build_lexicon
from assistant.pack.settings import CompileSettings
from assistant.pack.steps import step_weights
from assistant.progress import Progress, silent
from assistant.ranking.bm25f import bm25f_statistics, idf
from assistant.ranking.documents import Documents, documents_of
from assistant.ranking.score import NONE, TermRow

__all__ = ["PatchedPack"]


@dataclass(frozen=True, slots=True)
class _Idf:
    """idf as scikit-learn's `TfidfVectorizer` reckons it; a term that no text holds counts as if one did."""

    texts: int
    frequency: Mapping[str, int]

    def __call__(self, term: str) -> float:
        return 1 + math.log((1 + self.texts) / (1 + self.frequency.get(term, 1)))

    def unit(self, terms: Iterable[str]) -> dict[str, float]:
        """Return the weights of a text: sublinear TF-IDF of length 1."""
        values = {term: (1 + math.log(count)) * self(term) for term, count in Counter(terms).items()}
        length = math.sqrt(math.fsum(value * value for value in values.values())) or 1.0
        return {term: value / length for term, value in values.items()}


class _Grown:
    """The lexicon of the whole, with the forms that changed notes have brought."""

    def __init__(self, base: CompileLexicon) -> None:
        self.base = base
        self.forms: set[str] = set()

    def known(self, form: str) -> bool:
        return form in self.forms or self.base.known(form)

    def near(self, form: str) -> list[str]:
        return self.base.near(form)

    def meanings(self, phrase: str) -> tuple[tuple[str, int], ...]:
        return self.base.meanings(phrase)


@dataclass(frozen=True, slots=True)
class _Rows:
    """What a pack stores of one note by term: rows as in the table of terms, numbered as in the pack."""

    chunks: Mapping[str, Sequence[tuple[int, int, int]]]
    learned: Mapping[str, Sequence[tuple[int, int]]]
    examples: Mapping[str, Sequence[tuple[int, int]]]

    @property
    def terms(self) -> set[str]:
        return {*self.chunks, *self.learned, *self.examples}


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
        documents = documents_of(corpus)
        lexicon = build_lexicon(documents)
        analysed = analyse(documents, lexicon)
        compile_corpus(corpus, settings, path, read=(lexicon, analysed), progress=progress)
        self._lexicon = _Grown(lexicon)
        self._number = {document: number for number, document in enumerate(documents.ids)}
        self._statistics = bm25f_statistics(analysed.chunks, settings.bm25f)
        self._masses = term_masses(self._statistics)
        self._rarest = round(1000 * idf(self._statistics.count, 1))
        texts = [self._shaped(terms) for terms in (*analysed.passages, *analysed.examples)]
        self._learned_idf = _Idf(len(texts), _kept(texts))
        self._example_idf = _Idf(len(analysed.examples), Counter(t for e in analysed.examples for t in set(e)))
        owners = [chunk.document for chunk in documents.chunks]
        self._chunks = _places(owners, documents.ids)
        askers = [asker for asker, _ in documents.examples]
        self._owners = [self._number.get(asker, NONE) for asker in askers]
        self._asked = _places(askers, documents.ids)
        self._terms: dict[str, set[str]] = {}
        self.brought: frozenset[str] = frozenset()

    def replace(self, note: Note) -> dict[str, TermRow]:
        """Write a note anew that the pack holds under the same id; a pack that is open has to be opened anew.

        Returns
        -------
        dict
            What the pack now stores of this note alone, by term.

        Raises
        ------
        PackError
            If the file cannot be written.
        """
        notes = tuple(note if other.id == note.id else other for other in self.corpus.notes)
        corpus = self.corpus._replace(notes=notes)
        new = documents_of(corpus).only(note.id)
        if note.id not in self._terms:
            before = self._rows(documents_of(self.corpus).only(note.id), self._asked[note.id], self._lexicon.base)
            self._terms[note.id] = before.terms
        forms = {
            form
            for chunk in new.chunks
            for name in chunk.fields
            if name != "examples"
            for form in tokenize(chunk.fields[name])
        }
        forms = {form for form in forms if not self._lexicon.known(form)}
        self._lexicon.forms |= forms
        self.brought = frozenset(self._lexicon.forms)
        asked = list(range(len(self._owners), len(self._owners) + len(new.examples)))
        owners = [*self._owners, *(self._number[note.id] for _ in asked)]
        after = self._rows(new, asked, self._lexicon)
        try:
            with closing(sqlite3.connect(self.path)) as db:
                db.executescript("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")
                self._write_note(db, note, new, asked, owners)
                stems = Stems()
                db.executemany(
                    "INSERT OR REPLACE INTO form VALUES (?, ?, 1)", [(form, stems(form)) for form in sorted(forms)]
                )
                self._write_terms(db, note.id, after)
                db.commit()
        except sqlite3.Error as error:
            raise PackError(f"{self.path}:1: cannot be written: {error}") from error
        self._owners, self._asked[note.id], self._terms[note.id] = owners, asked, after.terms
        self.corpus = corpus
        return {
            term: TermRow(self._mass(term), after.chunks.get(term, ()), after.learned.get(term, ()))
            for term in after.terms
        }

    def _mass(self, term: str) -> int:
        return self._masses.get(term, self._rarest)

    def _shaped(self, terms: Sequence[str]) -> list[str]:
        return with_pairs(terms) if self._settings.pairs else list(terms)

    def _rows(self, documents: Documents, asked: Sequence[int], lexicon: Lexicon) -> _Rows:
        """Weigh one note; ``asked`` are the numbers of its example questions."""
        note = documents.ids[0]
        analysed = analyse(documents, lexicon)
        chunks = chunk_weights(analysed.chunks, self._settings, self._statistics)
        texts = [self._shaped(terms) for terms in (*analysed.passages, *analysed.examples)]
        seen: Counter[str] = Counter()
        own = _kept(texts)
        for text in texts:
            seen.update(self._learned_idf.unit(t for t in text if t in own or t in self._learned_idf.frequency))
        mass = math.fsum(seen.values())
        points, alpha = self._settings.learned_points, self._settings.alpha
        learned = {term: round(points * math.log1p(value / mass / alpha)) for term, value in seen.items()}
        examples: dict[str, list[tuple[int, int]]] = {}
        for number, terms in zip(asked, analysed.examples, strict=True):
            for term, value in self._example_idf.unit(terms).items():
                if weight := round(1000 * value):
                    examples.setdefault(term, []).append((number, weight))
        numbers = self._chunks[note]
        return _Rows(
            {term: [(numbers[chunk], weight, field) for chunk, weight, field in rows] for term, rows in chunks.items()},
            {term: [(self._number[note], weight)] for term, weight in learned.items() if weight},
            examples,
        )

    def _write_note(
        self, db: sqlite3.Connection, note: Note, documents: Documents, asked: Sequence[int], owners: Sequence[int]
    ) -> None:
        number = self._number[note.id]
        steps = step_weights(note, content_terms(self._lexicon, Stems()), self._masses, self._settings.steps)
        db.execute("UPDATE note SET title = ?, content = ? WHERE number = ?", (note.title, note_to_json(note), number))
        db.execute("UPDATE step SET weights = ? WHERE note = ?", (json.dumps(steps), number))
        db.execute("UPDATE owner SET notes = ? WHERE kind = 'example'", (pack_numbers(list(owners)),))
        texts = zip((chunk.text for chunk in documents.chunks), self._chunks[note.id], strict=True)
        db.executemany("UPDATE chunk SET content = ? WHERE number = ?", texts)
        questions = zip(asked, (question for _, question in documents.examples), strict=True)
        db.executemany("INSERT INTO example VALUES (?, ?, ?)", [(n, number, question) for n, question in questions])

    def _write_terms(self, db: sqlite3.Connection, id: str, after: _Rows) -> None:
        gone = (set(self._chunks[id]), {self._number[id]}, set(self._asked[id]))
        changed = []
        for term in sorted(self._terms[id] | after.terms):
            stored = db.execute("SELECT mass, chunks, learned, examples FROM term WHERE term = ?", (term,))
            mass, *blobs = stored.fetchone() or (self._mass(term), b"", b"", b"")
            parts = (after.chunks, after.learned, after.examples)
            fresh = [
                [*_others(blob, width, numbers), *part.get(term, ())]
                for blob, width, numbers, part in zip(blobs, (3, 2, 2), gone, parts, strict=True)
            ]
            changed.append((term, mass, *(pack_numbers([v for row in sorted(rows) for v in row]) for rows in fresh)))
        db.executemany("INSERT OR REPLACE INTO term VALUES (?, ?, ?, ?, ?)", changed)


def _places(owners: Sequence[str], documents: Iterable[str]) -> dict[str, list[int]]:
    places: dict[str, list[int]] = {document: [] for document in documents}
    for place, owner in enumerate(owners):
        if owner in places:
            places[owner].append(place)
    return places


def _kept(texts: Iterable[Sequence[str]]) -> dict[str, int]:
    """Return in how many texts each term stands; pairs that stand in one alone are left out."""
    counts = Counter(term for terms in texts for term in set(terms))
    return {term: count for term, count in counts.items() if count >= LEAST_PAIR_TEXTS or "_" not in term}


def _others(blob: bytes, width: int, numbers: Collection[int]) -> list[tuple[int, ...]]:
    """Return the rows of a blob that belong to none of ``numbers``."""
    values = unpack_numbers(blob)
    return [row for row in zip(*(values[i::width] for i in range(width)), strict=True) if row[0] not in numbers]
