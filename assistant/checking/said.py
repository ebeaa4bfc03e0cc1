"""The sentences of the notes, and the file and line where each of them stands."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache, partial
from typing import NamedTuple

from assistant.checking.rule import Book, Finding
from assistant.model import Branch, Note, Step

__all__ = [
    "EVERYTHING",
    "TELLING",
    "Said",
    "at_choice",
    "at_field",
    "at_step",
    "blocks",
    "choices",
    "clip",
    "count_words",
    "figures",
    "find_said",
    "found",
    "has",
    "outside_limits",
    "said",
    "sentences",
    "steps",
    "waits",
    "whole_text",
]

TELLING = ("before", "steps", "choices", "safety", "result", "fails", "why")
"""The sections that tell a rep what to do or to know."""
EVERYTHING = ("title", "condition", "cause", *TELLING)

_HEADINGS = {
    "title": "title:",
    "condition": "## Condition",
    "cause": "## Cause",
    "before": "## Before you start",
    "result": "## Result",
    "fails": "## If it still fails",
    "why": "## Why",
}
_LONGEST_QUOTE = 72
_PREFIX = 40
_ABBREVIATIONS = re.compile(r"\b(?:e\.g|i\.e|No|approx|etc)\.")
_ENDS = re.compile(r"(?<=[.!?])[\"')]*\s+")
_UNITS = (
    r"%|percent|C|F|V|A|W|VA|Hz|GHz|mm|cm|m|in|inch|inches|kg|lb|lbf|N|dBA|nm|mA|ppm|"
    r"seconds?|minutes?|hours?|days?|years?|degrees?|metres?|paces?"
)
_NUMBER_WITH_UNIT = re.compile(rf"\b\d+(?:[.,]\d+)*\s+(?:{_UNITS})\b")
_WORD = re.compile(r"\w[\w'.,/-]*")
_WAIT = re.compile(
    r"\b(?:for|after|wait|tell|of|is|to) (?:about |the )?(\d+|[a-z]+) minutes?\b(?! before| after)|"
    r"^(\w+) minutes (?:tell|of)",
    re.IGNORECASE,
)
_NUMBER_WORDS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "ten": 10,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
}


class Said(NamedTuple):
    """One sentence of a note; ``line`` is that of its step or message, 0 where it is still to be looked for."""

    note: Note
    section: str
    text: str
    line: int = 0


@lru_cache(maxsize=1 << 15)
def sentences(text: str) -> tuple[str, ...]:
    """Split running text at full stops, question and exclamation marks that a space follows."""
    guarded = _ABBREVIATIONS.sub(lambda match: match.group().replace(".", "\0"), text)
    return tuple(part.replace("\0", ".").strip() for part in _ENDS.split(guarded) if part.strip())


def count_words(sentence: str) -> int:
    """Count words as ASD-STE100 Issue 9, rules 8.4 to 8.7, does.

    Parentheses, a title in quotation marks, a number with its unit, and a hyphenated word are one word each.
    """
    text = re.sub(r"\([^)]*\)|\"[^\"]*\"", " aside ", sentence)
    return len(_WORD.findall(_NUMBER_WITH_UNIT.sub(" figure ", text)))


def blocks(note: Note, section: str) -> Iterable[tuple[str, int]]:
    """Return the texts of a section, each with its line, 0 where that is still to be looked for."""
    match section:
        case "steps":
            return ((step.text, step.line) for step in note.steps)
        case "choices":
            return ((branch.text, step.line) for step in note.steps for branch in step.branches)
        case "safety":
            return ((message.text, message.line) for message in note.safety)
        case "cause":
            return ((text, 0) for text in note.cause)
        case "before":
            return ((text, 0) for text in note.before_you_start)
    text = {
        "title": note.title,
        "condition": note.condition,
        "result": note.result,
        "fails": note.if_it_still_fails,
        "why": note.why,
    }[section]
    return ((text, 0),) if text else ()


def said(book: Book, *sections: str) -> Iterator[Said]:
    """Yield every sentence of the named sections, of all sections where none is named."""
    for note in book.corpus.notes:
        for section in sections or EVERYTHING:
            for text, line in blocks(note, section):
                for sentence in sentences(text):
                    yield Said(note, section, sentence, line)


def whole_text(note: Note, *sections: str) -> str:
    """Return the named sections of one note, or all, as one string."""
    return " ".join(text for section in sections or EVERYTHING for text, _ in blocks(note, section))


def has(text: str, pattern: str) -> bool:
    """Tell whether ``pattern`` occurs in ``text``, whatever the case of its letters."""
    return re.search(pattern, text, re.IGNORECASE) is not None


def clip(text: str) -> str:
    """Return ``text`` in quotation marks, cut where it is long."""
    return f'"{text}"' if len(text) <= _LONGEST_QUOTE else f'"{text[: _LONGEST_QUOTE - 3].rstrip()}..."'


def found(book: Book, one: Said, message: str) -> Finding:
    """Return a finding at the line where a sentence begins."""
    return Finding(one.note.path, _line_of(book, one), message)


def _line_of(book: Book, one: Said) -> int:
    if one.section in {"steps", "safety"}:
        return one.line
    first = one.line or book.line_of(one.note, _HEADINGS[one.section])
    if one.section == "title":
        return first
    words = one.text.split()
    for start in (one.text[:_PREFIX], " ".join(words[:6]), " ".join(words[:3]), words[0]):
        line = book.line_of(one.note, start, first=first + 1)
        if line > first + 1 or start in "".join(book.texts.get(one.note.path, ())[first : first + 1]):
            return line
    return first


def find_said(
    book: Book, sections: Iterable[str], wrong: Callable[[str], bool], message: Callable[[str], str]
) -> Iterator[Finding]:
    """Yield a finding for every sentence of ``sections`` that is ``wrong``."""
    for one in said(book, *sections):
        if wrong(one.text):
            yield found(book, one, message(one.text))


def outside_limits(wrong: Callable[[str], bool]) -> Callable[[Book], Iterator[Finding]]:
    """Return what finds every sentence with a figure that is ``wrong``."""
    return partial(
        find_said,
        sections=EVERYTHING,
        wrong=lru_cache(maxsize=1 << 13)(wrong),
        message=lambda text: f"a figure outside the published limit: {clip(text)}",
    )


def at_step(note: Note, step: Step, message: str) -> Finding:
    """Return a finding at a step."""
    return Finding(note.path, step.line, message)


def at_choice(book: Book, note: Note, step: Step, branch: Branch, message: str) -> Finding:
    """Return a finding at a choice under a step."""
    return found(book, Said(note, "choices", branch.text, step.line), message)


def at_field(book: Book, note: Note, field: str, message: str) -> Finding:
    """Return a finding at a field of the front matter."""
    return Finding(note.path, book.line_of(note, f"{field}:"), message)


def steps(book: Book, pattern: str = "") -> Iterator[tuple[Note, Step]]:
    """Yield every step whose text holds ``pattern``."""
    for note in book.corpus.notes:
        for step in note.steps:
            if has(step.text, pattern):
                yield note, step


def choices(book: Book) -> Iterator[tuple[Note, Step, Branch]]:
    """Yield every choice."""
    for note in book.corpus.notes:
        for step in note.steps:
            for branch in step.branches:
                yield note, step, branch


def figures(text: str, unit: str) -> list[float]:
    """Return every number that stands before ``unit``, a pattern; both ends of a range are included."""
    pattern = rf"(?<![\w.-])(?:(\d+(?:\.\d+)?)(?: (?:to|and|or) |-))?(-?\d+(?:\.\d+)?) ?(?:{unit})(?![\w])"
    return [float(number) for match in re.finditer(pattern, text) for number in match.groups() if number is not None]


def waits(text: str) -> list[int]:
    """Return the minutes of every stated wait: "for ten minutes", "wait 5 minutes", "after one minute"."""
    words = ((match[1] or match[2]).lower() for match in _WAIT.finditer(text))
    numbers = (int(word) if word.isdigit() else _NUMBER_WORDS.get(word, 0) for word in words)
    return [number for number in numbers if number]
