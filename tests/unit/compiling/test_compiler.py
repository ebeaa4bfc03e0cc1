"""Notes -> pack: the same each time, right weights, and never half a file."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from assistant.analysis.features import features
from assistant.compiling import compiler
from assistant.compiling.compiler import compile_corpus, write_pack
from assistant.compiling.linear import learn_linear
from assistant.compiling.lines import lines_of, turn_lines
from assistant.errors import PackError
from assistant.model import Alarm, Corpus, Phrases
from assistant.notes.corpus import read_corpus
from assistant.pack.format import NOTES_MODEL, TURNS_MODEL
from assistant.pack.reader import Pack
from assistant.ranking.documents import documents_of
from assistant.ranking.score import NONE
from tests.making import Told, changed, plain_settings


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def tables(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    with closing(sqlite3.connect(path)) as db:
        names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        return {name: db.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for name in names}


def test_two_compiles_give_the_same_tables(corpus: Corpus, tmp_path: Path, mini_pack_path: Path) -> None:
    compile_corpus(corpus, plain_settings(), tmp_path / "again.pack")
    assert tables(tmp_path / "again.pack") == tables(mini_pack_path)


def test_manifest_and_facts(corpus: Corpus, tmp_path: Path) -> None:
    said = Told()
    path = tmp_path / "new" / "m.pack"
    compile_corpus(corpus, plain_settings(), path, facts={"labelled": "12"}, progress=said)
    with Pack(path) as pack:
        assert pack.manifest["labelled"] == "12"
        assert pack.manifest["corpus"] == corpus.digest
        assert pack.manifest["notes"] == "6"
        assert pack.digest == corpus.digest[:12]
        assert pack.decision == plain_settings().decision
        assert pack.manifest["lines"] == str(len(lines_of(corpus, plain_settings().linear.pairs)))
    assert said == ["reading words", "learning 7 classes", "writing the pack"]


def test_everything_of_the_corpus_is_in_the_pack(corpus: Corpus, mini_pack: Pack) -> None:
    assert mini_pack.note_ids == [note.id for note in corpus.notes]
    stored = [note._replace(examples=(), phrases=Phrases()) for note in corpus.notes]
    assert [mini_pack.note(note.id) for note in corpus.notes] == stored
    assert mini_pack.emergency == corpus.emergency
    assert list(mini_pack.chunk_note) == [n for n in range(6) for _ in range(3)]
    assert mini_pack.titles["disc-clean"] == "Wipe a dirty demo disc the right way"
    assert mini_pack.note("disc-gone") is None


def test_the_models_are_stored_as_they_are_learned(corpus: Corpus, mini_pack: Pack) -> None:
    settings = plain_settings().linear
    for name, lines in ((NOTES_MODEL, lines_of(corpus, settings.pairs)), (TURNS_MODEL, turn_lines(corpus))):
        learned = learn_linear(lines, settings)
        assert mini_pack.bias(name) == learned.bias
        wanted = [feature for line in lines for feature in features(line)]
        stored = mini_pack.feature_rows(name, dict.fromkeys([*wanted, "qqqq", "~qq"]))
        found, wanted_rows = (
            {feature: (row.idf, row.pairs()) for feature, row in rows.items()} for rows in (stored, learned.rows)
        )
        assert found == wanted_rows
    assert set(mini_pack.bias(NOTES_MODEL)) == {NONE, *range(6)}


def test_each_word_weighs_for_its_own_note(mini_pack: Pack) -> None:
    owner = {
        "swollen": "safety-swollen-cell",
        "disc": "disc-clean",
        "cap": "pad-stick-cap",
        "signal": "screen-no-signal",
    }
    for word, row in mini_pack.feature_rows(NOTES_MODEL, owner).items():
        strongest = max(row.pairs(), key=lambda pair: pair[1])
        assert mini_pack.note_ids[strongest[0]] == owner[word]
        assert strongest[1] > 0
    paid = mini_pack.feature_rows(NOTES_MODEL, ["paid"])["paid"]
    assert max(paid.pairs(), key=lambda pair: pair[1])[0] == NONE


def test_notes_on_harm_are_those_of_alarms_and_of_sentences_of_danger(corpus: Corpus, tmp_path: Path) -> None:
    alarmed = corpus._replace(
        alarms=(Alarm("safety-swollen-cell", ("smoke",)), Alarm("power-strip-dead", ("sparks",))),
        dangers=(("pad-cable-damage", "the wire is bare"), ("safety-swollen-cell", "it burst")),
        emergency="Call 000.",
    )
    compile_corpus(alarmed, plain_settings(), tmp_path / "alarmed.pack")
    with Pack(tmp_path / "alarmed.pack") as pack:
        assert [pack.note_ids[n] for n in pack.harm] == ["pad-cable-damage", "power-strip-dead", "safety-swollen-cell"]
        assert pack.emergency == "Call 000."
    compile_corpus(corpus._replace(alarms=(), dangers=()), plain_settings(), tmp_path / "calm.pack")
    with Pack(tmp_path / "calm.pack") as pack:
        assert pack.harm == []


def test_alarms_are_stored_by_their_first_word_in_the_order_of_the_file(corpus: Corpus, tmp_path: Path) -> None:
    alarms = (
        Alarm("safety-swollen-cell", ("Smoke", "smoke!", "catching fire", "?!"), ("smoke free",)),
        Alarm("disc-clean", ("smoke", "shattered")),
    )
    compile_corpus(corpus._replace(alarms=alarms), plain_settings(), tmp_path / "m.pack")
    with Pack(tmp_path / "m.pack") as pack:
        cell, disc = pack.note_ids.index("safety-swollen-cell"), pack.note_ids.index("disc-clean")
        assert sorted(pack.alarms(["smoke"])[:2]) == [("smoke", cell, 0), ("smoke free", cell, 1)]
        assert pack.alarms(["smoke"])[2:] == [("smoke", disc, 0)]
        assert pack.alarms(["shattered", "catching", "fire"]) == [("catching fire", cell, 0), ("shattered", disc, 0)]


def test_questions_that_fit_several_notes_teach_each(corpus: Corpus, tmp_path: Path) -> None:
    first, second = corpus.notes[0].id, corpus.notes[1].id
    shared = corpus._replace(ambiguous=(((first, second), "zebra wont go"), ((second, first), "zebra is odd")))
    compile_corpus(shared, plain_settings(), tmp_path / "shared.pack")
    with Pack(tmp_path / "shared.pack") as pack:
        weights = dict(pack.feature_rows(NOTES_MODEL, ["zebra"])["zebra"].pairs())
        assert {number for number, weight in weights.items() if weight > 0} == {0, 1}


def test_phrases_are_learned_from_and_stay_out_of_the_pack(corpus: Corpus, tmp_path: Path) -> None:
    told = Phrases(("zebra",), ("is wonky",), ("stripes all over it",), (("zebra crossing", ""),))
    notes = (corpus.notes[0]._replace(phrases=told), *corpus.notes[1:])
    compile_corpus(corpus._replace(notes=notes), plain_settings(), tmp_path / "m.pack")
    with Pack(tmp_path / "m.pack") as pack:
        rows = pack.feature_rows(NOTES_MODEL, ["zebra wonky", "is wonky", "stripes", "crossing"])
        assert rows.keys() == {"is wonky", "stripes", "crossing"}
        assert dict(rows["stripes"].pairs())[0] > 0 > dict(rows["crossing"].pairs())[0]
        assert dict(rows["crossing"].pairs())[NONE] > 0
        assert pack.note_ids[0] == notes[0].id
        stored = pack.note(notes[0].id)
        assert stored is not None
        assert stored.phrases == Phrases()
        assert {pack.chunk_note[chunk] for chunk, _, _ in pack.term_rows(["stripe"])["stripe"].chunks} == {0}
    assert b"stripes all over" not in (tmp_path / "m.pack").read_bytes()


def test_one_note_without_anything_beside_it_compiles_without_a_model(corpus: Corpus, tmp_path: Path) -> None:
    note = corpus.notes[0]._replace(examples=(), phrases=Phrases())
    compile_corpus(Corpus((note,)), plain_settings(), tmp_path / "bare.pack")
    with Pack(tmp_path / "bare.pack") as pack:
        assert pack.bias(NOTES_MODEL) == pack.bias(TURNS_MODEL) == {}
        assert pack.feature_rows(NOTES_MODEL, ["disc"]) == {}
        assert pack.term_rows(["disc"])["disc"].chunks


def test_two_notes_that_say_the_same_compile(corpus: Corpus, tmp_path: Path) -> None:
    note = corpus.notes[0]._replace(examples=(), phrases=Phrases())
    compile_corpus(Corpus((note, note._replace(id="disc-copy"))), plain_settings(), tmp_path / "same.pack")
    with Pack(tmp_path / "same.pack") as pack:
        assert pack.bias(NOTES_MODEL).keys() == {0, 1}


def test_documents_that_are_no_notes_have_bm25f_alone(corpus: Corpus, tmp_path: Path) -> None:
    facts = {"corpus": "c", "notes": "6"}
    write_pack(documents_of(corpus), plain_settings(), tmp_path / "documents.pack", manifest=facts)
    with Pack(tmp_path / "documents.pack") as pack:
        assert pack.note_ids == [note.id for note in corpus.notes]
        assert pack.bias(NOTES_MODEL) == {}
        assert pack.term_rows(["disc"])["disc"].chunks
        assert pack.harm == []


def test_pack_has_the_permissions_that_files_usually_get(corpus: Corpus, tmp_path: Path) -> None:
    for mask in (0o022, 0o027):
        old = os.umask(mask)
        try:
            compile_corpus(corpus, plain_settings(), tmp_path / "m.pack")
            (tmp_path / "other").touch()
            assert (tmp_path / "m.pack").stat().st_mode == (tmp_path / "other").stat().st_mode
        finally:
            os.umask(old)
            (tmp_path / "other").unlink()


@contextmanager
def unharmed(folder: Path) -> Iterator[None]:
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    yield
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize("error", [RuntimeError("x"), KeyboardInterrupt(), MemoryError()])
def test_an_exception_in_the_middle_leaves_the_old_pack(
    corpus: Corpus, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    path = tmp_path / "m.pack"
    compile_corpus(corpus, plain_settings(), path)

    def fail(*_: object) -> bytes:
        raise error

    monkeypatch.setattr(compiler, "pack_postings", fail)
    with unharmed(tmp_path), pytest.raises(type(error)):
        compile_corpus(corpus, plain_settings(), path)


@pytest.mark.parametrize("name", ["fsync", "replace"])
def test_an_error_of_the_file_system_leaves_the_old_pack(
    corpus: Corpus, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    path = tmp_path / "m.pack"
    compile_corpus(corpus, plain_settings(), path)

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    target: object = os if name == "fsync" else Path
    monkeypatch.setattr(target, name, fail)
    with unharmed(tmp_path), pytest.raises(PackError, match=r"m\.pack:1: cannot be written: No space left on device"):
        compile_corpus(corpus, plain_settings(), path)


def test_a_folder_that_cannot_be_made(corpus: Corpus, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(PackError, match=r"file/m\.pack:1: cannot be written: "):
        compile_corpus(corpus, plain_settings(), tmp_path / "file" / "m.pack")


def test_settings_are_frozen_into_the_pack(corpus: Corpus, tmp_path: Path) -> None:
    settings = changed(plain_settings(), decision={**plain_settings().decision, "nested": {"a": [1]}})
    compile_corpus(corpus, settings, tmp_path / "m.pack")
    with Pack(tmp_path / "m.pack") as pack:
        assert pack.decision == settings.decision
        assert json.loads(pack.manifest["analysis"]) == pack.analysis
