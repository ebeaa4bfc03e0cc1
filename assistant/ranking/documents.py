"""What is indexed: chunks of documents and example questions, whether they come from notes or from a collection."""

from __future__ import annotations

from typing import NamedTuple

from assistant.model import Corpus, Example, Note, Vocabulary
from assistant.ranking.chunks import Chunk, chunk_note, note_sections

__all__ = ["Documents", "documents_of", "is_urgent"]


class Documents(NamedTuple):
    """Texts to index.

    ``ids`` are sorted. ``passages`` are (id, text) to learn words from: titles and sections. ``examples`` are
    (id, question), the id empty where nothing covers the question. ``urgent`` are the notes that go first when somebody
    is in danger, ``followups`` (about, phrase) of turns that go on with the note in hand, ``dangers`` (id, question) of
    questions that tell of harm in passing, ``ambiguous`` (ids, question) of questions that fit several notes.
    """

    ids: tuple[str, ...]
    chunks: tuple[Chunk, ...]
    passages: tuple[tuple[str, str], ...] = ()
    examples: tuple[tuple[str, str], ...] = ()
    urgent: tuple[str, ...] = ()
    followups: tuple[tuple[str, str], ...] = ()
    dangers: tuple[tuple[str, str], ...] = ()
    ambiguous: tuple[tuple[tuple[str, ...], str], ...] = ()
    vocabulary: Vocabulary = Vocabulary()

    def only(self, id: str) -> Documents:
        """Return the chunks, passages and example questions of one document."""
        return Documents(
            (id,),
            tuple(chunk for chunk in self.chunks if chunk.document == id),
            tuple(passage for passage in self.passages if passage[0] == id),
            tuple(example for example in self.examples if example[0] == id),
        )


def documents_of(corpus: Corpus) -> Documents:
    """Return what is indexed of a corpus of notes."""
    notes = _with_shared(corpus)
    passages = []
    for note in notes:
        passages.append((note.id, note.title))
        passages += [(note.id, text) for text in note_sections(note).values()]
    examples = [(note.id, example.question) for note in notes for example in note.examples]
    return Documents(
        tuple(note.id for note in corpus.notes),
        tuple(chunk for note in notes for chunk in chunk_note(note)),
        tuple(passages),
        (*examples, *(("", question) for question in corpus.uncovered)),
        tuple(note.id for note in corpus.notes if is_urgent(note)),
        corpus.followups,
        corpus.dangers,
        corpus.ambiguous,
        corpus.vocabulary,
    )


def _with_shared(corpus: Corpus) -> list[Note]:
    """Return the notes, each with the questions that fit several notes among its example questions."""
    shared: dict[str, list[Example]] = {}
    for ids, question in corpus.ambiguous:
        for note_id in ids:
            shared.setdefault(note_id, []).append(Example(question))
    return [note._replace(examples=(*note.examples, *shared.get(note.id, ()))) for note in corpus.notes]


def is_urgent(note: Note) -> bool:
    """Tell whether a note deals with harm that cannot wait: a safety note that withdraws or escalates."""
    return note.id.startswith("safety-") and note.action in {"withdraw", "escalate"}
