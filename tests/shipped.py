"""The notes as they ship, read once in each process."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from assistant.model import Corpus
from assistant.notes.corpus import read_corpus

CORPUS = Path(__file__).resolve().parents[1] / "corpus"


@cache
def shipped_corpus() -> Corpus:
    """Return all that the shipped folder of notes holds."""
    return read_corpus(CORPUS)
