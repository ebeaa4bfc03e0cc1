"""Notes -> pack: the one place where ranking weights are computed, with scikit-learn."""

from __future__ import annotations

import json
import math
import os
import platform
import secrets
import sqlite3
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sklearn
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.naive_bayes import MultinomialNB

from assistant.analysis.analyzer import Stems, is_question_word, term_pairs
from assistant.analysis.cues import CUE_CLASSES, NEW, cues
from assistant.analysis.tokens import tokenize
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.codec import note_to_json
from assistant.pack.format import APPLICATION_ID, FIELDS, FORMAT, SCHEMA, pack_numbers
from assistant.pack.lexicon import CompileLexicon, build_lexicon
from assistant.pack.settings import CompileSettings
from assistant.pack.steps import step_weights
from assistant.ranking.bm25f import bm25f_postings, idf
from assistant.ranking.documents import Documents, documents_of
from assistant.ranking.score import DANGER, NONE

__all__ = ["compile_corpus", "content_terms", "write_pack"]

Progress = Callable[[str], None]
_BEGUN_EVERY = 8
_LEAST_PAIR_TEXTS = 2
Weights = dict[str, list[tuple[int, int]]]


@dataclass(frozen=True, slots=True)
class _Analysed:
    """Texts as terms: per chunk by field; per passage and example question without question words."""

    chunks: list[dict[str, list[str]]]
    passages: list[list[str]]
    examples: list[list[str]]


def compile_corpus(
    corpus: Corpus,
    settings: CompileSettings,
    path: Path,
    *,
    facts: Mapping[str, str] | None = None,
    progress: Progress = lambda _: None,
) -> None:
    """Compile a corpus of notes into the pack at ``path``.

    Parameters
    ----------
    facts
        More lines for the manifest.
    progress
        Called with a few words before each stage.

    Raises
    ------
    PackError
        If the file cannot be written; what stood there before is then still whole.
    """
    manifest = {"corpus": corpus.digest, "notes": str(len(corpus.notes)), **(facts or {})}
    notes = {note.id: note for note in corpus.notes}
    write_pack(documents_of(corpus), settings, path, notes=notes, manifest=manifest, progress=progress)


def write_pack(
    documents: Documents,
    settings: CompileSettings,
    path: Path,
    *,
    notes: Mapping[str, Note] | None = None,
    manifest: Mapping[str, str],
    progress: Progress = lambda _: None,
) -> None:
    """Weigh the documents and write them to ``path``."""
    progress("reading words")
    lexicon = build_lexicon(documents)
    stems = Stems()
    analysed = _analyse(documents, lexicon, stems)
    number = {document: i for i, document in enumerate(documents.ids)}
    progress("weighing words")
    chunks, masses = _chunk_weights(analysed.chunks, settings)
    rarest = round(1000 * idf(len(documents.chunks), 1))
    learned = _learned_weights(documents, analysed, number, settings)
    examples = _example_weights(analysed.examples)
    urgent = [number[d] for d in documents.urgent]
    content = content_terms(lexicon, stems)
    for term, points in _danger_weights(documents, analysed, content, settings).items():
        learned.setdefault(term, []).append((DANGER, points))
    chunk_rows = [(i, number[c.document], c.kind, c.text) for i, c in enumerate(documents.chunks)]
    example_rows = [(i, number.get(document, NONE), text) for i, (document, text) in enumerate(documents.examples)]
    every = {
        "format": str(FORMAT),
        "fields": " ".join(FIELDS),
        "compiled_by": f"python {platform.python_version()}, scikit-learn {sklearn.__version__}",
        "analysis": json.dumps(settings.analysis._asdict()),
        "analysis_digest": settings.analysis.digest,
        "decision": json.dumps(settings.decision),
        "urgent": json.dumps(urgent),
        "rarest": str(rarest),
        **manifest,
    }
    tables: dict[str, list[tuple[Any, ...]]] = {
        "manifest": sorted(every.items()),
        "note": [
            (i, d, notes[d].title, note_to_json(notes[d])) if notes else (i, d, d, "{}")
            for i, d in enumerate(documents.ids)
        ],
        "chunk": chunk_rows,
        "example": example_rows,
        "owner": [
            ("chunk", pack_numbers([row[1] for row in chunk_rows])),
            ("example", pack_numbers([row[1] for row in example_rows])),
        ],
        "term": [
            (
                term,
                masses.get(term, rarest),
                *(
                    pack_numbers([v for entry in part.get(term, ()) for v in entry])
                    for part in (chunks, learned, examples)
                ),
            )
            for term in sorted(chunks.keys() | learned.keys() | examples.keys())
        ],
        "form": [
            (form, stems(form), lexicon.counts.get(form, 0)) for form in sorted({*lexicon.counts, *lexicon.plain})
        ],
        "meaning": [(form, json.dumps(words)) for form, words in documents.vocabulary.forms.items()],
        "cue": [(cue, pack_numbers(weights)) for cue, weights in sorted(_cue_weights(documents, settings).items())],
        "step": [
            (number[note.id], json.dumps(step_weights(note, content, masses, settings.steps)))
            for note in (notes or {}).values()
        ],
    }
    progress("writing the pack")
    _write(tables, path)


def _write(tables: Mapping[str, list[tuple[Any, ...]]], path: Path) -> None:
    """Write the rows of all tables: to a temporary file, synced, then renamed."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary = path.with_name(f"{path.name}.{secrets.token_hex(8)}.part")
        temporary.touch(exist_ok=False)
    except OSError as error:
        raise PackError(f"{path}:1: cannot be written: {error.strerror}") from error
    try:
        with closing(sqlite3.connect(temporary)) as db:
            db.executescript(SCHEMA)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            for name, rows in tables.items():
                if rows:
                    db.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * len(rows[0]))})", rows)
            db.commit()
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
        temporary.replace(path)
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or error
        raise PackError(f"{path}:1: cannot be written: {reason}") from error
    finally:
        temporary.unlink(missing_ok=True)


def content_terms(lexicon: CompileLexicon, stems: Stems) -> Callable[[str], list[str]]:
    """Return the function that turns an example question into terms: slips repaired, question words dropped."""

    def terms(text: str) -> list[str]:
        return [stems(form) for form in _repaired(text, lexicon) if not is_question_word(form)]

    return terms


def _repaired(text: str, lexicon: CompileLexicon) -> list[str]:
    return [form if lexicon.known(form) else (lexicon.near(form) or [form])[0] for form in tokenize(text)]


def _analyse(documents: Documents, lexicon: CompileLexicon, stems: Stems) -> _Analysed:
    def terms(text: str) -> list[str]:
        return [stems(form) for form in tokenize(text)]

    content = content_terms(lexicon, stems)
    return _Analysed(
        [
            {
                name: [stems(form) for form in _repaired(text, lexicon)] if name == "examples" else terms(text)
                for name, text in chunk.fields.items()
            }
            for chunk in documents.chunks
        ],
        [content(text) for _, text in documents.passages],
        [content(text) for _, text in documents.examples],
    )


def _chunk_weights(
    chunks: Sequence[Mapping[str, Sequence[str]]], settings: CompileSettings
) -> tuple[dict[str, list[tuple[int, int, int]]], dict[str, int]]:
    frequency = Counter(term for chunk in chunks for term in {t for terms in chunk.values() for t in terms})
    masses = {term: round(1000 * idf(len(chunks), count)) for term, count in frequency.items()}
    weights = {
        term: [
            (posting.chunk, round(settings.chunk_points * posting.weight), FIELDS.index(posting.field))
            for posting in postings
        ]
        for term, postings in bm25f_postings(chunks, settings.bm25f).items()
    }
    return weights, masses


def _learned_weights(
    documents: Documents, analysed: _Analysed, number: Mapping[str, int], settings: CompileSettings
) -> Weights:
    """Learn what each term and pair says for each note, one more class (`NONE`) being what nothing covers."""
    if not documents.examples or not settings.learned_points:
        return {}
    shape = _with_pairs if settings.pairs else list
    texts = [shape(terms) for terms in (*analysed.passages, *analysed.examples)]
    owners = [number[d] for d, _ in documents.passages] + [number.get(d, NONE) for d, _ in documents.examples]
    return _class_weights(texts, owners, settings.alpha, settings.learned_points, _learned_vocabulary(texts))


def _with_pairs(terms: Sequence[str]) -> list[str]:
    return [*terms, *term_pairs(terms)]


def _learned_vocabulary(texts: Sequence[Sequence[str]]) -> list[str]:
    """Return all terms, and those pairs that stand in two texts or more."""
    counts = Counter(term for terms in texts for term in set(terms))
    return sorted(term for term, count in counts.items() if count >= _LEAST_PAIR_TEXTS or "_" not in term)


def _danger_weights(
    documents: Documents, analysed: _Analysed, content: Callable[[str], list[str]], settings: CompileSettings
) -> dict[str, int]:
    """Return for each term the log-odds, in hundredths, that a question with it tells of harm.

    Learned as the note weights are: from the example questions of the urgent notes and those that tell of harm in
    passing, against all others.
    """
    urgent = frozenset(documents.urgent)
    asked = list(zip((note for note, _ in documents.examples), analysed.examples, strict=True))
    asked += [(note, content(question)) for note, question in documents.dangers]
    classes = [int(note in urgent) for note, _ in asked]
    if len(set(classes)) < len(("calm", "harm")):
        return {}
    learned = _class_weights([terms for _, terms in asked], classes, settings.alpha, 100)
    odds = {term: dict(pairs).get(1, 0) - dict(pairs).get(0, 0) for term, pairs in learned.items()}
    return {term: points for term, points in odds.items() if points}


def _class_weights(
    texts: Sequence[Sequence[str]],
    owners: Sequence[int],
    alpha: float,
    points: float,
    vocabulary: Sequence[str] | None = None,
) -> Weights:
    """Return log P(term | class) above that of a term never seen with the class, times ``points``, rounded.

    Multinomial naive Bayes on sublinear TF-IDF, each class with the same mass of 1. Absent terms weigh 0, so that a sum
    over the terms of a question ranks as the full likelihood does.

    Source
    ------
    Manning, Raghavan and Schuetze, Introduction to Information Retrieval, 2008, section 13.2 (from memory).
    """
    vectorizer = TfidfVectorizer(analyzer=list, sublinear_tf=True, vocabulary=vocabulary)
    matrix = vectorizer.fit_transform(texts)
    mass: dict[int, float] = {}
    for owner, total in zip(owners, matrix.sum(axis=1).A1, strict=True):
        mass[owner] = mass.get(owner, 0.0) + float(total)
    model = MultinomialNB(alpha=alpha, fit_prior=False)
    model.fit(matrix, owners, sample_weight=[1 / mass[owner] if mass[owner] else 0 for owner in owners])
    names = vectorizer.get_feature_names_out()
    weights: Weights = {}
    for owner, seen in zip(model.classes_, model.feature_count_, strict=True):
        for column in seen.nonzero()[0]:
            value = round(points * math.log1p(float(seen[column]) / alpha))
            if value:
                weights.setdefault(str(names[column]), []).append((int(owner), value))
    return weights


def _cue_weights(documents: Documents, settings: CompileSettings) -> dict[str, list[int]]:
    """Return for each cue one weight a class of turns, learned from the follow-up phrases as the note weights are.

    Questions with which reps begin stand for the class of turns that leave the note in hand.
    """
    if not documents.followups:
        return {}
    turns = [*documents.followups, *((NEW, question) for _, question in documents.examples[::_BEGUN_EVERY])]
    owners = [CUE_CLASSES.index(about) for about, _ in turns]
    learned = _class_weights([cues(phrase) for _, phrase in turns], owners, settings.cue_alpha, 100)
    return {cue: [dict(pairs).get(i, 0) for i in range(len(CUE_CLASSES))] for cue, pairs in learned.items()}


def _example_weights(examples: Sequence[list[str]]) -> Weights:
    """Return the unit-length TF-IDF weights of every example question, in thousandths."""
    if not any(examples):
        return {}
    vectorizer = TfidfVectorizer(analyzer=list, sublinear_tf=True)
    matrix = vectorizer.fit_transform(examples).tocoo()
    names = vectorizer.get_feature_names_out()
    weights: Weights = {}
    for row, column, value in sorted(zip(matrix.row, matrix.col, matrix.data, strict=True)):
        points = round(1000 * float(value))
        if points:
            weights.setdefault(str(names[column]), []).append((int(row), points))
    return weights
