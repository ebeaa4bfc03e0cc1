"""Notes -> pack: the one place where ranking weights are computed."""

from __future__ import annotations

import json
import platform
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from itertools import accumulate
from pathlib import Path

import sklearn

from assistant.analysis.analyzer import Stems
from assistant.analysis.spelling import deletion_keys, is_repairable
from assistant.analysis.tokens import tokenize
from assistant.compiling.classes import ClassWeights
from assistant.compiling.lexicon import KnownWords
from assistant.compiling.linear import learn_linear, model_key, sampling_for
from assistant.compiling.lines import TOLD, Lines, lines_digest, lines_of, turn_lines
from assistant.compiling.packfile import write_pack_file
from assistant.compiling.sample import Sampling
from assistant.compiling.settings import CompileSettings, LinearSettings
from assistant.compiling.steps import step_weights
from assistant.compiling.taken import LEARNED, HeldModel, by_class, held, taken_over
from assistant.compiling.vectors import Vectors
from assistant.compiling.words import (
    LENGTHS,
    ChunkWeights,
    Words,
    chunk_weights,
    content_terms,
    read_words,
    term_masses,
)
from assistant.languages import language_of
from assistant.model import Corpus, Note, Trade
from assistant.pack.codec import note_to_json, trade_to_json
from assistant.pack.format import (
    FIELDS,
    FIGURES,
    FIRST_AT_ONCE,
    IDS_AT_ONCE,
    NOTES_MODEL,
    TURNS_MODEL,
    feature_table,
    pack_form,
    pack_numbers,
    pack_postings,
    pack_title,
)
from assistant.progress import Progress, silent
from assistant.ranking.documents import Documents, documents_of

__all__ = ["compile_corpus", "slip_entries", "step_entry", "term_entries", "write_pack"]

Tables = dict[str, Iterable[tuple[str, bytes]]]
Keep = Callable[[Vectors, dict[int, ClassWeights]], None]
_NO_MODEL = HeldModel((), {})


def compile_corpus(
    corpus: Corpus,
    settings: CompileSettings,
    path: Path,
    *,
    facts: Mapping[str, str] | None = None,
    progress: Progress = silent,
    keep: Keep | None = None,
    sampling: Sampling | None = None,
    before: Path | None = None,
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
    sampling
        How many lines each class is learned against; see `learn_linear`.
    before
        A pack from which models are taken over that were learned from the same.

    Raises
    ------
    PackError
        If the file cannot be written; what stood there before is then still whole.
    """
    settings = settings.told_in(corpus.trade.language)
    manifest = {"corpus": corpus.digest, "notes": str(len(corpus.notes)), **(facts or {})}
    documents = documents_of(corpus)
    words = read_words(documents, settings, progress)
    lines = lines_of(corpus, settings.linear.pairs)
    model = _notes_model(lines, settings.linear, path, progress, keep, sampling, before)
    asked = turn_lines(corpus)
    key = model_key(asked, settings.linear)
    turns = taken_over(before, TURNS_MODEL, key) or held(learn_linear(asked, settings.linear), key)
    number = {note.id: place for place, note in enumerate(corpus.notes)}
    harm = sorted({number[note] for note in (*(a.note for a in corpus.alarms), *(note for note, _ in corpus.dangers))})
    manifest |= {
        "lines": str(len(lines)),
        TOLD: lines_digest(lines),
        "emergency": corpus.emergency,
        "harm": json.dumps(harm),
    }
    manifest["trade"] = trade_to_json(corpus.trade)
    tables = _tables(documents, words, settings, model, turns)
    tables["title"] = [(note.id, pack_title(place, note.title)) for place, note in enumerate(corpus.notes)]
    tables["note"] = [(note.id, note_to_json(note).encode()) for note in corpus.notes]
    figures = {figure.digest: corpus.figures[figure.digest] for note in corpus.notes for figure in note.figures}
    if figures:
        tables[FIGURES] = figures.items()
    tables["alarm"] = _alarm_entries(corpus, number)
    masses = term_masses(words.statistics)
    tables["step"] = [step_entry(note, words.lexicon, masses, settings) for note in corpus.notes]
    progress("writing the pack")
    write_pack_file(tables, {**_facts(documents, words, settings, model, turns), **manifest}, path)
    return words


def _notes_model(
    lines: Lines,
    settings: LinearSettings,
    path: Path,
    progress: Progress,
    keep: Keep | None,
    sampling: Sampling | None,
    before: Path | None,
) -> HeldModel:
    begun = path.with_name(f"{path.name}.learning")
    key = model_key(lines, settings, sampling)
    model = taken_over(before, NOTES_MODEL, key)
    if model and keep and model.bias:
        vectors = Vectors(lines, settings, short=(sampling or sampling_for(len(model.bias))) is not None)
        learned = by_class(model, vectors.names)
        if learned is None:
            model = None
        else:
            keep(vectors, learned)
    if model:
        same = f"{before}: learned from the same lines, so that all begins from what was learned there"
        progress(same if keep else "taking over what was learned")
        begun.unlink(missing_ok=True)
        return model
    if keep and before:
        progress(f"{before}: learned from other lines, or not there, so that all classes are learned")
    return held(learn_linear(lines, settings, progress, keep=keep, sampling=sampling, begun=begun), key)


def write_pack(documents: Documents, settings: CompileSettings, path: Path, *, manifest: Mapping[str, str]) -> None:
    """Weigh documents that are no notes, without examples, and write them to ``path``; BM25F alone ranks them."""
    words = read_words(documents, settings)
    tables = _tables(documents, words, settings, _NO_MODEL, _NO_MODEL)
    write_pack_file(tables, {**_facts(documents, words, settings, _NO_MODEL, _NO_MODEL), **manifest}, path)


def _facts(
    documents: Documents, words: Words, settings: CompileSettings, model: HeldModel, turns: HeldModel
) -> dict[str, str]:
    return {
        "fields": " ".join(FIELDS),
        "compiled_by": f"python {platform.python_version()}, scikit-learn {sklearn.__version__}",
        "analysis": json.dumps(settings.analysis._asdict()),
        "language": documents.language,
        "analysis_digest": settings.analysis.digest(language_of(documents.language)),
        "decision": json.dumps(settings.decision),
        "harm": "[]",
        "emergency": "",
        "trade": trade_to_json(Trade()),
        "sizes": json.dumps({"notes": len(documents.ids), "chunks": len(documents.chunks)}),
        LENGTHS: json.dumps(words.statistics.average),
        "bias": json.dumps({NOTES_MODEL: list(model.bias.items()), TURNS_MODEL: list(turns.bias.items())}),
        LEARNED: json.dumps({NOTES_MODEL: model.key, TURNS_MODEL: turns.key}),
    }


def _tables(
    documents: Documents, words: Words, settings: CompileSettings, model: HeldModel, turns: HeldModel
) -> Tables:
    lexicon = words.lexicon
    terms = chunk_weights(words.chunks, settings, words.statistics)
    tables: Tables = {
        "id": [
            (str(entry), json.dumps(documents.ids[at : at + IDS_AT_ONCE], ensure_ascii=False).encode())
            for entry, at in enumerate(range(0, len(documents.ids), IDS_AT_ONCE))
        ],
        "title": [(document, pack_title(place, document)) for place, document in enumerate(documents.ids)],
        "first": _first_entries(documents),
        "term": term_entries(terms),
        "form": [
            (form, pack_form(lexicon.counts.get(form, 0), lexicon.spelled.get(form, "")))
            for form in {*lexicon.counts, *lexicon.plain}
        ],
        "slip": slip_entries(lexicon.counts),
        "meaning": [(form, json.dumps(meant).encode()) for form, meant in documents.vocabulary.forms.items()],
    }
    for name, learned in ((NOTES_MODEL, model), (TURNS_MODEL, turns)):
        tables[feature_table(name)] = learned.entries
    return tables


def _first_entries(documents: Documents) -> list[tuple[str, bytes]]:
    """Return the entries that tell which chunks a document has: those of one stand together, in the order of ids."""
    counts = Counter(chunk.document for chunk in documents.chunks)
    if [chunk.document for chunk in documents.chunks] != [
        document for document in documents.ids for _ in range(counts[document])
    ]:
        raise ValueError("the chunks are not in the order of their documents")
    first = [0, *accumulate(counts[document] for document in documents.ids)]
    return [
        (str(entry), pack_numbers(first[at : min(at + FIRST_AT_ONCE, len(documents.ids))]))
        for entry, at in enumerate(range(0, len(documents.ids), FIRST_AT_ONCE))
    ]


def term_entries(terms: ChunkWeights) -> list[tuple[str, bytes]]:
    """Return the entries of the table of terms."""
    return [entry for term, row in terms.items() for entry in pack_postings(term, *row)]


def slip_entries(forms: Iterable[str]) -> list[tuple[str, bytes]]:
    """Return the entries of the table of slips for some word forms."""
    keys: dict[str, list[str]] = {}
    for form in sorted(forms):
        if is_repairable(form):
            for key in deletion_keys(form):
                keys.setdefault(key, []).append(form)
    return [(key, " ".join(found).encode()) for key, found in keys.items()]


def step_entry(
    note: Note, lexicon: KnownWords, masses: Mapping[str, int], settings: CompileSettings
) -> tuple[str, bytes]:
    """Return the entry of a note in the table of steps."""
    weights = step_weights(note, content_terms(lexicon, Stems(lexicon.language)), masses, settings.steps)
    return note.id, json.dumps(weights).encode()


def _alarm_entries(corpus: Corpus, number: Mapping[str, int]) -> list[tuple[str, bytes]]:
    language = language_of(corpus.trade.language)
    found = {
        (phrase[0], (rank, " ".join(phrase), number[alarm.note], lifts))
        for rank, alarm in enumerate(corpus.alarms)
        for lifts, texts in ((0, alarm.words), (1, alarm.lifted_by))
        for text in texts
        if (phrase := tokenize(text, language))
    }
    first: dict[str, list[tuple[int, str, int, int]]] = {}
    for word, row in sorted(found):
        first.setdefault(word, []).append(row)
    return [(word, json.dumps(rows).encode()) for word, rows in first.items()]
