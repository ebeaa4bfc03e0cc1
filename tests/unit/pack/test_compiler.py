"""Notes -> pack: the same each time, right weights, and never half a file."""

from __future__ import annotations

import json
import math
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.naive_bayes import MultinomialNB

from assistant.analysis.analyzer import Stems, is_question_word, term_pairs
from assistant.analysis.cues import cues
from assistant.analysis.tokens import tokenize
from assistant.errors import PackError
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from assistant.pack import compiler
from assistant.compiling.compiler import compile_corpus
from assistant.compiling.lexicon import CompileLexicon, build_lexicon
from assistant.pack.reader import Pack
from assistant.ranking.documents import documents_of
from tests.making import Told, changed, plain_settings


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def tables(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    with closing(sqlite3.connect(path)) as db:
        names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        return {name: db.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for name in names}


Terms = Callable[[str], list[str]]


@pytest.fixture(scope="module")
def terms_of(corpus: Corpus) -> Terms:
    lexicon, stems = build_lexicon(documents_of(corpus)), Stems()
    return lambda text: _content(text, lexicon, stems)


def _content(text: str, lexicon: CompileLexicon, stems: Stems) -> list[str]:
    forms = [form if lexicon.known(form) else (lexicon.near(form) or [form])[0] for form in tokenize(text)]
    return [stems(form) for form in forms if not is_question_word(form)]


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
        assert [pack.note_ids[n] for n in pack.urgent] == ["safety-swollen-cell"]
    assert said == ["reading words", "weighing words", "writing the pack"]


def test_everything_of_the_corpus_is_in_the_pack(corpus: Corpus, mini_pack: Pack) -> None:
    assert mini_pack.note_ids == [note.id for note in corpus.notes]
    assert [mini_pack.note(note.id) for note in corpus.notes] == list(corpus.notes)
    owners = [mini_pack.note_ids.index(note.id) for note in corpus.notes for _ in note.examples]
    assert list(mini_pack.example_note) == owners + [-1] * len(corpus.uncovered)
    assert list(mini_pack.chunk_note) == [n for n in range(6) for _ in range(3)]
    assert mini_pack.titles["disc-clean"] == "Wipe a dirty demo disc the right way"
    assert mini_pack.note("disc-gone") is None


def test_learned_weights_are_differences_of_naive_bayes(corpus: Corpus, terms_of: Terms, mini_pack: Pack) -> None:
    documents = documents_of(corpus)
    number = {note: n for n, note in enumerate(documents.ids)}
    texts = [terms_of(text) for _, text in (*documents.passages, *documents.examples)]
    texts = [[*terms, *term_pairs(terms)] for terms in texts]
    owners = [number.get(note, -1) for note, _ in (*documents.passages, *documents.examples)]
    held = [term for terms in texts for term in set(terms)]
    vectorizer = TfidfVectorizer(
        analyzer=list,
        sublinear_tf=True,
        vocabulary=sorted({term for term in held if "_" not in term or held.count(term) >= 2}),
    )
    matrix = vectorizer.fit_transform(texts)
    sums = [sum(matrix[i].sum() for i, owner in enumerate(owners) if owner == one) for one in owners]
    settings = plain_settings()
    model = MultinomialNB(alpha=settings.alpha, fit_prior=False)
    model.fit(matrix, owners, sample_weight=[1 / mass for mass in sums])
    names = list(vectorizer.get_feature_names_out())
    checked = 0
    for term in ("pad", "disc", "swollen", "signal", "not", "stick_cap", "no_signal"):
        stored = dict(mini_pack.term_rows([term])[term].learned)
        column = names.index(term)
        for place, owner in enumerate(model.classes_):
            unseen = model.feature_log_prob_[place].min()
            expected = settings.learned_points * (model.feature_log_prob_[place, column] - unseen)
            assert stored.get(int(owner), 0) == pytest.approx(expected, abs=0.51)
            checked += int(owner) in stored
    assert checked > 7


def test_words_of_harm_weigh_for_danger_and_others_against_it(mini_pack: Pack) -> None:
    words = ["hot", "battery", "disc", "signal", "stick", "cable", "qqqq"]
    danger = {word: mini_pack.tells("harm", [word]) for word in words}
    assert {term for term, points in danger.items() if points > 0} == {"hot", "battery"}
    assert {term for term, points in danger.items() if points < 0} == {"disc", "signal", "stick", "cable"}


def test_what_cues_tell_equals_the_log_odds_of_scikit_learn(corpus: Corpus, mini_pack: Pack) -> None:
    """scikit-learn's own pipeline on whole texts is the oracle of the sum of stored whole numbers."""
    asked = [(note.id, example.question) for note in corpus.notes for example in note.examples]
    asked += [*(("", question) for question in corpus.uncovered), *corpus.dangers]
    vectorizer = TfidfVectorizer(analyzer=cues, binary=True, min_df=2)
    matrix = vectorizer.fit_transform([question for _, question in asked])
    urgent = {mini_pack.note_ids[number] for number in mini_pack.urgent}
    model = LogisticRegression(C=30, class_weight="balanced", tol=1e-8, max_iter=20_000)
    model.fit(matrix, [note in urgent for note, _ in asked])
    for question in ("the battery is hot and swollen", "disc is dirty", "smoke out of the pad, it is hot"):
        expected = model.decision_function(vectorizer.transform([question]))[0] - model.intercept_[0]
        assert mini_pack.tells("harm", cues(question)) / 1000 == pytest.approx(expected, abs=0.02)


def test_questions_that_fit_several_notes_teach_each_and_make_them_kin(corpus: Corpus, tmp_path: Path) -> None:
    first, second = corpus.notes[0].id, corpus.notes[1].id
    shared = corpus._replace(ambiguous=(((first, second), "zebra wont go"), ((second, first), "zebra is odd")))
    compile_corpus(shared, plain_settings(), tmp_path / "shared.pack")
    with Pack(tmp_path / "shared.pack") as pack:
        assert pack.kin(0) == [(1, round(1000 * math.log1p(2)))]
        assert pack.kin(1) == [(0, round(1000 * math.log1p(2)))]
        assert pack.kin(2) == []
        assert {note for note, _ in pack.term_rows(["zebra"])["zebra"].learned} == {0, 1}


def test_example_weights_are_unit_vectors(mini_pack: Pack) -> None:
    squares: dict[int, int] = {}
    with closing(sqlite3.connect(mini_pack.path)) as db:
        terms = [row[0] for row in db.execute("SELECT term FROM term")]
    for row in mini_pack.term_rows(terms).values():
        for example, weight in row.examples:
            squares[example] = squares.get(example, 0) + weight * weight
    assert set(squares) <= set(range(len(mini_pack.example_note)))
    assert all(math.sqrt(total) == pytest.approx(1000, abs=3) for total in squares.values())


def test_a_corpus_without_examples_and_follow_ups_compiles(corpus: Corpus, tmp_path: Path) -> None:
    bare = changed(corpus, notes=tuple(changed(note, examples=()) for note in corpus.notes), uncovered=(), followups=())
    compile_corpus(bare, plain_settings(), tmp_path / "bare.pack")
    with Pack(tmp_path / "bare.pack") as pack:
        assert list(pack.example_note) == []
        assert pack.cue_rows(["how", "long"]) == {}
        assert pack.term_rows(["disc"])["disc"].chunks


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

    monkeypatch.setattr(compiler, "pack_numbers", fail)
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
    settings = changed(plain_settings(), decision={"right": 3, "nested": {"a": [1]}})
    compile_corpus(corpus, settings, tmp_path / "m.pack")
    with Pack(tmp_path / "m.pack") as pack:
        assert pack.decision == settings.decision
        assert json.loads(pack.manifest["analysis"]) == pack.analysis
