"""Cut a note into chunks, each with the fields that BM25F weighs."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.model import Note

__all__ = ["Chunk", "chunk_note", "note_sections"]


@dataclass(frozen=True, slots=True)
class Chunk:
    """A part of a document with its text by field (see `assistant.pack.format.FIELDS`)."""

    document: str
    kind: str
    fields: dict[str, str]

    @property
    def text(self) -> str:
        """Return all text of the chunk, for rankings that know no fields."""
        return "\n".join(text for text in self.fields.values() if text)


def chunk_note(note: Note) -> list[Chunk]:
    """Return the chunks of a note: its trouble, its steps, and the rest.

    Each carries the title, the phrases and the example questions, so that a question which mixes them meets all in one
    place.
    """
    sections = note_sections(note)
    phrases = (*note.phrases.things, *note.phrases.troubles, *note.phrases.plain)
    head = {"title": note.title, "examples": "\n".join((*phrases, *(example.question for example in note.examples)))}
    return [
        Chunk(note.id, kind, {**head, name: sections[kind]})
        for kind, name in (("condition", "condition"), ("steps", "steps"), ("rest", "rest"))
    ]


def note_sections(note: Note) -> dict[str, str]:
    """Return the note's running text: ``condition`` with causes, ``steps`` with safety messages, ``rest``."""
    steps = [f"{step.text} {' '.join(branch.condition for branch in step.branches)}" for step in note.steps]
    return {
        "condition": "\n".join((note.condition, *note.cause)),
        "steps": "\n".join((*(message.text for message in note.safety), *steps)),
        "rest": "\n".join(
            (
                *note.before_you_start,
                note.result,
                note.if_it_still_fails,
                note.why,
                " ".join((*note.tools, *note.parts)),
                " ".join(note.id.split("-")),
            )
        ),
    }
