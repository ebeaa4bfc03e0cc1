"""Open collections in the three-file layout: read, refused, compiled."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.compiling.settings import default_settings
from assistant.errors import NotesError
from assistant.evaluation.collection import Collection, collection_chunks, compile_collection, read_collection
from assistant.evaluation.compare import Ours
from assistant.evaluation.texts import texts_of_chunks
from assistant.pack.reader import Pack
from tests.unit.evaluation.making import write_lines

HEADER = "query-id\tcorpus-id\tscore"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound collection of two documents and three questions, one of them without a relevant document."""
    write_lines(
        tmp_path / "corpus.jsonl",
        {"_id": "d1", "title": "Torn cap", "text": "The cap of the stick is torn."},
        {"_id": "d2", "text": "The display is dark."},
    )
    write_lines(
        tmp_path / "queries.jsonl",
        {"_id": "1", "text": "dark display"},
        {"_id": "2", "text": "torn stick cap"},
        {"_id": "3", "text": "wet floor"},
    )
    (tmp_path / "qrels").mkdir()
    write_lines(tmp_path / "qrels" / "test.tsv", HEADER, "1\td2\t2", "1\td1\t0", "2\td1\t1", "3\td1\t-1", "9\td1\t1")
    return tmp_path


def fault(folder: Path) -> tuple[str, int, str]:
    """Return the one fault for which the folder is refused, its path within the folder."""
    with pytest.raises(NotesError) as caught:
        read_collection(folder)
    (found,) = caught.value.faults
    return Path(found.path).relative_to(folder).as_posix(), found.line, found.message


def test_a_sound_collection_is_read(folder: Path) -> None:
    found = read_collection(folder)
    assert found.documents == {"d1": ("Torn cap", "The cap of the stick is torn."), "d2": ("", "The display is dark.")}
    assert found.questions == {"1": "dark display", "2": "torn stick cap", "3": "wet floor"}
    assert found.qrels == {"1": {"d2": 2, "d1": 0}, "2": {"d1": 1}}


def test_judgements_need_no_header(folder: Path) -> None:
    write_lines(folder / "qrels" / "test.tsv", "2\td1\t1")
    assert read_collection(folder).qrels == {"2": {"d1": 1}}


def test_the_test_judgements_come_before_others_and_others_by_name(folder: Path) -> None:
    write_lines(folder / "qrels" / "dev.tsv", "1\td1\t1")
    write_lines(folder / "qrels" / "train.tsv", "2\td2\t1")
    assert set(read_collection(folder).qrels) == {"1", "2"}
    (folder / "qrels" / "test.tsv").unlink()
    assert read_collection(folder).qrels == {"1": {"d1": 1}}


@pytest.mark.parametrize(
    ("name", "line", "number", "message"),
    [
        ("corpus.jsonl", "{", 3, "not a JSON object"),
        ("corpus.jsonl", '["d3"]', 3, "not a JSON object"),
        ("corpus.jsonl", '{"_id": 3, "text": "x"}', 3, "'_id' must be text"),
        ("corpus.jsonl", '{"text": "x"}', 3, "'_id' must be text"),
        ("queries.jsonl", "dark", 4, "not a JSON object"),
        ("queries.jsonl", '{"_id": "4"}', 4, "'text' must be text"),
        ("queries.jsonl", '{"_id": null, "text": "x"}', 4, "'_id' must be text"),
        ("qrels/test.tsv", "1 d1 1", 7, "needs query-id, corpus-id and a whole number"),
        ("qrels/test.tsv", "1\td1\t0.5", 7, "needs query-id, corpus-id and a whole number"),
        ("qrels/test.tsv", "1\t0\td1\t1", 7, "needs query-id, corpus-id and a whole number"),
        ("qrels/test.tsv", HEADER, 7, "needs query-id, corpus-id and a whole number"),
    ],
)
def test_a_broken_line_is_told(folder: Path, name: str, line: str, number: int, message: str) -> None:
    with (folder / name).open("a", encoding="utf-8") as stream:
        stream.write(f"{line}\n")
    assert fault(folder) == (name, number, message)


@pytest.mark.parametrize("name", ["corpus.jsonl", "queries.jsonl", "qrels/test.tsv"])
def test_a_file_of_another_encoding_is_refused(folder: Path, name: str) -> None:
    (folder / name).write_bytes(b'{"_id": "d1", "text": "caf\xe9"}\n')
    path, line, message = fault(folder)
    assert (path, line) == (name, 1)
    assert message.startswith("cannot be read: ")


@pytest.mark.parametrize("name", ["corpus.jsonl", "queries.jsonl"])
def test_a_missing_file_is_told(folder: Path, name: str) -> None:
    (folder / name).unlink()
    path, line, message = fault(folder)
    assert (path, line) == (name, 1)
    assert "No such file" in message


def test_a_collection_without_documents_is_told(folder: Path) -> None:
    (folder / "corpus.jsonl").write_text("", "utf-8")
    assert fault(folder) == ("corpus.jsonl", 1, "no document")


def test_missing_judgements_are_told(folder: Path) -> None:
    (folder / "qrels" / "test.tsv").unlink()
    assert fault(folder) == ("qrels", 1, "no judgements: a file NAME.tsv is needed")


@pytest.mark.parametrize("line", ["9\td1\t1", "1\td1\t0"])
def test_judgements_that_judge_nothing_are_told(folder: Path, line: str) -> None:
    write_lines(folder / "qrels" / "test.tsv", HEADER, line)
    assert fault(folder) == ("qrels/test.tsv", 1, "no judged question of this collection")


def test_a_document_is_one_chunk_and_is_found_by_title_and_text(tmp_path: Path) -> None:
    collection = Collection({"d2": ("Torn cap", "stick"), "d1": ("", "dark display"), "d3": ("Loud", "fan")}, {}, {})
    path = tmp_path / "collection.pack"
    compile_collection(collection, default_settings(), path)
    texts = texts_of_chunks(collection_chunks(collection))
    assert texts == [("d1", "dark display"), ("d2", "Torn cap\nstick"), ("d3", "Loud\nfan")]
    with Pack(path) as pack:
        assert pack.note_ids == ["d1", "d2", "d3"]
        assert [pack.note_ids[number] for number in pack.chunk_note] == [document for document, _ in texts]
        assert (pack.manifest["corpus"], pack.manifest["notes"]) == ("collection", "3")
        ours = Ours(pack)
        assert [[document for document, _ in ours.rank(q, 10)] for q in ("torn", "stick", "displays", "wet")] == [
            ["d2"],
            ["d2"],
            ["d1"],
            [],
        ]
