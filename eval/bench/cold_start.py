"""Cold start: a new process from question to answer, beside bare processes that do the same work another way.

Each way is run as a process of its own, in turn, and the median of the runs is printed with its ratio to the bare
SQLite FTS5 process. All of them see the same chunks. Run it from the repository: ``python eval/bench/cold_start.py``.
"""

from __future__ import annotations

import argparse
import json
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from assistant.cli.common import say
from assistant.compiling.fresh import fresh_pack
from assistant.evaluation.texts import texts_of_corpus, texts_of_pack
from assistant.notes.corpus import read_corpus
from assistant.pack.places import find_places

QUESTION = "controller stick cap broken?"

BARE = "pass"
FTS5 = """
import sqlite3, re, sys
db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
words = " OR ".join('"' + w + '"' for w in re.findall(r"\\w+", sys.argv[2].lower()))
print(db.execute("SELECT note FROM chunk WHERE chunk MATCH ? ORDER BY bm25(chunk) LIMIT 5", (words,)).fetchall())
"""
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


def main() -> None:
    """Measure and print one line a way."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=20)
    runs = parser.parse_args().runs
    places = find_places()
    with fresh_pack(places, say) as pack, tempfile.TemporaryDirectory() as folder:
        chunks = texts_of_corpus(read_corpus(places.corpus)) if places.corpus else texts_of_pack(pack)
        texts = Path(folder, "chunks.json")
        texts.write_text(json.dumps(chunks), "utf-8")
        full_text = Path(folder, "fts.db")
        db = sqlite3.connect(full_text)
        db.execute("CREATE VIRTUAL TABLE chunk USING fts5(note UNINDEXED, content, tokenize = 'porter')")
        db.executemany("INSERT INTO chunk VALUES (?, ?)", chunks)
        db.commit()
        db.close()
        python = sys.executable
        ways = {
            "bare Python": [python, "-c", BARE],
            "bare process, SQLite FTS5 bm25()": [python, "-c", FTS5, str(full_text), QUESTION],
            "assistant ask": [str(Path(python).with_name("assistant")), "ask", QUESTION],
            "rank_bm25 process": [python, "-c", RANK_BM25, str(texts), QUESTION],
            "scikit-learn process": [python, "-c", SKLEARN, str(texts), QUESTION],
        }
        times: dict[str, list[float]] = {name: [] for name in ways}
        for _ in range(runs):
            for name, command in ways.items():
                start = time.perf_counter()
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
                times[name].append(1000 * (time.perf_counter() - start))
    peer = statistics.median(times["bare process, SQLite FTS5 bm25()"])
    print(f"median of {runs} cold processes, {len(chunks)} chunks; ratio to the bare FTS5 process")
    for name, values in times.items():
        median = statistics.median(values)
        print(f"{name:<34} {median:8.1f} ms  x {median / peer:.2f}")


if __name__ == "__main__":
    main()
