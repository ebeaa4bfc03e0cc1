"""Notes -> pack: the one place where ranking weights are computed."""

from __future__ import annotations

import json
import os
import platform
import secrets
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, NamedTuple

import sklearn

from assistant.analysis.analyzer import Spelling, Stems, is_question_word
from assistant.analysis.spelling import deletion_keys, is_repairable
from assistant.analysis.tokens import tokenize
from assistant.compiling.lexicon import CompileLexicon, build_lexicon
from assistant.compiling.linear import ClassWeights, LinearModel, Vectors, learn_linear
from assistant.compiling.lines import lines_of, turn_lines
from assistant.compiling.settings import CompileSettings
from assistant.compiling.steps import step_weights
from assistant.errors import PackError
from assistant.model import Corpus, Note, Trade
from assistant.pack.codec import note_to_json, trade_to_json
from assistant.pack.format import (
    APPLICATION_ID,
    FIELDS,
    FORMAT,
    NOTES_MODEL,
    SCHEMA,
    TURNS_MODEL,
    pack_postings,
    pack_weights,
)
from assistant.progress import Progress, silent
from assistant.ranking.bm25f import Bm25fStatistics, bm25f_postings, bm25f_statistics, idf
from assistant.ranking.documents import Documents, documents_of

__all__ = [
    "Words",
    "chunk_terms",
    "chunk_weights",
    "compile_corpus",
    "content_terms",
    "read_words",
    "slip_rows",
    "step_rows",
    "term_masses",
    "write_pack",
]

ChunkWeights = dict[str, list[tuple[int, int, int]]]
Tables = dict[str, list[tuple[Any, ...]]]
Keep = Callable[[Vectors, dict[int, ClassWeights]], None]
_NO_MODEL = LinearModel({}, {})


class Words(NamedTuple):
    """The words of the documents, and each chunk as terms by field."""

    lexicon: CompileLexicon
    chunks: list[dict[str, list[str]]]
    statistics: Bm25fStatistics


def compile_corpus(
    corpus: Corpus,
    settings: CompileSettings,
    path: Path,
    *,
    facts: Mapping[str, str] | None = None,
    progress: Progress = silent,
    keep: Keep | None = None,
) -> Words:
    """Compile a corpus of notes into the pack at ``path``.

    Parameters
    ----------
    facts
        More lines for the manifest.
    progress
        Called with a few words before each stage.
    keep
        Is handed what the model of the notes learned by class.

    Raises
    ------
    PackError
        If the file cannot be written; what stood there before is then still whole.
    """
    manifest = {"corpus": corpus.digest, "notes": str(len(corpus.notes)), **(facts or {})}
    documents = documents_of(corpus)
    words = read_words(documents, settings, progress)
    lines = lines_of(corpus, settings.linear.pairs)
    model = learn_linear(lines, settings.linear, progress, keep=keep)
    turns = learn_linear(turn_lines(corpus), settings.linear)
    number = {note.id: place for place, note in enumerate(corpus.notes)}
    harm = sorted({number[note] for note in (*(a.note for a in corpus.alarms), *(note for note, _ in corpus.dangers))})
    manifest |= {"lines": str(len(lines)), "emergency": corpus.emergency, "harm": json.dumps(harm)}
    manifest["trade"] = trade_to_json(corpus.trade)
    tables = _tables(documents, words, settings, model, turns)
    tables["note"] = [(number[note.id], note.id, note.title, note_to_json(note)) for note in corpus.notes]
    tables["alarm"] = _alarm_rows(corpus, number)
    masses = term_masses(words.statistics)
    tables["step"] = [step_rows(note, number[note.id], words.lexicon, masses, settings) for note in corpus.notes]
    progress("writing the pack")
    _write(tables, {**_facts(documents, settings, model, turns), **manifest}, path)
    return words


def write_pack(documents: Documents, settings: CompileSettings, path: Path, *, manifest: Mapping[str, str]) -> None:
    """Weigh documents that are no notes, without examples, and write them to ``path``; BM25F alone ranks them."""
    words = read_words(documents, settings)
    tables = _tables(documents, words, settings, _NO_MODEL, _NO_MODEL)
    tables["note"] = [(place, document, document, "{}") for place, document in enumerate(documents.ids)]
    _write(tables, {**_facts(documents, settings, _NO_MODEL, _NO_MODEL), **manifest}, path)


def read_words(documents: Documents, settings: CompileSettings, progress: Progress = silent) -> Words:
    """Return the documents as terms, the slips of example questions repaired."""
    progress("reading words")
    lexicon = build_lexicon(documents)
    chunks = [chunk_terms(chunk.fields, lexicon) for chunk in documents.chunks]
    return Words(lexicon, chunks, bm25f_statistics(chunks, settings.bm25f))


def chunk_terms(fields: Mapping[str, str], lexicon: Spelling) -> dict[str, list[str]]:
    """Return the terms of a chunk by field."""
    stems = Stems()
    return {
        name: [stems(form) for form in (_repaired(text, lexicon) if name == "examples" else tokenize(text))]
        for name, text in fields.items()
    }


def _facts(documents: Documents, settings: CompileSettings, model: LinearModel, turns: LinearModel) -> dict[str, str]:
    number = {document: place for place, document in enumerate(documents.ids)}
    return {
        "format": str(FORMAT),
        "fields": " ".join(FIELDS),
        "compiled_by": f"python {platform.python_version()}, scikit-learn {sklearn.__version__}",
        "analysis": json.dumps(settings.analysis._asdict()),
        "analysis_digest": settings.analysis.digest,
        "decision": json.dumps(settings.decision),
        "harm": "[]",
        "emergency": "",
        "trade": trade_to_json(Trade()),
        "owner": json.dumps([number[chunk.document] for chunk in documents.chunks]),
        "bias": json.dumps({NOTES_MODEL: list(model.bias.items()), TURNS_MODEL: list(turns.bias.items())}),
    }


def _tables(
    documents: Documents, words: Words, settings: CompileSettings, model: LinearModel, turns: LinearModel
) -> Tables:
    stems = Stems()
    lexicon = words.lexicon
    terms = chunk_weights(words.chunks, settings, words.statistics)
    return {
        "term": [(term, pack_postings(rows)) for term, rows in sorted(terms.items())],
        "feature": [
            (name, feature, row.idf, pack_weights(row.weights))
            for name, learned in ((NOTES_MODEL, model), (TURNS_MODEL, turns))
            for feature, row in sorted(learned.rows.items())
        ],
        "form": [
            (form, stems(form), lexicon.counts.get(form, 0)) for form in sorted({*lexicon.counts, *lexicon.plain})
        ],
        "slip": slip_rows(lexicon.counts),
        "meaning": [(form, json.dumps(meant)) for form, meant in documents.vocabulary.forms.items()],
    }


def slip_rows(forms: Iterable[str]) -> list[tuple[str, str]]:
    """Return the rows of the table of slips for some word forms."""
    keys: dict[str, list[str]] = {}
    for form in sorted(forms):
        if is_repairable(form):
            for key in deletion_keys(form):
                keys.setdefault(key, []).append(form)
    return [(key, " ".join(found)) for key, found in sorted(keys.items())]


def step_rows(
    note: Note, number: int, lexicon: Spelling, masses: Mapping[str, int], settings: CompileSettings
) -> tuple[int, str]:
    """Return the row of the table of steps."""
    return number, json.dumps(step_weights(note, content_terms(lexicon, Stems()), masses, settings.steps))


def _alarm_rows(corpus: Corpus, number: Mapping[str, int]) -> list[tuple[str, str, int, int, int]]:
    found = {
        (phrase[0], " ".join(phrase), number[alarm.note], rank, lifts)
        for rank, alarm in enumerate(corpus.alarms)
        for lifts, texts in ((0, alarm.words), (1, alarm.lifted_by))
        for text in texts
        if (phrase := tokenize(text))
    }
    return sorted(found)


def _write(tables: Mapping[str, Iterable[tuple[Any, ...]]], manifest: Mapping[str, str], path: Path) -> None:
    """Write manifest and rows: to a temporary file, synced, then renamed."""
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
            for name, rows in {**tables, "manifest": sorted(manifest.items())}.items():
                width = len(db.execute(f"SELECT * FROM {name}").description)
                db.executemany(f"INSERT INTO {name} VALUES ({', '.join('?' * width)})", rows)
            db.commit()
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
        temporary.replace(path)
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or error
        raise PackError(f"{path}:1: cannot be written: {reason}") from error
    finally:
        temporary.unlink(missing_ok=True)


def content_terms(lexicon: Spelling, stems: Stems) -> Callable[[str], list[str]]:
    """Return the function that turns an example question into terms: slips repaired, question words dropped."""

    def terms(text: str) -> list[str]:
        return [stems(form) for form in _repaired(text, lexicon) if not is_question_word(form)]

    return terms


def _repaired(text: str, lexicon: Spelling) -> list[str]:
    return [form if lexicon.known(form) else (lexicon.near(form) or [form])[0] for form in tokenize(text)]


def chunk_weights(
    chunks: Sequence[Mapping[str, Sequence[str]]], settings: CompileSettings, statistics: Bm25fStatistics
) -> ChunkWeights:
    """Return term -> (chunk, weight, field number) of ``chunks``, which may be a part of the whole."""
    return {
        term: [
            (posting.chunk, round(settings.chunk_points * posting.weight), FIELDS.index(posting.field))
            for posting in postings
        ]
        for term, postings in bm25f_postings(chunks, settings.bm25f, statistics).items()
    }


def term_masses(statistics: Bm25fStatistics) -> dict[str, int]:
    """Return the idf of every term in thousandths."""
    return {term: round(1000 * idf(statistics.count, count)) for term, count in statistics.frequency.items()}
