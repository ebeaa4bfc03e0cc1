"""One changed note in a compiled pack: the same as compiling all notes anew, as far as the note alone goes."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from assistant.answering.retrieve import Retriever
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.lines import TOLD
from assistant.compiling.patch import PatchedPack
from assistant.compiling.sample import Sampling
from assistant.errors import PackError
from assistant.model import Corpus, Example, Note, Phrases
from assistant.notes.corpus import read_corpus
from assistant.pack.format import NOTES_MODEL, TABLES, TURNS_MODEL, feature_table, unpack_directory, unpack_feature
from assistant.pack.reader import Pack
from assistant.ranking.score import NONE
from tests.making import plain_settings
from tests.packs import entries_of

QUESTIONS = ("stick cap torn", "swollen battery", "no picture", "disc dirty", "frayed lead", "sing me a song", "qqqq")


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


@pytest.fixture
def patched(corpus: Corpus, tmp_path: Path) -> PatchedPack:
    return PatchedPack(corpus, plain_settings(), tmp_path / "patched.pack")


def note_of(corpus: Corpus, id: str) -> Note:
    return next(note for note in corpus.notes if note.id == id)


def changed_cap(corpus: Corpus) -> Note:
    note = note_of(corpus, "pad-stick-cap")
    return note._replace(
        title="Kickplate dented", phrases=Phrases(plain=("thumb plate bent",)), examples=(Example("it is dented"),)
    )


def class_weights(path: Path, model: str) -> dict[int, dict[str, int]]:
    """Return the weights and the bias of every class by feature."""
    found: dict[int, dict[str, int]] = {}
    entries = entries_of(path)
    for feature, raw in entries[feature_table(model)].items():
        for number, weight in unpack_feature(raw).pairs():
            found.setdefault(number, {})[feature] = weight
    for number, bias in json.loads(entries["manifest"]["bias"])[model]:
        found.setdefault(number, {})[""] = bias
    return found


def rows(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    with closing(sqlite3.connect(path)) as db:
        return {table: db.execute(f"SELECT * FROM {table} ORDER BY number").fetchall() for table in TABLES}


def test_a_note_that_did_not_change_leaves_every_table_byte_for_byte(
    corpus: Corpus, patched: PatchedPack, tmp_path: Path
) -> None:
    compile_corpus(corpus, plain_settings(), tmp_path / "fresh.pack")
    for note in corpus.notes:
        patched.replace(note)
    assert patched.brought == frozenset()
    assert rows(patched.path) == rows(tmp_path / "fresh.pack")


def test_a_class_that_was_learned_from_a_sample_is_learned_from_one_again(corpus: Corpus, tmp_path: Path) -> None:
    sampling = Sampling(40, 40, 0)
    patched = PatchedPack(corpus, plain_settings(), tmp_path / "patched.pack", sampling=sampling)
    before = rows(patched.path)
    for note in corpus.notes:
        patched.replace(note)
    assert rows(patched.path) == before
    compile_corpus(corpus, plain_settings(), tmp_path / "whole.pack")
    assert rows(tmp_path / "whole.pack")["note_feature"] != before["note_feature"]
    number = [note.id for note in corpus.notes].index("pad-stick-cap")
    was = class_weights(patched.path, NOTES_MODEL)
    patched.replace(changed_cap(corpus))
    now = class_weights(patched.path, NOTES_MODEL)
    assert {n for n, weights in now.items() if weights != was[n]} == {number}
    patched.replace(note_of(corpus, "pad-stick-cap"))
    assert class_weights(patched.path, NOTES_MODEL) == was


def test_what_was_changed_and_changed_back_leaves_every_weight(corpus: Corpus, patched: PatchedPack) -> None:
    before = entries_of(patched.path)
    note = note_of(corpus, "pad-stick-cap")
    patched.replace(changed_cap(corpus))
    assert entries_of(patched.path)["term"] != before["term"]
    assert entries_of(patched.path)["note_feature"] != before["note_feature"]
    patched.replace(note)
    after = entries_of(patched.path)
    assert before["manifest"].pop("learned") != after["manifest"].pop("learned") == b"{}"
    assert before["manifest"].pop(TOLD) != after["manifest"].pop(TOLD) == b""
    for name in ("note", "note_feature", "turn_feature", "step", "manifest", "alarm", "meaning"):
        assert after[name] == before[name], name
    assert {term: raw for term, raw in after["term"].items() if unpack_directory(raw)[0]} == before["term"]
    assert before["form"].items() <= after["form"].items()


def test_a_changed_note_changes_its_own_class_alone(corpus: Corpus, patched: PatchedPack) -> None:
    number = [note.id for note in corpus.notes].index("pad-stick-cap")
    before = {model: class_weights(patched.path, model) for model in (NOTES_MODEL, TURNS_MODEL)}
    patched.replace(changed_cap(corpus))
    after = {model: class_weights(patched.path, model) for model in (NOTES_MODEL, TURNS_MODEL)}
    assert after[TURNS_MODEL] == before[TURNS_MODEL]
    assert after[NOTES_MODEL].keys() == before[NOTES_MODEL].keys() == {NONE, *range(len(corpus.notes))}
    assert {n for n, weights in after[NOTES_MODEL].items() if weights != before[NOTES_MODEL][n]} == {number}
    assert after[NOTES_MODEL][number][""] != before[NOTES_MODEL][number][""]


def test_of_the_terms_only_those_of_the_note_change(corpus: Corpus, patched: PatchedPack) -> None:
    number = [note.id for note in corpus.notes].index("pad-stick-cap")

    def others() -> dict[str, list[tuple[int, int, int]]]:
        with Pack(patched.path) as pack:
            terms = pack.term_rows(entries_of(patched.path)["term"])
            kept = {t: [c for c in row.chunks if pack.chunk_note[c[0]] != number] for t, row in terms.items()}
            return {term: chunks for term, chunks in kept.items() if chunks}

    before = others()
    patched.replace(changed_cap(corpus))
    assert others() == before
    with Pack(patched.path) as pack:
        chunks = pack.term_rows(["kickplat"])["kickplat"].chunks
        assert {pack.chunk_note[chunk] for chunk, _, _ in chunks} == {number}


def test_lines_that_a_note_gave_up_are_no_longer_learned_from(corpus: Corpus, patched: PatchedPack) -> None:
    """They do not teach against the note either: what it keeps weighs for it as in a pack compiled anew."""
    old = note_of(corpus, "pad-stick-cap")
    kept = ("stick cap came off", "thumb grip missing", "rubber of the stick torn")
    long = old._replace(phrases=Phrases(plain=(*kept, "stick cap is loose", "thumb grip is loose")), examples=())
    short = long._replace(phrases=Phrases(plain=kept))
    patched.replace(long)
    patched.replace(short)
    once = class_weights(patched.path, NOTES_MODEL)
    patched.replace(long)
    patched.replace(short)
    assert class_weights(patched.path, NOTES_MODEL) == once
    patched.replace(old)
    patched.replace(short)
    assert class_weights(patched.path, NOTES_MODEL) == once
    anew = patched.path.with_name("anew.pack")
    notes = tuple(short if note.id == old.id else note for note in corpus.notes)
    compile_corpus(corpus._replace(notes=notes), plain_settings(), anew)
    points = {}
    for path in (patched.path, anew):
        with Pack(path) as pack:
            number = pack.note_ids.index(old.id)
            points[path] = [Retriever(pack)(question).scores.model[number] for question in (*kept, *QUESTIONS[:-1])]
    assert points[patched.path] == pytest.approx(points[anew], abs=120)


def test_a_changed_note_is_ranked_as_in_a_pack_compiled_anew(
    corpus: Corpus, patched: PatchedPack, tmp_path: Path
) -> None:
    old = note_of(corpus, "disc-clean")
    new = old._replace(
        condition=f"{old.condition} The kickplate is sticky with syrup.",
        examples=(*old.examples, Example("syrup all over the kickplate"), Example("kickplate is sticky")),
    )
    patched.replace(new)
    anew = tmp_path / "anew.pack"
    notes = tuple(new if note.id == new.id else note for note in corpus.notes)
    compile_corpus(corpus._replace(notes=notes), plain_settings(), anew)
    for question in ("kickplate sticky", *QUESTIONS[:5]):
        orders = []
        for path in (patched.path, anew):
            with Pack(path) as pack:
                orders.append([pack.note_ids[n] for n in Retriever(pack)(question).scores.order[:3]])
        assert orders[0][:1] == orders[1][:1], question
    with Pack(patched.path) as pack:
        retrieval = Retriever(pack)("sticky kickplate")
        assert pack.note_ids[retrieval.scores.order[0]] == "disc-clean"
        stored = pack.note("disc-clean")
    assert stored == new._replace(examples=(), phrases=Phrases())


def test_a_new_word_of_the_note_is_known_afterwards(corpus: Corpus, patched: PatchedPack) -> None:
    with Pack(patched.path) as pack:
        assert not pack.known("zorching")
        assert pack.term_rows(["zorch"]) == {}
    note = note_of(corpus, "disc-clean")
    patched.replace(note._replace(condition=f"{note.condition} It is zorching."))
    assert patched.brought == {"zorching"}
    with Pack(patched.path) as pack:
        assert pack.known("zorching")
        assert pack.near("zorchin") == ["zorching"]
        retrieval = Retriever(pack)("zorching")
        assert retrieval.query.repaired == ()
        assert pack.note_ids[retrieval.scores.order[0]] == "disc-clean"
    patched.replace(note)
    assert patched.brought == {"zorching"}


def test_points_are_those_that_the_retriever_gives(corpus: Corpus, patched: PatchedPack) -> None:
    points = patched.points(QUESTIONS)

    def agree() -> list[list[int]]:
        with Pack(patched.path) as pack:
            retrieve = Retriever(pack)
            for place, question in enumerate(QUESTIONS[:-1]):
                model = retrieve(question).scores.model
                found = {n: points(note)[place] for n, note in enumerate(pack.note_ids)}
                assert found == pytest.approx({n: model[n] for n in found}, abs=3), question
            bias = pack.bias(NOTES_MODEL)
            assert [points(note)[-1] for note in pack.note_ids] == [bias[n] for n in range(len(pack.note_ids))]
        return [list(points(note.id)) for note in corpus.notes]

    before = agree()
    patched.replace(changed_cap(corpus))
    after = agree()
    assert [note.id for note, old, new in zip(corpus.notes, before, after, strict=True) if old != new] == [
        "pad-stick-cap"
    ]


def test_a_pack_without_a_model_is_patched_too(corpus: Corpus, tmp_path: Path) -> None:
    note = note_of(corpus, "disc-clean")._replace(examples=(), phrases=Phrases())
    patched = PatchedPack(Corpus((note,)), plain_settings(), tmp_path / "bare.pack")
    patched.replace(note._replace(title="Kickplate dented"))
    assert patched.points(["kickplate"])("disc-clean") == [0]
    with Pack(patched.path) as pack:
        assert pack.titles == {"disc-clean": "Kickplate dented"}
        assert Retriever(pack)("kickplate").scores.order == [0]


def test_two_notes_may_come_to_say_the_same(corpus: Corpus, tmp_path: Path) -> None:
    one, two = (note._replace(examples=(), phrases=Phrases()) for note in corpus.notes[:2])
    patched = PatchedPack(Corpus((one, two)), plain_settings(), tmp_path / "two.pack")
    patched.replace(one._replace(id=two.id))
    with Pack(patched.path) as pack:
        assert pack.titles[one.id] == pack.titles[two.id]
        assert pack.bias(NOTES_MODEL).keys() == {0, 1}


def test_a_pack_that_cannot_be_written_is_told(corpus: Corpus, patched: PatchedPack) -> None:
    patched.path.unlink()
    patched.path.mkdir()
    with pytest.raises(PackError, match="cannot be written"):
        patched.replace(corpus.notes[0])
