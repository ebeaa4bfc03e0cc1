"""An answer as a card: the same blocks in the same order for every front end, which only draws them."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.languages import said, speak, to_say
from assistant.model import Answer, Contact, Note, SafetyMessage
from assistant.notes.signing import safety_line
from assistant.values import Literal, NamedTuple

__all__ = ["NONE", "OTHERS", "STEPS", "Block", "BlockKind", "card", "pictures"]

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
    "picture",
    "choice",
    "emergency",
    "contact",
    "source",
    "option",
]
NONE = to_say("none")
"""Stands where a note needs no parts, or no tools."""
STEPS = to_say("Steps")
"""The label above the steps."""
_WHOLE = frozenset({"procedure", "back"})
OTHERS = to_say("Not it? Other notes")
"""The label above the notes that were nearly found."""
_BEYOND = frozenset({"next_if_fails", "escalate"})
"""What is told sends a rep on to do more than a step says: all messages of the note stand beside it."""


class Block(NamedTuple):
    """One piece of a card.

    ``head`` is what stands out before the text: a signal word, a step number, the number of an option. ``marked`` tells
    a step that holds what was asked about. ``target`` is the id of an option's note, or where a picture lies, whose
    ``text`` says what it shows.
    """

    kind: BlockKind
    text: str
    head: str = ""
    marked: bool = False
    target: str = ""


def card(answer: Answer) -> tuple[Block, ...]:
    """Return the blocks of a card, top to bottom.

    A whole note has all of its safety messages, each before its step. A short answer comes first and repeats no head:
    it has the messages of the steps that it tells, before them, and below it the name of the note; what was understood
    is told with other notes to pick from. Where harm comes near, the line on whom to call stands above all but what was
    understood. Small talk is answered in a line, which is no card of the note in hand.
    """
    emergency = [Block("emergency", answer.emergency)] if answer.emergency else []
    speak(answer.language)
    read_as = [Block("read_as", answer.read_as)] if answer.read_as else []
    if answer.about == "small_talk":
        return (*emergency, Block("text", answer.text))
    note = answer.note
    if note and answer.about not in _WHOLE:
        understood = read_as if answer.options else []
        return (*emergency, *_short(answer, note), *understood, *_options(answer, said(OTHERS)))
    blocks = [*read_as, *emergency]
    if note is None:
        blocks.append(Block("text", answer.text))
        blocks += _options(answer, "" if answer.decision == "choose" else "nearest")
        return tuple(blocks)
    blocks += _head(note, answer.action)
    blocks += _procedure(answer, note)
    blocks += map(_contact, answer.contacts)
    origin = said(
        "{id}, revision {revision}, reviewed {day}. Sources: {sources}",
        id=note.id,
        revision=note.revision,
        day=note.reviewed,
        sources=", ".join(note.sources),
    )
    blocks.append(_source(note, origin))
    blocks += _options(answer, said(OTHERS))
    return tuple(blocks)


def _source(note: Note, origin: str) -> Block:
    safety = safety_line(note)
    return Block("source", f"{origin}. {safety}" if safety else origin)


def _head(note: Note, action: str) -> Iterator[Block]:
    yield Block("action", said("about {n} min", n=note.minutes), head=(action or note.action).upper())
    yield Block("title", note.title)
    yield Block("needs", ", ".join(note.parts) or said(NONE), head=said("Parts"))
    yield Block("needs", ", ".join(note.tools) or said(NONE), head=said("Tools"))


def _procedure(answer: Answer, note: Note) -> Iterator[Block]:
    if note.before_you_start:
        yield Block("label", said("Before you start"))
        for item in note.before_you_start:
            yield Block("item", item)
        yield from pictures(note, 0)
    yield Block("label", said(STEPS))
    for step in answer.steps:
        for message in answer.safety:
            if message.before_step == step.n:
                yield _safety(message)
        yield Block("step", step.text, head=str(step.n), marked=step.matches)
        yield from pictures(note, step.n)
        for choice in step.branches:
            yield Block("choice", choice)
    yield Block("label", said("Result"))
    yield Block("item", note.result)
    yield Block("label", said("If it still fails"))
    yield Block("item", note.if_it_still_fails)


def _short(answer: Answer, note: Note) -> Iterator[Block]:
    told = {step.n for step in note.steps if step.text in answer.text}
    whole = answer.about == "cautions" and bool(answer.safety)
    for message in answer.safety:
        if whole or message.before_step in told:
            yield _safety(message, named=True)
    if not whole:
        yield Block("text", answer.text)
        for n in sorted(told):
            yield from pictures(note, n)
    if answer.about in _BEYOND:
        yield from (_safety(message, named=True) for message in answer.safety if message.before_step not in told)
    text = answer.text.lower()
    yield from (_contact(contact) for contact in answer.contacts if contact.name.lower() in text)
    origin = said("{title}: {id}, revision {revision}", title=note.title, id=note.id, revision=note.revision)
    yield _source(note, origin)


def pictures(note: Note, step: int) -> Iterator[Block]:
    """Yield a block for each picture under a step of a note, with 0 for each below what is done before the first."""
    area = note.id.partition("-")[0]
    for figure in note.figures:
        if figure.step == step:
            yield Block("picture", figure.alt, head=said("Picture"), target=f"{area}/{figure.name}")


def _safety(message: SafetyMessage, *, named: bool = False) -> Block:
    signal = message.signal
    head = said("{signal} (before step {n})", signal=signal, n=message.before_step) if named else signal
    return Block("safety", message.text, head=head)


def _contact(contact: Contact) -> Block:
    name = contact.name[:1].upper() + contact.name[1:]
    return Block("contact", contact.number or said("number not set; ask your office."), head=name)


def _options(answer: Answer, label: str) -> Iterator[Block]:
    if answer.options and label and label != "nearest":
        yield Block("label", label)
    for number, option in enumerate(answer.options, start=1):
        text = f"{option.title} ({option.apart})" if option.apart else option.title
        yield Block("option", text, head=str(number), target=option.id)
