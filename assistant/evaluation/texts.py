"""The texts that baselines rank: every chunk of the notes, with phrases and examples where they are at hand."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.model import Corpus, Note
from assistant.notes.corpus import read_released
from assistant.pack.reader import Pack
from assistant.ranking.chunks import Chunk, chunk_note

__all__ = ["Texts", "texts_of_chunks", "texts_of_corpus", "texts_of_folder", "texts_of_pack"]

Texts = list[tuple[str, str]]
"""(document id, text) of every chunk in order."""


def texts_of_corpus(corpus: Corpus) -> Texts:
    """Return what the notes' own ranking indexes."""
    return _texts(corpus.notes)


def texts_of_folder(corpus: Path | None) -> Texts | None:
    """Return those of the notes in a folder; None where only a pack is at hand."""
    return texts_of_corpus(read_released(corpus)) if corpus else None


def texts_of_pack(pack: Pack) -> Texts:
    """Return the same from a pack alone, which holds neither phrases nor example questions."""
    return _texts(note for note_id in pack.note_ids if (note := pack.note(note_id)))


def texts_of_chunks(chunks: Iterable[Chunk]) -> Texts:
    """Return the texts of chunks."""
    return [(chunk.document, chunk.text) for chunk in chunks]


def _texts(notes: Iterable[Note]) -> Texts:
    return texts_of_chunks(chunk for note in notes for chunk in chunk_note(note))
