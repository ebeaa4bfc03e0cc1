"""What is indexed of a note."""

from __future__ import annotations

from assistant.model import Alarm, Corpus, Example, Phrases, Vocabulary
from assistant.notes.reader import read_note
from assistant.ranking.chunks import chunk_note
from assistant.ranking.documents import documents_of
from tests.making import NOTE_PATH, NOTE_TEXT, changed

NOTE = changed(read_note(NOTE_TEXT, NOTE_PATH), examples=(Example("lamp is dark"), Example("pad is dead", (2,))))


def test_every_word_of_a_note_is_in_a_chunk() -> None:
    chunks = chunk_note(NOTE)
    assert [chunk.kind for chunk in chunks] == ["condition", "steps", "rest"]
    text = " ".join(chunk.text for chunk in chunks)
    for part in (
        NOTE.title,
        NOTE.condition,
        *NOTE.cause,
        *NOTE.before_you_start,
        NOTE.result,
        NOTE.if_it_still_fails,
        NOTE.why,
        *NOTE.tools,
        *NOTE.parts,
        *(step.text for step in NOTE.steps),
        *(branch.condition for step in NOTE.steps for branch in step.branches),
        *(message.text for message in NOTE.safety),
        *(example.question for example in NOTE.examples),
    ):
        assert part in text
    assert all(chunk.fields["title"] == NOTE.title and chunk.document == NOTE.id for chunk in chunks)


def test_every_chunk_holds_the_phrases_and_example_questions() -> None:
    phrases = Phrases(("pad lamp",), ("went out", "is black"), ("lamp gone",), (("lamp of the room", ""),))
    chunks = chunk_note(changed(NOTE, phrases=phrases))
    for chunk in chunks:
        assert chunk.fields["examples"].split("\n") == [
            *("pad lamp", "went out", "is black", "lamp gone"),
            *("lamp is dark", "pad is dead"),
        ]
        assert "lamp of the room" not in chunk.text


def test_documents_of_a_corpus() -> None:
    other = changed(NOTE, id="safety-fire", action="withdraw", examples=(Example("smoke"),))
    alarms = (Alarm("safety-fire", ("smoke",)),)
    vocabulary = Vocabulary({"gamepad": (("pad", 100),)})
    documents = documents_of(Corpus((NOTE, other), alarms=alarms, vocabulary=vocabulary))
    assert documents.ids == ("pad-demo", "safety-fire")
    assert documents.chunks == (*chunk_note(NOTE), *chunk_note(other))
    assert documents.alarms == alarms
    assert documents.vocabulary == vocabulary
