"""Blocks -> draft notes: headings become notes or sections, numbered items steps, signal words safety messages."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from assistant.desk.importing.blocks import Block, Left, Source, kept, words_of
from assistant.desk.importing.lettered import letter_of
from assistant.desk.importing.sections import TOOLS_AND_PARTS, bare_heading, section_of, signal_of
from assistant.desk.importing.tables import table_cells
from assistant.desk.importing.wording import choice_of, item_text, message_text, step_text
from assistant.desk.skeleton import TO_WRITE, Content

__all__ = ["Drafted", "assembled"]

_TYPED = re.compile(r"\A(\d{1,2})[.)]\s+(?=\S)")
_AFTER = f"Say what is done after this message {TO_WRITE}."
_IN_LIST = ("cause", "before")


class Drafted(NamedTuple):
    """A note as far as its old procedure fills it; ``line`` is where that begins."""

    title: str
    content: Content
    place: str
    line: int


class _Step(NamedTuple):
    text: str
    line: int
    number: int
    messages: tuple[tuple[str, str], ...]
    choices: tuple[str, ...] = ()


@dataclass
class _Open:
    """A note that is being filled."""

    heading: str
    line: int
    section: str = ""
    texts: dict[str, list[str]] = field(default_factory=dict)
    names: dict[str, list[str]] = field(default_factory=dict)
    steps: list[_Step] = field(default_factory=list)
    messages: list[tuple[str, str]] = field(default_factory=list)
    letters: int = 0
    """How many lettered items stand under the last step."""
    last_message_line: int = 0
    bare: list[Block] = field(default_factory=list)
    """What stands right under the heading, in no section."""

    @property
    def told(self) -> bool:
        """Whether it has more of a note than text under a heading."""
        return bool(self.section or self.names or self.steps or self.messages)


def assembled(source: Source) -> tuple[list[Drafted], list[Left]]:
    """Return the drafts that a file makes, and what of it found no place, in the order of the file."""
    making = _Making(source)
    for block in source.blocks:
        making.take(block)
    making.end()
    left = [*source.left, *making.left]
    left += _unseen(source, [*making.placed, *(one.text for one in left)])
    return making.drafts, sorted(left, key=lambda one: one.line)


def _unseen(source: Source, told: Sequence[str]) -> Iterator[Left]:
    """Yield the lines of the file with a word that neither a draft nor the list holds as often as the file does."""
    seen: dict[str, int] = {}
    for text in told:
        for word in words_of(text):
            seen[word] = seen.get(word, 0) + 1
    for line, text in source.lines:
        lacking = False
        for word in words_of(text):
            seen[word] = seen.get(word, 0) - 1
            lacking = lacking or seen[word] < 0
        if lacking:
            yield Left(source.place, line, "holds a word that was not read", kept(text))


class _Making:
    """Takes blocks one by one; ``placed`` are the texts that went into drafts."""

    def __init__(self, source: Source) -> None:
        self.drafts: list[Drafted] = []
        self.left: list[Left] = []
        self.placed: list[str] = []
        self._place = source.place
        self._name = source.name
        self._note: _Open | None = None
        self._only_text: list[_Open] = []
        self._signal = ""

    def take(self, block: Block) -> None:
        """Put one block where it belongs."""
        if block.kind == "table":
            self._signal_ends()
            self._table(block)
            return
        if self._signal and block.kind != "heading":
            signal, self._signal = self._signal, ""
            self._message(signal, block.text, block.line, inside=False)
            return
        self._signal_ends()
        signal, rest = signal_of(block.text)
        if signal and not rest:
            self._signal = signal
            self._open(block.line).last_message_line = block.line
        elif signal:
            self._message(signal, rest, block.line, inside=self._in_step(block))
        elif block.kind == "heading":
            self._heading(block)
        else:
            self._text(block)

    def end(self) -> None:
        """End the last note; text alone makes a note where the file holds nothing else."""
        self._close()
        others = bool(self.drafts)
        for note in self._only_text:
            if not others:
                self._draft(note)
                continue
            self._tell(note.line, "a heading with nothing but text below it makes no note", note.heading)
            for block in note.bare:
                self._tell(block.line, "text that belongs to no note", block.text)
                self.placed.remove(block.text)

    def _close(self) -> None:
        """End the note that is open."""
        self._signal_ends()
        note, self._note = self._note, None
        if note is None:
            return
        if not note.told and note.bare:
            self._only_text.append(note)
        elif not (note.texts or note.names or note.steps or note.messages):
            self._tell(note.line, "a heading without text of its own makes no note", note.heading)
        else:
            self._draft(note)

    def _draft(self, note: _Open) -> None:
        if note.messages:
            self._tell(note.last_message_line, "a safety message after the last step got a step to be written")
            note.steps.append(_Step(_AFTER, note.last_message_line, len(note.steps) + 1, tuple(note.messages)))
        title = self._title(note)
        self.drafts.append(Drafted(title, self._content(note), self._place, note.line))

    def _tell(self, line: int, what: str, text: str = "") -> None:
        self.left.append(Left(self._place, line, what, text))

    def _open(self, line: int) -> _Open:
        if self._note is None:
            self._note = _Open(self._name, line)
        return self._note

    def _heading(self, block: Block) -> None:
        text, number = bare_heading(block.text)
        if number:
            self._tell(block.line, "the number before a heading is left out", number)
        section = section_of(text)
        if not section:
            self._close()
            self._note = _Open(text, block.line)
            return
        self._open(block.line).section = section
        self._tell(block.line, f"a heading was read as the section '{section}'", text)

    def _title(self, note: _Open) -> str:
        title = " ".join(note.heading.split()[:9]).rstrip(".:; ") or "Imported note"
        if title == note.heading:
            self.placed.append(title)
        else:
            self._tell(note.line, "the heading was cut to a title", note.heading)
        return title

    def _in_step(self, block: Block) -> bool:
        """Tell whether a paragraph belongs to the step before it."""
        return block.kind == "more" or (block.kind == "item" and block.level > 1 and not block.number)

    def _message(self, signal: str, text: str, line: int, *, inside: bool) -> None:
        note = self._open(line)
        self.placed += [signal, text]
        if inside and note.steps and note.section in ("", "steps"):
            last = note.steps[-1]
            note.steps[-1] = last._replace(messages=(*last.messages, (signal, text)))
        else:
            note.messages.append((signal, text))
            note.last_message_line = line

    def _signal_ends(self) -> None:
        if self._signal:
            signal, self._signal = self._signal, ""
            self._message(signal, "", self._open(1).last_message_line, inside=False)

    def _text(self, block: Block) -> None:
        note = self._open(block.line)
        section = note.section or ("steps" if block.number or note.steps else "condition")
        letter, lettered = letter_of(block.text)
        typed = _TYPED.match(block.text) if block.kind == "text" else None
        if letter == note.letters + 1 and note.steps and section == "steps" and block.kind != "item":
            self.placed.append(block.text[0])
            self._step(note, lettered, block.line, 0)
            note.letters = letter
            return
        if typed and note.section in ("", "steps") and int(typed[1]) in (1, len(note.steps) + 1):
            self.placed.append(typed[1])
            self._step(note, block.text[typed.end() :], block.line, int(typed[1]))
        elif section in TOOLS_AND_PARTS:
            self._name_item(note, section, block.text)
        elif section != "steps":
            self.placed.append(block.text)
            if not note.section:
                note.bare.append(block)
            listed = section in _IN_LIST or block.kind == "item"
            note.texts.setdefault(section, []).append(item_text(block.text, listed=listed))
        elif block.kind == "item" and not self._in_step(block):
            self._item_step(note, block)
        elif block.kind == "text":
            self._between_steps(note, block)
        else:
            self._more(note, block)

    def _item_step(self, note: _Open, block: Block) -> None:
        if block.number:
            self._step(note, block.text, block.line, block.number if block.level == 1 else 0)
        elif note.steps and choice_of(block.text):
            self._more(note, block)
        elif any(step.number for step in note.steps):
            self._between_steps(note, block)
        else:
            self._step(note, block.text, block.line, 0)

    def _between_steps(self, note: _Open, block: Block) -> None:
        if note.steps:
            self._tell(block.line, "text between steps belongs to no step", block.text)
        else:
            self.placed.append(block.text)
            note.texts.setdefault("before", []).append(item_text(block.text, listed=True))

    def _more(self, note: _Open, block: Block) -> None:
        """Add a choice or a further sentence to the last step."""
        if not note.steps:
            self._step(note, block.text, block.line, 0)
            return
        self.placed.append(block.text)
        last = note.steps[-1]
        if choice_of(block.text) and block.kind == "item":
            note.steps[-1] = last._replace(choices=(*last.choices, block.text))
        else:
            end = "" if last.text.endswith((".", "!", "?", ":")) else "."
            note.steps[-1] = last._replace(text=f"{last.text}{end} {block.text}")

    def _step(self, note: _Open, text: str, line: int, number: int) -> None:
        self.placed.append(text)
        note.steps.append(_Step(text, line, number, tuple(note.messages)))
        note.messages = []
        note.letters = 0

    def _name_item(self, note: _Open, section: str, text: str) -> None:
        self.placed.append(text)
        note.names.setdefault(section, []).append(text)

    def _table(self, block: Block) -> None:
        note = self._open(block.line)
        for cell in table_cells(block.rows):
            if cell.kind == "message":
                signal, rest = signal_of(cell.text)
                self._message(signal, rest, block.line, inside=False)
                self.placed.append(str(cell.number or ""))
            elif cell.kind == "step":
                self._step(note, cell.text, block.line, cell.number)
                self.placed.append(str(cell.number or ""))
            elif cell.kind in ("part", "tool"):
                self._name_item(note, f"{cell.kind}s", cell.text)
            elif cell.kind == "head":
                self._tell(block.line, "the head of a table is left out", cell.text)
            elif cell.beside:
                self._tell(block.line, f"a cell beside '{cell.beside}' found no place", cell.text)
            else:
                self._tell(block.line, "a row of a table found no place", cell.text)

    def _content(self, note: _Open) -> Content:
        moved = any(step.number != n for n, step in enumerate(note.steps, start=1))
        counted = any(step.number for step in note.steps)
        steps = []
        for n, step in enumerate(note.steps, start=1):
            if counted and step.number != n:
                was = f"step {step.number} of its list" if step.number else "no numbered step"
                self._tell(step.line, f"was {was}, is step {n} of '{note.heading}': look at what names steps")
            steps += [message_text(signal, text) for signal, text in step.messages]
            steps.append(step_text(n, step.text, self._choices(note, step, moved=moved)))
        held = {**note.texts, **{name: list(dict.fromkeys(names)) for name, names in note.names.items()}}

        def of(name: str) -> tuple[str, ...]:
            return tuple(held.get(name, ()))

        before = (of("condition"), of("cause"), of("before"))
        return Content(*before, tuple(steps), of("result"), of("fails"), of("why"), of("tools"), of("parts"))

    def _choices(self, note: _Open, step: _Step, *, moved: bool) -> list[str]:
        """Return the choices of a step that still lead where they led; the others are told."""
        kept_choices = []
        for text in step.choices:
            to = choice_of(text)
            if to and (to == "done" or (not moved and 1 <= int(to) <= len(note.steps))):
                kept_choices.append(text)
            else:
                self._tell(step.line, "a choice leads to a step that is numbered otherwise", text)
        return kept_choices
