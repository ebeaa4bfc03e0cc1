"""What a note has in common with others."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import pytest

from assistant.desk.similar import Apart, similar
from assistant.desk.skeleton import draft_of, note_text, stand_in
from assistant.model import Corpus, Example, Note, Phrases
from assistant.notes.corpus import read_corpus
from assistant.notes.reader import read_note


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


def test_what_is_still_to_be_written_is_compared_with_nothing(corpus: Corpus) -> None:
    """Two new notes have the text of the skeleton in common, and that says nothing of them."""
    made = []
    for name, title in (("pad-strap", "Strap torn"), ("screen-lamp", "Lamp of the frame dark")):
        answers = {**stand_in(corpus.trade), "id": name, "title": title}
        text = note_text(draft_of(answers, corpus.trade), date(2026, 11, 2))
        made.append(read_note(text, f"{name.partition('-')[0]}/{name}.md"))
    found = similar(made[0], [made[1], *corpus.notes])
    assert found.steps == ()
    assert {near.note: near.cosine for near in found.near}.get("screen-lamp", 0.0) < 0.1
    begun = made[0]._replace(steps=(made[0].steps[0]._replace(text=corpus.notes[0].steps[0].text), *made[0].steps[1:]))
    assert similar(begun, [made[1], *corpus.notes]).steps[0].note == corpus.notes[0].id


def test_one_note_alone_and_empty_texts(corpus: Corpus) -> None:
    note = note_of(corpus, "disc-clean")
    assert similar(note, [note]).near == ()
    bare = note._replace(id="disc-bare", examples=(Example("?"),))
    assert set(similar(bare, corpus.notes, most=0)) == {()}


def test_phrases_alike_come_with_their_place_and_one_pair_a_thing(corpus: Corpus) -> None:
    note, other = note_of(corpus, "pad-stick-cap"), note_of(corpus, "disc-clean")
    own = Phrases(("kickplate", "hinge"), ("bent", "is bent", "gone"), ("brass plinth bent", "syrup"))
    theirs = Phrases(("kickplate", "plinth of brass"), ("bent",), ("hinge is gone", "the hinge is gone"))
    found = similar(note._replace(phrases=own), [other._replace(phrases=theirs)])
    beside = "disc/disc-clean.phrases.yaml"
    assert [(one.text, one.other, one.place) for one in found.plain] == [
        ("brass plinth bent", "plinth of brass bent", beside)
    ]
    assert [(one.text, one.other, one.place) for one in found.pairs] == [
        ("kickplate bent", "kickplate bent", beside),
        ("hinge gone", "hinge is gone", beside),
    ]
    assert {one.cosine for one in (*found.plain, *found.pairs)} == {1.0}


def test_lines_that_lead_from_it_and_to_it(corpus: Corpus) -> None:
    found = similar(note_of(corpus, "pad-cable-damage"), corpus.notes)
    assert found.leads_away == (Apart("thumb grip torn", "pad-cable-damage", "pad-stick-cap"),)
    assert found.leads_here == (Apart("lead of the pad is loose", "pad-stick-cap", "pad-cable-damage"),)
    away = similar(note_of(corpus, "pad-stick-cap"), corpus.notes).leads_away
    assert away[1] == Apart("swap my shift", "pad-stick-cap", "")
    assert len(similar(note_of(corpus, "pad-stick-cap"), corpus.notes, most=1).leads_away) == 1
