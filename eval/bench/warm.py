"""Warm ranking: the first five of all chunks in a process that has everything open, beside the rankings of others."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
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
from eval.bench.measure import PYTHON, cost_of
from eval.bench.rankings import FIRST, PEERS, RANK_FTS5, Rank, full_text_of
from eval.bench.whole_sum import WholeSum, first_of_all
from eval.bench.zipf import documents, terms_of

__all__ = ["warm"]

OURS, PEER = "assistant, read and rank", "SQLite FTS5"
T = TypeVar("T")
SLOW = {"rank_bm25": 2_000_000, PEER: 40_000_000}
"""Ways that read very many chunks at each question are asked so many chunks in all, at least five times."""
LARGEST = {"rank_bm25": 100_000, "bm25s, numba": 100_000}
"""More chunks are left out: they fill the memory, or differ from another way in their start alone."""
OF_NOTES, OTHERS = 100, 1000
"""Questions of the notes that are measured, and so many others that were asked before once more new ones are."""
_WEIGHED_ANEW = 100_000
"""Of more chunks the sums are those of what the pack holds: to weigh all anew takes longer than all else."""
_RANK = """
import sys
from assistant.answering.retrieve import Retriever
from assistant.pack.reader import Pack
with Pack(sys.argv[1]) as pack:
    rank = Retriever(pack, int(sys.argv[3]))
    for line in open(sys.argv[2], encoding="utf-8"):
        print(list(rank(line).scores.order[: int(sys.argv[3])]))
"""
"""Arguments: pack, file with a question a line, how many chunks are to be found."""


def warm(ground: Ground) -> Iterator[Figure | Skipped]:
    """Yield what one question costs in an open process, on the notes and on collections of made-up documents."""
    count = min(OF_NOTES, ground.sizes.questions)
    asked, new = ground.questions[:count], ground.questions[-count:]
    corpus = read_corpus(ground.corpus)
    others = ground.questions[count:-count][: min(OTHERS, 10 * count)]
    texts = [text for _, text in ground.texts]
    yield from _warm(ground, "notes", ground.pack, documents_of(corpus), texts, asked, (others, new))
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
    ground: Ground,
    name: str,
    path: Path,
    whole: Documents,
    texts: Sequence[str],
    questions: Sequence[str],
    later: tuple[Sequence[str], Sequence[str]] = ((), ()),
) -> Iterator[Figure | Skipped]:
    size = len(texts)
    stems = cache(Stems())
    chunks = [[stems(form) for form in tokenize(text)] for text in texts]
    peers: dict[str, Rank] = {}
    for peer, build in PEERS.items():
        if size > LARGEST.get(peer, size):
            yield Skipped("warm", f"{peer}, {size} chunks of {name}", f"asked of {LARGEST[peer]} chunks at most")
            continue
        print(f"  {size} chunks: {peer}", file=sys.stderr)
        try:
            seconds, peers[peer] = _timed(lambda: build(chunks, ground.work))  # noqa: B023
        except ImportError as error:
            why = f"the package '{error.name}' is not installed: pip install 'station-assistant[bench]'"
            yield Skipped("warm", f"{peer}, {size} chunks of {name}", why)
        else:
            yield Figure("warm", f"building, {name}", peer, "CPU s", (seconds,), PEER, size)
    with Pack(path) as pack:
        retriever = Retriever(pack, FIRST)
        ways: dict[str, Callable[[str], object]] = {OURS: retriever}
        if pack.harm:
            ways["assistant, whole answer"] = Assistant(pack).ask
        for peer, rank in peers.items():
            ways[peer] = _of_terms(rank, stems)
        for way, values in _asked(ways, questions, size).items():
            yield Figure("warm", f"one question, {name}", way, "CPU ms", tuple(values), PEER, size)
        others, new = later
        if others and new:
            for way, values in _asked(ways, new, size, others).items():
                case = f"one question after {len(others)} others, {name}"
                yield Figure("warm", case, way, "CPU ms", tuple(values), PEER, size)
        print(f"  {size} chunks: the sum of all", file=sys.stderr)
        asked = [retriever(question) for question in questions]
        if size > _WEIGHED_ANEW:
            firsts = [first_of_all(found, size, FIRST) for found in asked]
        else:
            total = WholeSum(whole, default_settings(), asked)
            firsts = [total.first(found, pack.decision["bm25f_share"], FIRST) for found in asked]
        same = sum(first == list(found.scores.order[:FIRST]) for first, found in zip(firsts, asked, strict=True))
    yield Figure(
        "warm", f"first five as by the sum of all, {name}", OURS, "share", (same / len(questions),), OURS, size
    )
    lines = ground.work / "asked.txt"
    lines.write_text("".join(f"{' '.join(question.split())}\n" for question in questions[1:]), "utf-8")
    for way, script, index in ((OURS, _RANK, path), (PEER, RANK_FTS5, full_text_of(ground.work, size))):
        cost = cost_of([PYTHON, "-c", script, str(index), str(lines), str(FIRST)])
        case = f"a process that answers {len(questions) - 1} questions, {name}"
        yield Figure("warm", case, way, "peak MB", (cost.peak,), PEER, size)


def _asked(
    ways: Mapping[str, Callable[[str], object]], questions: Sequence[str], size: int, before: Sequence[str] = ()
) -> dict[str, list[float]]:
    """Return for each way the CPU milliseconds of each question.

    Ways take turns, after the questions that come before, and one more that warms up.
    """
    most = {way: max(5, SLOW[way] // size) if way in SLOW else len(questions) for way in ways}
    found: dict[str, list[float]] = {way: [] for way in ways}
    for way in ways.values():
        for question in (*before, questions[0]):
            way(question)
    for number, question in enumerate(questions[1:] or questions):
        for name, way in ways.items():
            if number < most[name]:
                seconds, _ = _timed(lambda: way(question))  # noqa: B023
                found[name].append(1000 * seconds)
    return found


def _of_terms(rank: Rank, stems: Callable[[str], str]) -> Callable[[str], object]:
    """Return what ranks the terms of a question; of a question without any nothing is asked."""

    def ranked(question: str) -> object:
        terms = list(dict.fromkeys(stems(form) for form in tokenize(question)))
        return rank(terms) if terms else []

    return ranked


def _timed(work: Callable[[], T]) -> tuple[float, T]:
    """Return the seconds of processor that work takes in this process, and what it returns."""
    began = time.process_time()
    done = work()
    return time.process_time() - began, done
