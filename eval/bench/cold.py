"""Cold start: a new process from question to answer, beside processes that do the same work another way."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from assistant.journal.records import Question
from assistant.journal.store import Journal
from eval.bench.figures import Figure
from eval.bench.full_text import ANSWER, FTS5, write_full_text
from eval.bench.ground import Ground
from eval.bench.measure import ASSISTANT, PYTHON, cost_of, costs, environment, in_turn

__all__ = ["cold", "journal_of"]

QUESTION = "controller stick cap broken?"
SLIPS = "contoller stik cap borken?"
RANK_BM25 = """
import json, re, sys
from rank_bm25 import BM25Okapi
chunks = json.load(open(sys.argv[1]))
model = BM25Okapi([re.findall(r"\\w+", text.lower()) for _, text in chunks])
scores = model.get_scores(re.findall(r"\\w+", sys.argv[2].lower()))
print(sorted(zip(scores, (note for note, _ in chunks)), reverse=True)[:5])
"""
SKLEARN = """
import json, sys
from sklearn.feature_extraction.text import TfidfVectorizer
chunks = json.load(open(sys.argv[1]))
vectorizer = TfidfVectorizer(sublinear_tf=True)
matrix = vectorizer.fit_transform(text for _, text in chunks)
scores = (matrix @ vectorizer.transform([sys.argv[2]]).T).toarray().ravel()
print(sorted(zip(scores, (note for note, _ in chunks)), reverse=True)[:5])
"""
_AT_ONCE = 10_000


def cold(ground: Ground) -> Iterator[Figure]:
    """Yield what one question costs from nothing, by way."""
    texts = ground.work / "chunks.json"
    texts.write_text(json.dumps(ground.texts), "utf-8")
    index = ground.work / "cold.fts"
    write_full_text(index, ground.texts)
    pack, notes = ["--pack", str(ground.pack)], ["--corpus", str(ground.corpus)]
    ways = {
        "bare Python": [PYTHON, "-c", "pass"],
        FTS5: [PYTHON, "-c", ANSWER, str(index), QUESTION],
        "assistant ask, pack alone": [ASSISTANT, *pack, *ground.home("plain"), "ask", QUESTION],
        "assistant ask, three slips": [ASSISTANT, *pack, *ground.home("plain"), "ask", SLIPS],
        "assistant ask, nothing recorded": [ASSISTANT, *pack, *ground.home("plain"), "ask", "--no-record", QUESTION],
        "assistant ask, beside the notes": [ASSISTANT, *pack, *notes, *ground.home("plain"), "ask", QUESTION],
    }
    for kept in ground.sizes.journals:
        home = ground.home(f"journal-{kept}")
        journal_of(Path(home[1]), kept)
        ways[f"assistant ask, journal of {kept} questions"] = [ASSISTANT, *pack, *home, "ask", QUESTION]
    ways |= {
        "rank_bm25 process": [PYTHON, "-c", RANK_BM25, str(texts), QUESTION],
        "scikit-learn process": [PYTHON, "-c", SKLEARN, str(texts), QUESTION],
    }
    calls = {way: partial(cost_of, command, env=environment(), cwd=ground.work) for way, command in ways.items()}
    in_turn(calls, 1)
    yield from costs("cold", "one question in a new process", in_turn(calls, ground.runs), FTS5)


def journal_of(home: Path, count: int) -> None:
    """Write a journal of so many questions into a home folder."""
    home.mkdir(parents=True)
    with Journal(home / "journal.db") as journal:
        for first in range(0, count, _AT_ONCE):
            journal.add_all(
                [
                    Question(f"stick cap {n} is torn", "answer", "procedure", "pad-stick-cap", read_as="stick cap torn")
                    for n in range(first, min(first + _AT_ONCE, count))
                ]
            )
