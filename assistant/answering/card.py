"""An answer as a card: the same blocks in the same order for every front end, which only draws them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from assistant.model import Answer, Contact, Note, SafetyMessage
from assistant.notes.signing import safety_line

__all__ = ["Block", "BlockKind", "card"]

BlockKind = Literal[
    "read_as",
    "action",
    "title",
    "needs",
    "text",
    "label",
    "item",
    "safety",
    "step",
    "choice",
    "emergency",
    "contact",
    "source",
    "option",
]
_WHOLE = frozenset({"procedure", "back"})
_SAFETY_FIRST = frozenset({"first_step", "next_step", "step", "item"})


class Block(NamedTuple):
    """One piece of a card.

    ``head`` is what stands out before the text: a signal word, a step number, the number of an option. ``marked`` tells
    a step that holds what was asked about. ``target`` is the id of an option's note.
    """

    kind: BlockKind
    text: str
    head: str = ""
    marked: bool = False
    target: str = ""


def card(answer: Answer) -> tuple[Block, ...]:
    """Return the blocks of a card, top to bottom.

    A safety message stands before the step that it belongs to, and all of a note's messages are on every card of it.
    Where harm comes near, the line on whom to call stands above all but what was understood. Small talk is answered in
    a line, which is no card of the note in hand.
    """
    emergency = [Block("emergency", answer.emergency)] if answer.emergency else []
    if answer.about == "small_talk":
        return (*emergency, Block("text", answer.text))
    blocks = [*([Block("read_as", answer.read_as)] if answer.read_as else []), *emergency]
    note = answer.note
    if note is None:
        blocks.append(Block("text", answer.text))
        blocks += _options(answer, "" if answer.decision == "choose" else "nearest")
        return tuple(blocks)
    blocks += _head(note, answer.action)
    if answer.about in _WHOLE:
        blocks += _procedure(answer, note)
    else:
        blocks += _direct(answer, note)
    blocks += map(_contact, answer.contacts)
    blocks.append(Block("source", _origin(note)))
    blocks += _options(answer, "Not it? Other notes")
    return tuple(blocks)


def _origin(note: Note) -> str:
    origin = f"{note.id}, revision {note.revision}, reviewed {note.reviewed}. Sources: {', '.join(note.sources)}"
    safety = safety_line(note)
    return f"{origin}. {safety}" if safety else origin


def _head(note: Note, action: str) -> Iterator[Block]:
    yield Block("action", f"about {note.minutes} min", head=(action or note.action).upper())
    yield Block("title", note.title)
    yield Block("needs", ", ".join(note.parts) or "none", head="Parts")
    yield Block("needs", ", ".join(note.tools) or "none", head="Tools")


def _procedure(answer: Answer, note: Note) -> Iterator[Block]:
    if note.before_you_start:
        yield Block("label", "Before you start")
        for item in note.before_you_start:
            yield Block("item", item)
    yield Block("label", "Steps")
    for step in answer.steps:
        for message in answer.safety:
            if message.before_step == step.n:
                yield _safety(message)
        yield Block("step", step.text, head=str(step.n), marked=step.matches)
        for choice in step.branches:
            yield Block("choice", choice)
    yield Block("label", "Result")
    yield Block("item", note.result)
    yield Block("label", "If it still fails")
    yield Block("item", note.if_it_still_fails)


def _direct(answer: Answer, note: Note) -> Iterator[Block]:
    if answer.about == "cautions" and answer.safety:
        yield from (_safety(message, named=True) for message in answer.safety)
        return
    if answer.about in _SAFETY_FIRST:
        yield from (_safety(message, named=True) for message in answer.safety)
        yield Block("text", answer.text)
        return
    yield Block("text", answer.text)
    yield from (_safety(message, named=True) for message in answer.safety)


def _safety(message: SafetyMessage, *, named: bool = False) -> Block:
    head = f"{message.signal} (before step {message.before_step})" if named else message.signal
    return Block("safety", message.text, head=head)


def _contact(contact: Contact) -> Block:
    name = contact.name[:1].upper() + contact.name[1:]
    return Block("contact", contact.number or "number not set; ask your office.", head=name)


def _options(answer: Answer, label: str) -> Iterator[Block]:
    if answer.options and label and label != "nearest":
        yield Block("label", label)
    for number, option in enumerate(answer.options, start=1):
        text = f"{option.title} ({option.apart})" if option.apart else option.title
        yield Block("option", text, head=str(number), target=option.id)
