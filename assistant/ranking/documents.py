"""What is indexed: chunks of documents, whether they come from notes or from a collection."""

from __future__ import annotations

from typing import NamedTuple

from assistant.languages import DEFAULT
from assistant.model import Alarm, Corpus, Vocabulary
from assistant.ranking.chunks import Chunk, chunk_note

__all__ = ["Documents", "documents_of"]


class Documents(NamedTuple):
    """Texts to index; ``ids`` are sorted. ``alarms`` and ``vocabulary`` add words that are trusted.

    ``language`` is the code of that of the texts.
    """

    ids: tuple[str, ...]
    chunks: tuple[Chunk, ...]
    alarms: tuple[Alarm, ...] = ()
    vocabulary: Vocabulary = Vocabulary()
    language: str = DEFAULT


def documents_of(corpus: Corpus) -> Documents:
    """Return what is indexed of a corpus of notes."""
    return Documents(
        tuple(note.id for note in corpus.notes),
        tuple(chunk for note in corpus.notes for chunk in chunk_note(note)),
        corpus.alarms,
        corpus.vocabulary,
        corpus.trade.language,
    )
