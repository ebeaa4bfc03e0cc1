"""What is indexed of a note."""

from __future__ import annotations

import pytest

from assistant.model import Corpus, Example
from assistant.notes.reader import read_note
from assistant.ranking.chunks import chunk_note
from assistant.ranking.documents import documents_of, is_urgent
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


def test_documents_of_a_corpus() -> None:
    urgent = changed(NOTE, id="safety-fire", action="withdraw", examples=(Example("smoke"),))
    documents = documents_of(
        Corpus((NOTE, urgent), uncovered=("when do i get paid",), followups=(("time", "how long"),))
    )
    assert documents.ids == ("pad-demo", "safety-fire")
    assert documents.examples == (
        ("pad-demo", "lamp is dark"),
        ("pad-demo", "pad is dead"),
        ("safety-fire", "smoke"),
        ("", "when do i get paid"),
    )
    assert documents.urgent == ("safety-fire",)
    assert documents.followups == (("time", "how long"),)


@pytest.mark.parametrize(
    ("id", "action", "urgent"),
    [
        ("safety-fire", "withdraw", True),
        ("safety-fire", "escalate", True),
        ("safety-talk", "inform", False),
        ("pad-fire", "withdraw", False),
    ],
)
def test_urgent_notes(id: str, action: str, urgent: bool) -> None:
    assert is_urgent(changed(NOTE, id=id, action=action)) is urgent
