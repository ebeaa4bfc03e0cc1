"""The peer that needs nothing but Python: SQLite's FTS5, as a library and as processes of their own."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

__all__ = ["ANSWER", "ANSWER_LINES", "FTS5", "INDEX_FOLDER", "write_full_text"]

FTS5 = "bare process, SQLite FTS5 bm25()"

ANSWER = """
import sqlite3, re, sys
db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
words = " OR ".join('"' + w + '"' for w in re.findall(r"\\w+", sys.argv[2].lower()))
print(db.execute("SELECT note FROM chunk WHERE chunk MATCH ? ORDER BY bm25(chunk) LIMIT 5", (words,)).fetchall())
"""
"""Arguments: index, question."""

ANSWER_LINES = """
import json, sqlite3, re, sys
db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
for line in open(sys.argv[2], encoding="utf-8"):
    record = json.loads(line)
    words = " OR ".join('"' + w + '"' for w in re.findall(r"\\w+", record["question"].lower()))
    found = db.execute("SELECT note FROM chunk WHERE chunk MATCH ? ORDER BY bm25(chunk) LIMIT 5", (words,)).fetchall()
    print(json.dumps({"id": record["id"], "notes": found}), flush=True)
"""
"""Arguments: index, file of JSON lines."""

INDEX_FOLDER = """
import sqlite3, sys
from pathlib import Path
db = sqlite3.connect(sys.argv[2])
db.execute("CREATE VIRTUAL TABLE chunk USING fts5(note UNINDEXED, content, tokenize = 'porter')")
files = sorted(path for path in Path(sys.argv[1]).rglob("*") if path.is_file())
db.executemany("INSERT INTO chunk VALUES (?, ?)", ((path.stem, path.read_text("utf-8")) for path in files))
db.commit()
"""
"""Arguments: folder of notes, index to be written. Every file is read and indexed once, which is the least there is to
do."""


def write_full_text(path: Path, texts: Iterable[tuple[str, str]]) -> None:
    """Write an index of (note, text)."""
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE VIRTUAL TABLE chunk USING fts5(note UNINDEXED, content, tokenize = 'porter')")
        db.executemany("INSERT INTO chunk VALUES (?, ?)", texts)
        db.commit()
