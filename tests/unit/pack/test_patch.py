"""One changed note in a compiled pack: the same as compiling all notes anew, as far as the note alone goes."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from assistant.answering.retrieve import Retriever
from assistant.errors import PackError
from assistant.model import Corpus, Example, Note
from assistant.notes.corpus import read_corpus
from assistant.compiling.compiler import compile_corpus
from assistant.pack.format import unpack_numbers
from assistant.compiling.patch import PatchedPack
from assistant.pack.reader import Pack
from tests.making import plain_settings


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


@pytest.fixture
def patched(corpus: Corpus, tmp_path: Path) -> PatchedPack:
    return PatchedPack(corpus, plain_settings(), tmp_path / "patched.pack")


def note_of(corpus: Corpus, id: str) -> Note:
    return next(note for note in corpus.notes if note.id == id)


def rows(path: Path, table: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall()


def weights(path: Path) -> Iterator[tuple[str, int, list[int], list[int], list[int]]]:
    """Yield the rows of all terms; of the example questions, whose numbers move, the weights alone."""
    for term, mass, chunks, learned, examples in rows(path, "term"):
        if chunks or learned or examples:
            yield (
                term,
                mass,
                list(unpack_numbers(chunks)),
                list(unpack_numbers(learned)),
                sorted(unpack_numbers(examples)[1::2]),
            )


def test_a_note_that_did_not_change_leaves_every_weight(corpus: Corpus, patched: PatchedPack, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh.pack"
    compile_corpus(corpus, plain_settings(), fresh)
    for note in corpus.notes:
        patched.replace(note)
    assert list(weights(patched.path)) == list(weights(fresh))
    for table in ("note", "chunk", "step", "form"):
        assert rows(patched.path, table) == rows(fresh, table)


def test_what_was_changed_and_changed_back_leaves_every_weight(
    corpus: Corpus, patched: PatchedPack, tmp_path: Path
) -> None:
    before = list(weights(patched.path))
    note = note_of(corpus, "pad-stick-cap")
    patched.replace(note._replace(title="Kickplate dented", examples=(Example("the kickplate is dented"),)))
    assert list(weights(patched.path)) != before
    patched.replace(note)
    kept = [row for row in weights(patched.path) if any(row[2:])]
    assert kept == before


def test_a_changed_note_is_ranked_as_in_a_pack_compiled_anew(
    corpus: Corpus, patched: PatchedPack, tmp_path: Path
) -> None:
    old = note_of(corpus, "disc-clean")
    new = old._replace(
        condition=f"{old.condition} The kickplate is sticky with syrup.",
        examples=(*old.examples, Example("syrup all over the kickplate"), Example("kickplate is sticky")),
    )
    own = patched.replace(new)
    anew = tmp_path / "anew.pack"
    notes = tuple(new if note.id == new.id else note for note in corpus.notes)
    compile_corpus(corpus._replace(notes=notes), plain_settings(), anew)
    assert "kickplat" in own
    for question in (
        "kickplate sticky",
        "stick cap torn",
        "swollen battery",
        "no picture",
        "disc dirty",
        "frayed lead",
    ):
        orders = []
        for path in (patched.path, anew):
            with Pack(path) as pack:
                orders.append([pack.note_ids[n] for n in Retriever(pack)(question).scores.order[:3]])
        assert orders[0][:1] == orders[1][:1], question
    with Pack(patched.path) as pack:
        retrieval = Retriever(pack)("sticky kickplate")
        assert pack.note_ids[retrieval.scores.order[0]] == "disc-clean"
        assert retrieval.query.repaired == ()
        assert pack.note("disc-clean") == new


def test_the_rows_of_a_note_are_those_in_the_pack(corpus: Corpus, patched: PatchedPack) -> None:
    note = note_of(corpus, "power-strip-dead")
    own = patched.replace(note._replace(title="Strip of outlets is dead as a stone"))
    with Pack(patched.path) as pack:
        number = pack.note_ids.index(note.id)
        for term, row in pack.term_rows(own).items():
            assert [c for c in row.chunks if pack.chunk_note[c[0]] == number] == sorted(own[term].chunks)
            assert [pair for pair in row.learned if pair[0] == number] == list(own[term].learned)
            assert row.mass == own[term].mass


def test_a_pack_that_cannot_be_written_is_told(corpus: Corpus, patched: PatchedPack) -> None:
    patched.path.unlink()
    patched.path.mkdir()
    with pytest.raises(PackError, match="cannot be written"):
        patched.replace(corpus.notes[0])
