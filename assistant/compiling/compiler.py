"""Notes -> pack: the one place where ranking weights are computed."""

from __future__ import annotations

import json
import platform
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import sklearn

from assistant.analysis.analyzer import Spelling, Stems, is_question_word
from assistant.analysis.spelling import deletion_keys, is_repairable
from assistant.analysis.tokens import tokenize
from assistant.compiling.lexicon import CompileLexicon, build_lexicon
from assistant.compiling.linear import ClassWeights, LinearModel, Vectors, learn_linear
from assistant.compiling.lines import lines_of, turn_lines
from assistant.compiling.packfile import write_pack_file
from assistant.compiling.settings import CompileSettings
from assistant.compiling.steps import step_weights
from assistant.model import Corpus, Note, Trade
from assistant.pack.codec import note_to_json, trade_to_json
from assistant.pack.format import (
    FIELDS,
    NOTES_MODEL,
    TURNS_MODEL,
    feature_table,
    pack_count,
    pack_feature,
    pack_postings,
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
    "slip_entries",
    "step_entry",
    "term_masses",
    "write_pack",
]

ChunkWeights = dict[str, list[tuple[int, int, int]]]
Tables = dict[str, list[tuple[str, bytes]]]
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
    manifest["titles"] = json.dumps({note.id: note.title for note in corpus.notes}, ensure_ascii=False)
    tables = _tables(documents, words, settings, model, turns)
    tables["note"] = [(note.id, note_to_json(note).encode()) for note in corpus.notes]
    tables["alarm"] = _alarm_entries(corpus, number)
    masses = term_masses(words.statistics)
    tables["step"] = [step_entry(note, words.lexicon, masses, settings) for note in corpus.notes]
    progress("writing the pack")
    write_pack_file(tables, {**_facts(documents, settings, model, turns), **manifest}, path)
    return words


def write_pack(documents: Documents, settings: CompileSettings, path: Path, *, manifest: Mapping[str, str]) -> None:
    """Weigh documents that are no notes, without examples, and write them to ``path``; BM25F alone ranks them."""
    words = read_words(documents, settings)
    tables = _tables(documents, words, settings, _NO_MODEL, _NO_MODEL)
    write_pack_file(tables, {**_facts(documents, settings, _NO_MODEL, _NO_MODEL), **manifest}, path)


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
        "fields": " ".join(FIELDS),
        "compiled_by": f"python {platform.python_version()}, scikit-learn {sklearn.__version__}",
        "analysis": json.dumps(settings.analysis._asdict()),
        "analysis_digest": settings.analysis.digest,
        "decision": json.dumps(settings.decision),
        "harm": "[]",
        "emergency": "",
        "trade": trade_to_json(Trade()),
        "titles": json.dumps({document: document for document in documents.ids}),
        "owner": json.dumps([number[chunk.document] for chunk in documents.chunks]),
        "bias": json.dumps({NOTES_MODEL: list(model.bias.items()), TURNS_MODEL: list(turns.bias.items())}),
    }


def _tables(
    documents: Documents, words: Words, settings: CompileSettings, model: LinearModel, turns: LinearModel
) -> Tables:
    lexicon = words.lexicon
    terms = chunk_weights(words.chunks, settings, words.statistics)
    tables = {
        "term": [(term, pack_postings(rows)) for term, rows in terms.items()],
        "form": [(form, pack_count(lexicon.counts.get(form, 0))) for form in {*lexicon.counts, *lexicon.plain}],
        "slip": slip_entries(lexicon.counts),
        "meaning": [(form, json.dumps(meant).encode()) for form, meant in documents.vocabulary.forms.items()],
    }
    for name, learned in ((NOTES_MODEL, model), (TURNS_MODEL, turns)):
        rows = learned.rows.items()
        tables[feature_table(name)] = [(feature, pack_feature(row.idf, row.weights)) for feature, row in rows]
    return tables


def slip_entries(forms: Iterable[str]) -> list[tuple[str, bytes]]:
    """Return the entries of the table of slips for some word forms."""
    keys: dict[str, list[str]] = {}
    for form in sorted(forms):
        if is_repairable(form):
            for key in deletion_keys(form):
                keys.setdefault(key, []).append(form)
    return [(key, " ".join(found).encode()) for key, found in keys.items()]


def step_entry(
    note: Note, lexicon: Spelling, masses: Mapping[str, int], settings: CompileSettings
) -> tuple[str, bytes]:
    """Return the entry of a note in the table of steps."""
    weights = step_weights(note, content_terms(lexicon, Stems()), masses, settings.steps)
    return note.id, json.dumps(weights).encode()


def _alarm_entries(corpus: Corpus, number: Mapping[str, int]) -> list[tuple[str, bytes]]:
    found = {
        (phrase[0], (rank, " ".join(phrase), number[alarm.note], lifts))
        for rank, alarm in enumerate(corpus.alarms)
        for lifts, texts in ((0, alarm.words), (1, alarm.lifted_by))
        for text in texts
        if (phrase := tokenize(text))
    }
    first: dict[str, list[tuple[int, str, int, int]]] = {}
    for word, row in sorted(found):
        first.setdefault(word, []).append(row)
    return [(word, json.dumps(rows).encode()) for word, rows in first.items()]


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
