"""Score a collection with our ranking and the three baselines, and say the figures in words."""

from __future__ import annotations

from pathlib import Path

from assistant.evaluation.collection import Collection, compile_collection
from assistant.evaluation.compare import Comparison, compare
from assistant.evaluation.report import comparison_lines
from assistant.pack.reader import Pack
from assistant.compiling.settings import default_settings


def ranked(collection: Collection, folder: Path, measures: tuple[str, ...]) -> Comparison:
    """Compile the collection with the settings that ship and rank every judged question four ways."""
    path = folder / "collection.pack"
    compile_collection(collection, default_settings(), path)
    with Pack(path) as pack:
        return compare(pack, collection.questions, collection.qrels, measures, depth=1000)


def figures(comparison: Comparison) -> str:
    """Return the rankings side by side, for the message of an assertion."""
    return "\n" + "\n".join(comparison_lines(comparison))
