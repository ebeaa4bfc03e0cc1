"""What a pack has learned is taken over where no line has changed: the pack is then that of a full compile."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from assistant.compiling import compiler, linear
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.linear import LinearModel, learn_linear, model_key
from assistant.compiling.lines import Lines, lines_of
from assistant.compiling.patch import PatchedPack
from assistant.compiling.sample import Sampling
from assistant.compiling.taken import by_class, taken_over
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from assistant.pack.blocks import decode_block, encode_block
from assistant.pack.format import NOTES_MODEL
from tests.making import changed, plain_settings

SETTINGS = plain_settings()


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


@pytest.fixture(scope="module")
def compiled(corpus: Corpus, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("taken") / "m.pack"
    compile_corpus(corpus, SETTINGS, path)
    return path


@pytest.fixture
def pack(compiled: Path, tmp_path: Path) -> Path:
    """A pack of the test's own."""
    return Path(shutil.copy(compiled, tmp_path / "m.pack"))


@pytest.fixture
def learning(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return how many lines each model was learned from, in turn."""
    counts: list[int] = []

    def learn(lines: Lines, *others: Any, **named: Any) -> LinearModel:
        counts.append(len(lines))
        return learn_linear(lines, *others, **named)

    monkeypatch.setattr(compiler, "learn_linear", learn)
    return counts


def with_first(corpus: Corpus, **changes: Any) -> Corpus:
    return corpus._replace(notes=(corpus.notes[0]._replace(**changes), *corpus.notes[1:]))


def other_steps(corpus: Corpus) -> Corpus:
    first, *others = corpus.notes[0].steps
    return with_first(corpus, steps=(first._replace(text="Wipe the brass rail twice."), *others))


OTHERS: dict[str, Callable[[Corpus], Corpus]] = {
    "the same": lambda corpus: corpus,
    "steps": other_steps,
    "minutes": lambda corpus: with_first(corpus, minutes=44),
    "no alarms": lambda corpus: corpus._replace(alarms=(), dangers=corpus.dangers),
}


@pytest.mark.parametrize("other", OTHERS)
def test_where_no_line_has_changed_the_pack_is_that_of_a_full_compile(
    corpus: Corpus, pack: Path, tmp_path: Path, learning: list[int], other: str
) -> None:
    after = OTHERS[other](corpus)
    compile_corpus(after, SETTINGS, tmp_path / "full.pack")
    assert len(learning) == 2
    learning.clear()
    compile_corpus(after, SETTINGS, pack, before=pack)
    assert learning == []
    assert pack.read_bytes() == (tmp_path / "full.pack").read_bytes()


LINES: dict[str, Callable[[Corpus], Corpus]] = {
    "title": lambda corpus: with_first(corpus, title="Brass rail is bent"),
    "note gone": lambda corpus: corpus._replace(notes=corpus.notes[1:], alarms=(), dangers=(), ambiguous=()),
    "uncovered": lambda corpus: corpus._replace(uncovered=(*corpus.uncovered, "where do i park")),
}


@pytest.mark.parametrize("other", LINES)
def test_where_a_line_has_changed_all_is_learned_anew(
    corpus: Corpus, pack: Path, tmp_path: Path, learning: list[int], other: str
) -> None:
    after = LINES[other](corpus)
    compile_corpus(after, SETTINGS, tmp_path / "full.pack")
    learning.clear()
    compile_corpus(after, SETTINGS, pack, before=pack)
    assert learning == [len(lines_of(after, SETTINGS.linear.pairs))]
    assert pack.read_bytes() == (tmp_path / "full.pack").read_bytes()


def test_other_settings_sample_or_code_have_another_key(corpus: Corpus, monkeypatch: pytest.MonkeyPatch) -> None:
    lines = lines_of(corpus, 3)
    keys = {
        model_key(lines, SETTINGS.linear),
        model_key(lines, changed(SETTINGS.linear, least_weight=SETTINGS.linear.least_weight + 1)),
        model_key(lines, SETTINGS.linear, Sampling(5, 6)),
        model_key({**lines, next(iter(lines)): frozenset({-1})}, SETTINGS.linear),
        model_key(dict(reversed(lines.items())), SETTINGS.linear),
    }
    monkeypatch.setattr(linear, "_MAKING", ("compiling/settings.json",))
    keys.add(model_key(lines, SETTINGS.linear))
    assert len(keys) == 6


def test_the_key_hangs_on_every_module_by_which_a_text_is_read() -> None:
    sources = {name: resources.files("assistant").joinpath(name).read_text("utf-8") for name in linear._MAKING}
    read = {
        f"analysis/{name}.py"
        for text in sources.values()
        for name in re.findall(r"^from assistant\.analysis\.(\w+) import", text, re.MULTILINE)
    }
    assert "analysis/tokens.py" in read
    assert read <= set(linear._MAKING)


def key_of(corpus: Corpus) -> str:
    return model_key(lines_of(corpus, SETTINGS.linear.pairs), SETTINGS.linear)


def test_only_what_fits_and_is_whole_is_taken(corpus: Corpus, pack: Path, tmp_path: Path) -> None:
    key = key_of(corpus)
    assert taken_over(pack, NOTES_MODEL, key)
    assert taken_over(pack, NOTES_MODEL, key[:-1]) is None
    assert taken_over(pack, "other", key) is None
    assert taken_over(None, NOTES_MODEL, key) is None
    assert taken_over(tmp_path / "none.pack", NOTES_MODEL, key) is None
    (tmp_path / "text.pack").write_text("no pack")
    assert taken_over(tmp_path / "text.pack", NOTES_MODEL, key) is None
    assert taken_over(tmp_path, NOTES_MODEL, key) is None


def damage(pack: Path, sql: str, *values: object) -> None:
    with closing(sqlite3.connect(pack)) as db:
        db.execute(sql, values)
        db.commit()


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM note_feature WHERE number = 3",
        "DELETE FROM note_feature WHERE number = (SELECT max(number) FROM note_feature)",
        "UPDATE note_feature SET content = x'00' WHERE number = 3",
        "UPDATE note_feature SET content = 'text' WHERE number = 3",
        "UPDATE note_feature SET content = (SELECT content FROM note_feature WHERE number = 4) WHERE number = 3",
        "DELETE FROM manifest",
        "UPDATE manifest SET content = x'00'",
        "DROP TABLE note_feature",
    ],
)
def test_a_damaged_pack_is_not_taken_and_the_next_compile_is_whole(
    corpus: Corpus, pack: Path, learning: list[int], sql: str
) -> None:
    whole = pack.read_bytes()
    damage(pack, sql)
    assert taken_over(pack, NOTES_MODEL, key_of(corpus)) is None
    compile_corpus(corpus, SETTINGS, pack, before=pack)
    assert learning
    assert pack.read_bytes() == whole


@pytest.mark.parametrize("entry", ["bias", "blocks", "learned"])
@pytest.mark.parametrize("value", [b"", b"[]", b"null", b'{"note": 7}', b'{"note": [[1]]}', b"\xff"])
def test_a_manifest_of_another_form_is_not_taken(corpus: Corpus, pack: Path, entry: str, value: bytes) -> None:
    with closing(sqlite3.connect(pack)) as db:
        ((content,),) = db.execute("SELECT content FROM manifest")
    manifest = {**decode_block("manifest", 0, content), entry: value}
    damage(pack, "UPDATE manifest SET content = ?", encode_block("manifest", 0, manifest))
    assert taken_over(pack, NOTES_MODEL, key_of(corpus)) is None


def test_a_pack_into_which_a_note_was_written_is_not_taken(corpus: Corpus, tmp_path: Path) -> None:
    patched = PatchedPack(corpus, SETTINGS, tmp_path / "patched.pack")
    assert taken_over(patched.path, NOTES_MODEL, key_of(corpus))
    patched.replace(corpus.notes[0]._replace(title="Brass rail is bent"))
    assert taken_over(patched.path, NOTES_MODEL, key_of(corpus)) is None


@pytest.mark.parametrize("sampling", [None, Sampling(40, 40, 0)], ids=["all lines", "a sample"])
def test_notes_that_change_one_at_a_time_begin_from_a_pack_as_from_learning(
    corpus: Corpus, tmp_path: Path, learning: list[int], sampling: Sampling | None
) -> None:
    """The pack that was begun is the same to the byte, and so it stays after a note has changed, and changed back."""
    before = tmp_path / "before.pack"
    compile_corpus(corpus, SETTINGS, before, sampling=sampling)
    learned = PatchedPack(corpus, SETTINGS, tmp_path / "learned.pack", sampling=sampling)
    learning.clear()
    taken = PatchedPack(corpus, SETTINGS, tmp_path / "taken.pack", sampling=sampling, before=before)
    assert learning == []
    asked = ["brass rail is bent", "stick cap torn"]
    changed_note = corpus.notes[0]._replace(title="Brass rail is bent")
    for note in (corpus.notes[2], changed_note, corpus.notes[0], changed_note):
        assert taken.path.read_bytes() == learned.path.read_bytes()
        points = [[patched.points(asked)(one.id) for one in corpus.notes] for patched in (taken, learned)]
        assert points[0] == points[1]
        taken.replace(note)
        learned.replace(note)
    assert taken.path.read_bytes() == learned.path.read_bytes() != before.read_bytes()


@pytest.mark.parametrize("name", ["m.pack", "none.pack"])
def test_notes_of_which_no_pack_stands_are_learned_and_it_is_told(
    corpus: Corpus, pack: Path, learning: list[int], name: str
) -> None:
    other, before = LINES["title"](corpus), pack.with_name(name)
    told: list[str] = []
    learning.clear()
    PatchedPack(other, SETTINGS, pack.with_name("w.pack"), lambda message, *_: told.append(message), before=before)
    assert learning[0] == len(lines_of(other, SETTINGS.linear.pairs))
    assert any(message.startswith(f"{before}: learned from other lines") for message in told)


def test_classes_of_a_model_with_other_features_are_not_read(corpus: Corpus, pack: Path) -> None:
    model = taken_over(pack, NOTES_MODEL, key_of(corpus))
    assert model is not None
    names = [feature for feature, _ in model.entries]
    found = by_class(model, names)
    assert found is not None
    assert found.keys() == {-1, *range(len(corpus.notes))}
    assert by_class(model, names[1:]) is None
    assert by_class(model._replace(entries=[(names[0], b"0")]), names) is None


def test_what_was_left_of_a_broken_off_compile_is_removed(corpus: Corpus, pack: Path) -> None:
    left = pack.with_name("m.pack.learning")
    left.write_text("half a line")
    compile_corpus(corpus, SETTINGS, pack, before=pack)
    assert not left.exists()
