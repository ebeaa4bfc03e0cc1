"""Open test collections in the three-file layout of BEIR: corpus.jsonl, queries.jsonl, qrels/NAME.tsv."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.compiling.compiler import write_pack
from assistant.compiling.settings import CompileSettings
from assistant.errors import Fault, NotesError
from assistant.evaluation.jsonl import json_object
from assistant.notes.text import regular
from assistant.ranking.chunks import Chunk
from assistant.ranking.documents import Documents

__all__ = ["Collection", "collection_chunks", "compile_collection", "read_collection"]


@dataclass(frozen=True, slots=True)
class Collection:
    """Documents as (title, text) by id, questions by id, judgements by question and document."""

    documents: dict[str, tuple[str, str]]
    questions: dict[str, str]
    qrels: dict[str, dict[str, int]]


def read_collection(folder: Path) -> Collection:
    """Read a folder; the first qrels file by name is used, ``test.tsv`` before others.

    Raises
    ------
    NotesError
        With file and line of what cannot be read.
    """
    documents = {}
    for line, record in _json_lines(folder / "corpus.jsonl"):
        documents[_text(record, "_id", folder / "corpus.jsonl", line)] = (
            str(record.get("title") or ""),
            str(record.get("text") or ""),
        )
    if not documents:
        raise NotesError([Fault(str(folder / "corpus.jsonl"), 1, "no document")])
    questions = {
        _text(record, "_id", folder / "queries.jsonl", line): _text(record, "text", folder / "queries.jsonl", line)
        for line, record in _json_lines(folder / "queries.jsonl")
    }
    files = sorted((folder / "qrels").glob("*.tsv"), key=lambda path: (path.name != "test.tsv", path.name))
    if not files:
        raise NotesError([Fault(str(folder / "qrels"), 1, "no judgements: a file NAME.tsv is needed")])
    qrels: dict[str, dict[str, int]] = {}
    try:
        with regular(files[0]).open(encoding="utf-8", newline="") as stream:
            for line, row in enumerate(csv.reader(stream, delimiter="\t"), start=1):
                if line == 1 and row[:1] == ["query-id"]:
                    continue
                if len(row) != 3 or not row[2].lstrip("-").isdigit():
                    raise NotesError([Fault(str(files[0]), line, "needs query-id, corpus-id and a whole number")])
                if row[0] in questions:
                    qrels.setdefault(row[0], {})[row[1]] = int(row[2])
    except (OSError, UnicodeDecodeError) as error:
        raise NotesError([Fault(str(files[0]), 1, f"cannot be read: {error}")]) from error
    relevant = {query: judged for query, judged in qrels.items() if any(grade > 0 for grade in judged.values())}
    if not relevant:
        raise NotesError([Fault(str(files[0]), 1, "no judged question of this collection")])
    return Collection(documents, questions, relevant)


def collection_chunks(collection: Collection) -> tuple[Chunk, ...]:
    """Return the documents as chunks of title and text."""
    return tuple(
        Chunk(document, "document", {"title": title, "condition": text})
        for document, (title, text) in sorted(collection.documents.items())
    )


def compile_collection(collection: Collection, settings: CompileSettings, path: Path) -> None:
    """Compile the documents by the code that compiles notes; a document is one chunk of title and text."""
    ids = tuple(sorted(collection.documents))
    write_pack(
        Documents(ids, collection_chunks(collection)),
        settings,
        path,
        manifest={"corpus": "collection", "notes": str(len(ids))},
    )


def _json_lines(path: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    try:
        with regular(path).open(encoding="utf-8") as stream:
            for line, content in enumerate(stream, start=1):
                record = json_object(content)
                if record is None:
                    raise NotesError([Fault(str(path), line, "not a JSON object")])
                yield line, record
    except (OSError, UnicodeDecodeError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error}")]) from error


def _text(record: dict[str, Any], name: str, path: Path, line: int) -> str:
    value = record.get(name)
    if not isinstance(value, str):
        raise NotesError([Fault(str(path), line, f"'{name}' must be text")])
    return value
