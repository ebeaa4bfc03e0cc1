"""C306: a safety message is that of its hazard in the table, word for word."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.checking.messages import PARTS, begins_with, hazards_of, key_alone, message_line, stronger
from assistant.checking.rule import Book, Edit, Finding, Rule
from assistant.checking.said import at_field, sentences
from assistant.model import Hazard, Note, SafetyMessage
from assistant.notes.hazards import HAZARDS
from assistant.wording import counted

__all__ = ["RULE"]

_ONE_LINE = re.compile(r"hazards: \[[^\]]*\]\s*\Z")


def _find(book: Book) -> Iterator[Finding]:
    table = {hazard.key: hazard for hazard in book.corpus.hazards}
    if (not table and HAZARDS not in book.texts) or any(fault.path == HAZARDS for fault in book.faults):
        return  # there is no table, or nobody knows what is in it
    yield from _short_forms(book, table)
    for note in book.corpus.notes:
        if not table and not note.hazards:
            continue  # in a table with no hazard yet a message needs no name
        found = hazards_of(note, book.corpus.hazards)
        told = [h if h and begins_with(m.text, h) else None for h, m in zip(found, note.safety, strict=True)]
        yield from _keys(book, note, table, told)
        for message, hazard, said in zip(note.safety, found, told, strict=True):
            if hazard:
                yield from _message(book, note, message, hazard, right=said is not None)


def _short_forms(book: Book, table: dict[str, Hazard]) -> Iterator[Finding]:
    """Find a key that stands for its message: what an author may write, and the mend writes out."""
    for path, lines in book.texts.items():
        for number, line in enumerate(lines, start=1):
            key = key_alone(line) if path.endswith(".md") else ""
            if key in table:
                edit = Edit(path, number, line, message_line(table[key]) + line[len(line.rstrip("\r")) :])
                yield Finding(path, number, f"stands for the message of '{key}': --fix writes it out", edit)
            elif key:
                what = f"stands for the message of '{key}', which hazards.yaml does not have"
                yield Finding(path, number, f"{what}: add it there, or write one of its keys")


def _keys(book: Book, note: Note, table: dict[str, Hazard], told: list[Hazard | None]) -> Iterator[Finding]:
    unknown = [key for key in note.hazards if key not in table]
    keys = [hazard.key for hazard in told if hazard]
    wrong = ""
    if len(note.hazards) != len(note.safety):
        messages = counted(len(note.safety), "safety message")
        wrong = (
            f"names {counted(len(note.hazards), 'hazard')}, and the note has {messages}: name one for each, in order"
        )
    elif len(keys) == len(told) and list(note.hazards) != keys:
        wrong = f"the messages are those of {', '.join(keys)}: write hazards: [{', '.join(keys)}], or --fix"
    elif unknown:
        wrong = f"hazards.yaml does not have {', '.join(map(repr, unknown))}: add it there, or name the right key"
    if wrong:
        edit = _keys_edit(book, note, keys) if len(keys) == len(told) else None
        line = edit.line if edit and edit.before.strip() != "---" else _line(book, note)
        yield Finding(note.path, line, wrong, edit)


def _line(book: Book, note: Note) -> int:
    if note.hazards or not note.safety:
        return at_field(book, note, "hazards", "").line
    return note.safety[0].line


def _keys_edit(book: Book, note: Note, keys: list[str]) -> Edit | None:
    """Return the mend of the field: the keys of the messages in their order."""
    lines = book.texts.get(note.path, ())
    field = f"hazards: [{', '.join(keys)}]"
    end = next((n for n, line in enumerate(lines[1:], start=2) if line.strip() == "---"), 0)
    for number, line in enumerate(lines[:end], start=1):
        if line.startswith("hazards:"):
            return Edit(note.path, number, line, field) if _ONE_LINE.match(line) else None
    return Edit(note.path, end, lines[end - 1], f"{field}\n{lines[end - 1]}") if end and keys else None


def _message(book: Book, note: Note, message: SafetyMessage, hazard: Hazard, *, right: bool) -> Iterator[Finding]:
    if not right:
        what = (
            f"does not begin with the three sentences of '{hazard.key}' in hazards.yaml: write > {hazard.key} on this "
            "line and run --fix"
        )
    elif stronger(message.signal, hazard.signal) != message.signal:
        what = f"is a {message.signal}, and '{hazard.key}' is a {hazard.signal} at least: begin it with {hazard.signal}"
    else:
        return
    line = book.texts.get(note.path, ())[message.line - 1]
    whole = f"> **{message.signal}** {message.text}"
    edit = None
    if line.rstrip() == whole and len(sentences(message.text)) >= PARTS:
        edit = Edit(note.path, message.line, line, message_line(hazard, message.signal, message.text))
    yield Finding(note.path, message.line, what, edit)


RULE = Rule(
    code="C306",
    name="hazard-message",
    severity="error",
    summary="A note names its hazards in the order of its messages; each begins with the hazard's sentences in "
    "hazards.yaml and has its signal word or a stronger one.",
    reason="One hazard that is told in two ways is taken for two, and a mended sentence reaches every note.",
    source="OASIS DITA 1.3, content reference (restated); the corpus's own style",
    good="> **WARNING** A cut lead has bare wires. They can burn a hand. Unplug it first.\n\n2. Look at the lead.",
    bad="> **WARNING** A lead can be bare. It can burn a hand. Unplug it first.\n\n2. Look at the lead.",
    find=_find,
)
