"""A note against the pack: what it wins is the same whether its class is the pack's or is learned, by any pack."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from assistant.compiling.compiler import compile_corpus
from assistant.compiling.lines import TOLD
from assistant.compiling.words import LENGTHS
from assistant.desk.preview import Preview, _lengths, preview
from assistant.evaluation.labels import LabelledQuestion
from assistant.model import Corpus, Example, Note, Phrases
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from tests.making import plain_settings
from tests.packs import manifest

ASKED = {
    "controller stick cap broken?": ("pad-stick-cap",),
    "kickplate is bent": ("pad-stick-cap",),
    "disc is dirty": ("disc-clean",),
    "battery is swollen": ("safety-swollen-cell",),
    "cable frayed at the torn cap": ("pad-stick-cap",),
    "when do i get paid": (),
    "???": (),
}
QUESTIONS = [
    LabelledQuestion(f"q{n}", text, "plain", notes, "tune", "A", kind="" if notes else "off")
    for n, (text, notes) in enumerate(ASKED.items())
]


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


@pytest.fixture(scope="module")
def stands(corpus: Corpus, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("preview") / "stands.pack"
    compile_corpus(corpus, plain_settings(), path)
    return path


def without(path: Path, entry: str, to: Path) -> Path:
    """Return a copy of a pack whose manifest lacks an entry."""
    shutil.copy(path, to)
    manifest(entry, None)(to)
    return to


def previewed(note: Note, corpus: Corpus, path: Path) -> tuple[Preview, list[str]]:
    told: list[str] = []

    def tell(message: str, *_: int) -> None:
        told.append(message)

    with Pack(path) as pack:
        return preview(note, corpus, pack, QUESTIONS, plain_settings(), tell), told


def test_a_class_that_the_pack_has_is_the_one_that_would_be_learned(
    corpus: Corpus, stands: Path, tmp_path: Path
) -> None:
    earlier = without(stands, TOLD, tmp_path / "earlier.pack")
    for note in corpus.notes:
        other_step = note._replace(steps=note.steps[:1])
        for one in (note, other_step):
            held, told = previewed(one, corpus, stands)
            learned, told_learned = previewed(one, corpus, earlier)
            assert told[0] == "no line has changed"
            assert told_learned[0].startswith(f"learning {note.id} against ")
            assert held == learned
            assert held.won == held.lost == ()


def test_a_note_with_other_lines_is_learned(corpus: Corpus, stands: Path) -> None:
    cap = next(note for note in corpus.notes if note.id == "pad-stick-cap")
    bent = cap._replace(
        title="Kickplate dented", phrases=Phrases(plain=("kickplate bent",)), examples=(Example("kickplate is bent"),)
    )
    found, told = previewed(bent, corpus, stands)
    assert told[0].startswith("learning pad-stick-cap against ")
    assert {one.question for one in found.won} == {"kickplate is bent"}
    assert found.asked == len(QUESTIONS) + 1


def test_a_pack_that_does_not_tell_how_long_fields_are_does_as_well(
    corpus: Corpus, stands: Path, tmp_path: Path
) -> None:
    earlier = without(stands, LENGTHS, tmp_path / "earlier.pack")
    for note in corpus.notes:
        assert previewed(note, corpus, earlier) == previewed(note, corpus, stands)
    new = next(note for note in corpus.notes if note.id == "pad-stick-cap")
    others = corpus._replace(
        notes=tuple(note for note in corpus.notes if note != new), alarms=(), dangers=(), ambiguous=()
    )
    compile_corpus(others, plain_settings(), tmp_path / "others.pack")
    lengths = []
    for path in (tmp_path / "others.pack", without(tmp_path / "others.pack", LENGTHS, tmp_path / "untold.pack")):
        with Pack(path) as pack:
            lengths.append(_lengths(pack, corpus, plain_settings()))
    assert lengths[0] == pytest.approx(lengths[1])


def test_a_lone_note_is_no_class_of_the_pack_and_is_learned(corpus: Corpus, tmp_path: Path) -> None:
    lone = corpus._replace(notes=corpus.notes[:1], alarms=(), dangers=(), ambiguous=(), uncovered=())
    compile_corpus(lone, plain_settings(), tmp_path / "lone.pack")
    found, told = previewed(lone.notes[0], lone, tmp_path / "lone.pack")
    assert told[0].startswith(f"learning {lone.notes[0].id} against ")
    assert found.lost == ()


def test_a_note_without_examples_where_nothing_is_asked(corpus: Corpus, stands: Path) -> None:
    note = corpus.notes[0]._replace(examples=())
    with Pack(stands) as pack:
        found = preview(note, corpus, pack, [], plain_settings())
    assert (found.asked, found.won, found.lost, found.lacking) == (0, (), (), ())
