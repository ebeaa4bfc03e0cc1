"""The texts that baselines rank: from the notes, from a pack, from a collection."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.evaluation.texts import texts_of_chunks, texts_of_corpus, texts_of_folder, texts_of_pack
from assistant.model import Corpus
from assistant.notes.corpus import read_corpus
from assistant.pack.reader import Pack
from assistant.ranking.chunks import Chunk, chunk_note


@pytest.fixture
def corpus(mini_corpus_path: Path) -> Corpus:
    return read_corpus(mini_corpus_path)


def test_the_notes_give_every_chunk_that_a_pack_ranks(corpus: Corpus, mini_pack: Pack) -> None:
    texts = texts_of_corpus(corpus)
    assert [note for note, _ in texts] == [mini_pack.note_ids[number] for number in mini_pack.chunk_note]
    assert [text for _, text in texts] == [chunk.text for note in corpus.notes for chunk in chunk_note(note)]


def test_phrases_and_examples_are_in_the_notes_and_not_in_a_pack(corpus: Corpus, mini_pack: Pack) -> None:
    whole, alone = (
        "\n".join(text for _, text in texts) for texts in (texts_of_corpus(corpus), texts_of_pack(mini_pack))
    )
    for line in ("wipe round in circles or straight out?", "rubber off the stick"):
        assert line in whole
        assert line not in alone
    for note in corpus.notes:
        assert note.title in whole
        assert note.title in alone
        assert all(step.text in alone for step in note.steps)


def test_a_folder_gives_what_its_notes_give_and_nothing_without_one(mini_corpus_path: Path, corpus: Corpus) -> None:
    assert texts_of_folder(mini_corpus_path) == texts_of_corpus(corpus)
    assert texts_of_folder(None) is None


def test_chunks_give_their_document_and_text_in_order() -> None:
    chunks = [
        Chunk("d2", "document", {"title": "Torn", "condition": "cap"}),
        Chunk("d1", "document", {"condition": "x"}),
    ]
    assert texts_of_chunks(chunks) == [("d2", "Torn\ncap"), ("d1", "x")]
    assert texts_of_chunks([]) == []
