"""The words of documents as terms, and what each is worth in each chunk."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.compiling.lexicon import CompileLexicon, KnownWords, build_lexicon
from assistant.compiling.settings import CompileSettings
from assistant.pack.format import FIELDS
from assistant.progress import Progress, silent
from assistant.ranking.bm25f import Bm25fStatistics, bm25f_statistics, bm25f_weights, idf
from assistant.ranking.documents import Documents

__all__ = [
    "LENGTHS",
    "ChunkWeights",
    "Words",
    "chunk_terms",
    "chunk_weights",
    "content_terms",
    "read_words",
    "term_masses",
]

LENGTHS = "lengths"
"""The entry of a pack's manifest that holds the mean length of each field in terms."""
ChunkWeights = dict[str, "tuple[array[int], array[int], bytes]"]
"""Of each term chunks, weights and field numbers, by rising chunk."""


class Words(NamedTuple):
    """The words of the documents, and each chunk as terms by field."""

    lexicon: CompileLexicon
    chunks: list[dict[str, list[str]]]
    statistics: Bm25fStatistics


def read_words(documents: Documents, settings: CompileSettings, progress: Progress = silent) -> Words:
    """Return the documents as terms, the slips of example questions repaired."""
    progress("reading words")
    lexicon = build_lexicon(documents)
    terms = chunk_terms(lexicon)
    chunks = [terms(chunk.fields) for chunk in documents.chunks]
    return Words(lexicon, chunks, bm25f_statistics(chunks, settings.bm25f))


def chunk_terms(lexicon: KnownWords) -> Callable[[Mapping[str, str]], dict[str, list[str]]]:
    """Return the function that gives the terms of a chunk by field; those that the chunk before has too are shared."""
    language = lexicon.language
    stems = cache(Stems(language))
    read: dict[tuple[str, str], list[str]] = {}

    def terms(fields: Mapping[str, str]) -> dict[str, list[str]]:
        nonlocal read
        before = read
        read = {
            (name, text): before[name, text]
            if (name, text) in before
            else [
                stems(form) for form in (_repaired(text, lexicon) if name == "examples" else tokenize(text, language))
            ]
            for name, text in fields.items()
        }
        return {name: found for (name, _), found in read.items()}

    return terms


def content_terms(lexicon: KnownWords, stems: Stems) -> Callable[[str], list[str]]:
    """Return the function that turns an example question into terms: slips repaired, question words dropped."""

    def terms(text: str) -> list[str]:
        return [stems(form) for form in _repaired(text, lexicon) if not is_question_word(form, lexicon.language)]

    return terms


def chunk_weights(
    chunks: Sequence[Mapping[str, Sequence[str]]], settings: CompileSettings, statistics: Bm25fStatistics
) -> ChunkWeights:
    """Return chunks, weights and field numbers of every term in ``chunks``, which may be a part of the whole.

    Raises
    ------
    OverflowError
        If a weight is 65,536 or more, which the settings do not let it be.
    """
    found: dict[str, tuple[array[int], array[int], bytearray]] = {}
    place = {name: number for number, name in enumerate(FIELDS)}
    points = settings.chunk_points
    for term, (chunk, weight, field) in bm25f_weights(chunks, settings.bm25f, statistics):
        if term not in found:
            found[term] = array("I"), array("H"), bytearray()
        chunks_of, weights, fields = found[term]
        chunks_of.append(chunk)
        weights.append(round(points * weight))
        fields.append(place[field])
    return {term: (chunks_of, weights, bytes(fields)) for term, (chunks_of, weights, fields) in found.items()}


def term_masses(statistics: Bm25fStatistics) -> dict[str, int]:
    """Return the idf of every term in thousandths."""
    return {term: round(1000 * idf(statistics.count, count)) for term, count in statistics.frequency.items()}


def _repaired(text: str, lexicon: KnownWords) -> list[str]:
    return [
        form if lexicon.known(form) else (lexicon.near(form) or [form])[0] for form in tokenize(text, lexicon.language)
    ]
