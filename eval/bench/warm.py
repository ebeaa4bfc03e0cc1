"""Warm ranking: the first five of all chunks in a process that has everything open, beside the rankings of others."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from assistant.analysis.analyzer import Stems
from assistant.analysis.tokens import tokenize
from assistant.answering.assistant import Assistant
from assistant.answering.retrieve import Retriever
from assistant.compiling.settings import default_settings
from assistant.evaluation.collection import Collection, collection_chunks, compile_collection
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from assistant.ranking.documents import Documents, documents_of
from eval.bench.figures import Figure, Skipped
from eval.bench.ground import Ground
from eval.bench.rankings import FIRST, PEERS, Rank
from eval.bench.whole_sum import WholeSum
from eval.bench.zipf import documents, terms_of

__all__ = ["warm"]

OURS, PEER = "assistant, read and rank", "SQLite FTS5"
T = TypeVar("T")
SLOW = {"rank_bm25": 2_000_000}
"""Ways that read every chunk at each question are asked so many chunks in all, at least five times."""


def warm(ground: Ground) -> Iterator[Figure | Skipped]:
    """Yield what one question costs in an open process, on the notes and on collections of made-up documents."""
    asked = list(ground.questions[: ground.sizes.questions])
    corpus = read_corpus(ground.corpus)
    yield from _warm(ground, "notes", ground.pack, documents_of(corpus), [text for _, text in ground.texts], asked)
    for count in ground.sizes.chunks:
        texts = documents(count)
        collection = Collection({f"d{n:07}": ("", text) for n, text in enumerate(texts)}, {}, {})
        path = ground.work / f"chunks-{count}.pack"
        seconds, _ = _timed(lambda: compile_collection(collection, default_settings(), path))  # noqa: B023
        yield Figure("warm", "building, made-up chunks", OURS, "CPU s", (seconds,), PEER, count)
        whole = Documents(tuple(sorted(collection.documents)), collection_chunks(collection))
        questions = terms_of(texts, ground.sizes.questions)
        yield from _warm(ground, "made-up chunks", path, whole, texts, questions)


def _warm(
    ground: Ground, name: str, path: Path, whole: Documents, texts: Sequence[str], questions: Sequence[str]
) -> Iterator[Figure | Skipped]:
    size = len(texts)
    stems = Stems()
    chunks = [[stems(form) for form in tokenize(text)] for text in texts]
    peers: dict[str, Rank] = {}
    for peer, build in PEERS.items():
        print(f"  {size} chunks: {peer}", file=sys.stderr)
        try:
            seconds, peers[peer] = _timed(lambda: build(chunks, ground.work))  # noqa: B023
        except ImportError as error:
            why = f"the package '{error.name}' is not installed: pip install 'station-assistant[bench]'"
            yield Skipped("warm", f"{peer}, {size} chunks of {name}", why)
        else:
            yield Figure("warm", f"building, {name}", peer, "CPU s", (seconds,), PEER, size)
    with Pack(path) as pack:
        retriever = Retriever(pack)
        ways: dict[str, Callable[[str], object]] = {OURS: retriever}
        if pack.harm:
            ways["assistant, whole answer"] = Assistant(pack).ask
        for peer, rank in peers.items():
            ways[peer] = _of_terms(rank, stems)
        for way, values in _asked(ways, questions, size).items():
            yield Figure("warm", f"one question, {name}", way, "CPU ms", tuple(values), PEER, size)
        print(f"  {size} chunks: the sum of all", file=sys.stderr)
        total = WholeSum(whole, default_settings(), [retriever(question) for question in questions])
        same = sum(
            total.first(found, pack.decision["bm25f_share"], FIRST) == list(found.scores.order[:FIRST])
            for found in total.asked
        )
    yield Figure(
        "warm", f"first five as by the sum of all, {name}", OURS, "share", (same / len(questions),), OURS, size
    )


def _asked(ways: Mapping[str, Callable[[str], object]], questions: Sequence[str], size: int) -> dict[str, list[float]]:
    """Return for each way the CPU milliseconds of each question; ways take turns, after one question that warms up."""
    most = {way: max(5, SLOW[way] // size) if way in SLOW else len(questions) for way in ways}
    found: dict[str, list[float]] = {way: [] for way in ways}
    for way in ways.values():
        way(questions[0])
    for number, question in enumerate(questions[1:] or questions):
        for name, way in ways.items():
            if number < most[name]:
                seconds, _ = _timed(lambda: way(question))  # noqa: B023
                found[name].append(1000 * seconds)
    return found


def _of_terms(rank: Rank, stems: Stems) -> Callable[[str], object]:
    return lambda question: rank(list(dict.fromkeys(stems(form) for form in tokenize(question))))


def _timed(work: Callable[[], T]) -> tuple[float, T]:
    """Return the seconds of processor that work takes in this process, and what it returns."""
    began = time.process_time()
    done = work()
    return time.process_time() - began, done
