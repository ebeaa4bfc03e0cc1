"""The rankings of others that ours is held against in one process, over the same chunks as lists of terms."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

__all__ = ["FIRST", "PEERS", "RANK_FTS5", "Rank", "full_text_of"]

Rank = Callable[[Sequence[str]], list[int]]
"""Terms of a question -> numbers of the first five chunks."""
FIRST = 5
RANK_FTS5 = """
import sqlite3, re, sys
db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
sql = "SELECT rowid FROM chunk WHERE chunk MATCH ? ORDER BY bm25(chunk) LIMIT " + sys.argv[3]
for line in open(sys.argv[2], encoding="utf-8"):
    words = " OR ".join('"' + w + '"' for w in re.findall(r"\\w+", line.lower()))
    print(db.execute(sql, (words,)).fetchall() if words else [])
"""
"""Arguments: index, file with a question a line, how many chunks are to be found."""


def full_text_of(work: Path, size: int) -> Path:
    """Return where the index of SQLite FTS5 over so many chunks lies."""
    return work / f"warm-{size}.fts"


def _fts5(chunks: Sequence[Sequence[str]], work: Path) -> Rank:
    path = full_text_of(work, len(chunks))
    path.unlink(missing_ok=True)
    db = sqlite3.connect(path)
    db.execute("CREATE VIRTUAL TABLE chunk USING fts5(content)")
    db.executemany(
        "INSERT INTO chunk (rowid, content) VALUES (?, ?)", ((n, " ".join(terms)) for n, terms in enumerate(chunks))
    )
    db.commit()
    sql = f"SELECT rowid FROM chunk WHERE chunk MATCH ? ORDER BY bm25(chunk) LIMIT {FIRST}"

    def rank(terms: Sequence[str]) -> list[int]:
        return [row[0] for row in db.execute(sql, (" OR ".join(f'"{term}"' for term in terms),))]

    return rank


def _rank_bm25(chunks: Sequence[Sequence[str]], work: Path) -> Rank:
    from rank_bm25 import BM25Okapi

    model = BM25Okapi(chunks)

    def rank(terms: Sequence[str]) -> list[int]:
        order = np.argsort(model.get_scores(terms))[::-1][:FIRST]
        return [int(number) for number in order]

    return rank


def _bm25s(backend: str) -> Callable[[Sequence[Sequence[str]], Path], Rank]:
    def build(chunks: Sequence[Sequence[str]], work: Path) -> Rank:
        import bm25s

        if backend == "numba":
            import numba  # noqa: F401 - bm25s goes on without it and says nothing
        model = bm25s.BM25(backend=backend)
        model.index(chunks, show_progress=False)
        most = min(FIRST, len(chunks))

        def rank(terms: Sequence[str]) -> list[int]:
            found, _ = model.retrieve([list(terms)], k=most, show_progress=False)
            return [int(number) for number in found[0]]

        return rank

    return build


def _tantivy(chunks: Sequence[Sequence[str]], work: Path) -> Rank:
    import tantivy

    schema = (
        tantivy.SchemaBuilder()
        .add_text_field("content", tokenizer_name="whitespace", index_option="freq")
        .add_unsigned_field("number", stored=True)
        .build()
    )
    index = tantivy.Index(schema)
    writer = index.writer(num_threads=1)
    for number, terms in enumerate(chunks):
        writer.add_document(tantivy.Document(content=" ".join(terms), number=number))
    writer.commit()
    writer.wait_merging_threads()
    index.reload()
    searcher = index.searcher()

    def rank(terms: Sequence[str]) -> list[int]:
        parts = [(tantivy.Occur.Should, tantivy.Query.term_query(schema, "content", term)) for term in terms]
        hits = searcher.search(tantivy.Query.boolean_query(parts), FIRST).hits
        return [searcher.doc(address)["number"][0] for _, address in hits]

    return rank


PEERS: dict[str, Callable[[Sequence[Sequence[str]], Path], Rank]] = {
    "SQLite FTS5": _fts5,
    "rank_bm25": _rank_bm25,
    "bm25s, numpy": _bm25s("numpy"),
    "bm25s, numba": _bm25s("numba"),
    "tantivy": _tantivy,
}
"""Builders by name; one whose package is absent raises ImportError."""
