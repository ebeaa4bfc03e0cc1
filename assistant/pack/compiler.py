"""Notes -> pack: the one place where ranking weights are computed, with scikit-learn."""

from __future__ import annotations

import json
import os
import platform
import secrets
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sklearn

from assistant.analysis.analyzer import Lexicon, Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.errors import PackError
from assistant.model import Corpus, Note
from assistant.pack.codec import note_to_json
from assistant.pack.format import APPLICATION_ID, FIELDS, FORMAT, SCHEMA, pack_numbers
from assistant.pack.learn import cue_weights, example_weights, harm_weights, kin_weights, learned_weights, turn_weights
from assistant.pack.lexicon import CompileLexicon, build_lexicon
from assistant.pack.settings import CompileSettings
from assistant.pack.steps import step_weights
from assistant.progress import Progress, silent
from assistant.ranking.bm25f import Bm25fStatistics, bm25f_postings, bm25f_statistics, idf
from assistant.ranking.documents import Documents, documents_of
from assistant.ranking.score import NONE

__all__ = ["Analysed", "analyse", "chunk_weights", "compile_corpus", "content_terms", "term_masses", "write_pack"]

ChunkWeights = dict[str, list[tuple[int, int, int]]]


@dataclass(frozen=True, slots=True)
class Analysed:
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
    read: tuple[CompileLexicon, Analysed] | None = None,
    progress: Progress = silent,
) -> None:
    """Compile a corpus of notes into the pack at ``path``.

    Parameters
    ----------
    facts
        More lines for the manifest.
    read
        The words of its documents, and what `analyse` returns for them, where the caller has both already.
    progress
        Called with a few words before each stage.

    Raises
    ------
    PackError
        If the file cannot be written; what stood there before is then still whole.
    """
    manifest = {"corpus": corpus.digest, "notes": str(len(corpus.notes)), **(facts or {})}
    notes = {note.id: note for note in corpus.notes}
    documents = documents_of(corpus)
    write_pack(documents, settings, path, notes=notes, manifest=manifest, read=read, progress=progress)


def write_pack(
    documents: Documents,
    settings: CompileSettings,
    path: Path,
    *,
    notes: Mapping[str, Note] | None = None,
    manifest: Mapping[str, str],
    read: tuple[CompileLexicon, Analysed] | None = None,
    progress: Progress = silent,
) -> None:
    """Weigh the documents and write them to ``path``."""
    progress("reading words")
    lexicon = read[0] if read else build_lexicon(documents)
    analysed = read[1] if read else analyse(documents, lexicon)
    stems = Stems()
    number = {document: i for i, document in enumerate(documents.ids)}
    progress("weighing words")
    statistics = bm25f_statistics(analysed.chunks, settings.bm25f)
    chunks, masses = chunk_weights(analysed.chunks, settings, statistics), term_masses(statistics)
    rarest = round(1000 * idf(len(documents.chunks), 1))
    learned = learned_weights(documents, analysed.passages, analysed.examples, number, settings)
    examples = example_weights(analysed.examples)
    urgent = [number[d] for d in documents.urgent]
    content = content_terms(lexicon, stems)
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
        "cue": [(cue, pack_numbers(weights)) for cue, weights in sorted(cue_weights(documents, settings).items())],
        "tell": [
            (kind, cue, *weights)
            for kind, model in (("harm", harm_weights(documents)), ("turn", turn_weights(documents)))
            for cue, weights in sorted(model.items())
        ],
        "kin": kin_weights(documents, number),
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


def content_terms(lexicon: Lexicon, stems: Stems) -> Callable[[str], list[str]]:
    """Return the function that turns an example question into terms: slips repaired, question words dropped."""

    def terms(text: str) -> list[str]:
        return [stems(form) for form in _repaired(text, lexicon) if not is_question_word(form)]

    return terms


def _repaired(text: str, lexicon: Lexicon) -> list[str]:
    return [form if lexicon.known(form) else (lexicon.near(form) or [form])[0] for form in tokenize(text)]


def analyse(documents: Documents, lexicon: Lexicon) -> Analysed:
    """Return all texts as terms, the slips of example questions repaired by ``lexicon``."""
    stems = Stems()

    def terms(text: str) -> list[str]:
        return [stems(form) for form in tokenize(text)]

    content = content_terms(lexicon, stems)
    return Analysed(
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
