"""Many questions in one process, and in one process for each processor: questions a second and most memory."""

from __future__ import annotations

import json
import os
import random
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from eval.bench.figures import Figure
from eval.bench.full_text import ANSWER_LINES, FTS5, write_full_text
from eval.bench.ground import Ground
from eval.bench.measure import ASSISTANT, PYTHON, Cost, cost_of, in_turn

__all__ = ["batch", "lines_of"]

_SHORT = 10_000
"""Lines of a batch that is run more than once."""


def batch(ground: Ground) -> Iterator[Figure]:
    """Yield for each number of lines what all of them cost, start included."""
    index = ground.work / "batch.fts"
    write_full_text(index, ground.texts)
    answer = [ASSISTANT, "--pack", str(ground.pack), *ground.home("batch"), "ask", "--batch"]
    for count in ground.sizes.lines:
        lines = lines_of(ground.questions, count)
        every = os.cpu_count() or 1
        whole = _write(ground.work / f"lines-{count}.jsonl", lines)
        parts = [_write(ground.work / f"lines-{count}-{n}.jsonl", lines[n::every]) for n in range(every)]
        ways = {
            "assistant ask --batch, one process": partial(_together, [[*answer, str(whole)]]),
            f"assistant ask --batch, {every} processes": partial(_together, [[*answer, str(part)] for part in parts]),
            FTS5: partial(_together, [[PYTHON, "-c", ANSWER_LINES, str(index), str(whole)]]),
        }
        for way, costs in in_turn(ways, min(ground.runs, 3) if count <= _SHORT else 1).items():
            seconds = [cost.wall for cost in costs]
            case = f"{count} questions"
            yield Figure("batch", case, way, "questions a second", tuple(count / value for value in seconds), FTS5)
            yield Figure("batch", case, way, "peak MB", tuple(cost.peak for cost in costs), FTS5)
            yield Figure("batch", "questions", way, "CPU s", tuple(cost.cpu for cost in costs), FTS5, count)


def lines_of(questions: Sequence[str], count: int) -> list[str]:
    """Return so many lines of a batch: the questions, then new ones made of the words of two; none comes twice."""
    drawn = random.Random(7)  # noqa: S311
    texts = list(questions[:count])
    while len(texts) < count:
        words = f"{drawn.choice(questions)} {drawn.choice(questions)}".split()
        texts.append(" ".join(drawn.sample(words, (len(words) + 1) // 2)))
    return [json.dumps({"id": number, "question": text}) for number, text in enumerate(texts)]


def _write(path: Path, lines: Sequence[str]) -> Path:
    path.write_text("".join(f"{line}\n" for line in lines), "utf-8")
    return path


def _together(commands: Sequence[Sequence[str]]) -> Cost:
    """Run commands at the same time; their clock is that of all, processors and memory are added up."""
    began = time.perf_counter()
    with ThreadPoolExecutor(len(commands)) as pool:
        costs = list(pool.map(cost_of, commands))
    return Cost(time.perf_counter() - began, sum(cost.cpu for cost in costs), sum(cost.peak for cost in costs))
