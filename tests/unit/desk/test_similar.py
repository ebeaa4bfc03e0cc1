"""What a note has in common with others."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from assistant.desk.similar import similar
from assistant.model import Corpus, Example, Note
from assistant.notes.corpus import read_corpus


@pytest.fixture(scope="module")
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def note_of(corpus: Corpus, id: str) -> Note:
    return next(note for note in corpus.notes if note.id == id)


def test_the_nearest_notes_come_first_and_never_the_note_itself(corpus: Corpus) -> None:
    found = similar(note_of(corpus, "pad-stick-cap"), corpus.notes)
    assert [near.note for near in found.near][:1] == ["pad-cable-damage"]
    assert "pad-stick-cap" not in {near.note for near in found.near}
    cosines = [near.cosine for near in found.near]
    assert cosines == sorted(cosines, reverse=True)
    assert all(0 <= cosine < 1 for cosine in cosines)


def test_a_copy_under_another_id_is_the_same_in_all(corpus: Corpus) -> None:
    note = note_of(corpus, "disc-clean")
    found = similar(note._replace(id="disc-twin"), corpus.notes)
    assert found.near[0].note == "disc-clean"
    assert found.near[0].cosine == pytest.approx(1, abs=0.02)
    assert {alike.cosine for alike in found.steps} == {1.0}
    assert len(found.questions) == min(5, len(note.examples))
    assert found.steps[0].place.startswith("disc/disc-clean.md:")


def test_the_cosine_is_that_of_the_handbook(corpus: Corpus) -> None:
    """idf = 1 + ln((1 + n) / (1 + df)), vectors of length 1: scikit-learn user guide, TF-IDF term weighting."""
    note, other = note_of(corpus, "pad-stick-cap"), note_of(corpus, "disc-clean")
    shared = "kickplate hinge plinth brass gasket"
    found = similar(
        note._replace(examples=(Example(f"{shared} syrup"),)), [other._replace(examples=(Example(f"{shared} glue"),))]
    )
    alone = (1 + math.log(3 / 2)) ** 2
    assert found.questions[0].cosine == pytest.approx(5 / (5 + alone), abs=0.0005)
    assert found.questions[0].place == "disc/disc-clean.questions.txt"


def test_one_note_alone_and_empty_texts(corpus: Corpus) -> None:
    note = note_of(corpus, "disc-clean")
    assert similar(note, [note]).near == ()
    bare = note._replace(id="disc-bare", examples=(Example("?"),))
    assert similar(bare, corpus.notes, most=0) == ((), (), ())
