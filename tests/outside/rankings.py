"""Score a collection with our ranking and the three baselines, and say the figures in words."""

from __future__ import annotations

from pathlib import Path

from assistant.compiling.settings import default_settings
from assistant.evaluation.collection import Collection, collection_chunks, compile_collection
from assistant.evaluation.compare import Comparison, compare
from assistant.evaluation.report import comparison_lines
from assistant.evaluation.texts import texts_of_chunks
from assistant.pack.reader import Pack


def ranked(collection: Collection, folder: Path, measures: tuple[str, ...]) -> Comparison:
    """Compile the collection with the settings that ship and rank every judged question four ways."""
    path = folder / "collection.pack"
    compile_collection(collection, default_settings(), path)
    with Pack(path) as pack:
        texts = texts_of_chunks(collection_chunks(collection))
        return compare(pack, collection.questions, collection.qrels, measures, texts=texts, depth=1000)


def figures(comparison: Comparison) -> str:
    """Return the rankings side by side, for the message of an assertion."""
    return "\n" + "\n".join(comparison_lines(comparison))
