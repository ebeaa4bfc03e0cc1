"""What a turn names beyond its kind: a step by number or place, a thing, a wait; answered in the note's own words."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.model import Note

__all__ = ["item_answer", "step_meant", "steps_counted", "wait_answer"]

_PLACES = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8}
_NUMBERS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
}
_BEFORE = frozenset({"previous", "prior", "before", "earlier", "back"})
_AGAIN = frozenset({"again", "repeat", "same", "this", "that", "reread"})
_END = frozenset({"last", "final"})
_COUNTING = frozenset({"step", "number", "no", "nr"})
"""After these ``one`` is a number; in ``the last one`` it is not."""
_COUNTED = r"\bhow many\b|\bnumber of steps\b"
_WAIT = (
    r"\b(?:\d+|two|three|five|ten|fifteen|twenty|thirty|sixty)\s+(?:second|minute|hour|day)s?\b"
    r"|\bwait\b|\bdry\b|\bcool\b|\buntil\b"
)
_ASKING = frozenset("use using used ok okay safe allowed fine take put bring work good enough right wrong".split())  # noqa: SIM905
_MOST_LINES = 3


def steps_counted(text: str) -> bool:
    """Tell whether a turn asks how many steps there are."""
    return bool(re.search(_COUNTED, text, re.IGNORECASE))


def step_meant(text: str, step: int, count: int) -> int:
    """Return the number of the step that a turn means, 1 to ``count``; ``step`` is the one last named (0: none)."""
    words = tokenize(text)
    named = next((int(word) for word in words if word.isdecimal() and len(word) < 4), 0)
    named = named or next((_PLACES[word] for word in words if word in _PLACES), 0)
    told = (word for left, word in pairwise(["step", *words]) if word != "one" or left in _COUNTING)
    named = named or next((_NUMBERS[word] for word in told if word in _NUMBERS), 0)
    if not named:
        if _BEFORE.intersection(words):
            named = step - 1
        elif _END.intersection(words) and not _AGAIN.intersection(words):
            named = count
        else:
            named = step
    return max(1, min(named, count))


def wait_answer(note: Note) -> str:
    """Return the steps in which the note has one wait, dry or cool down, or says that it names none."""
    found = [f"Step {step.n}: {step.text}" for step in note.steps if _waits(step.text)]
    found += [text for text in (*note.before_you_start, note.result) if re.search(r"\d", text) and _waits(text)]
    if found:
        return " ".join(found[:_MOST_LINES])
    return f"The note names no waiting time; the whole work takes about {note.minutes} min."


def _waits(text: str) -> bool:
    return bool(re.search(_WAIT, text, re.IGNORECASE))


def item_answer(note: Note, text: str, stems: Callable[[str], str] | None = None) -> str:
    """Return the lines of the note that hold what a turn names, or say that the note does not name it."""
    stem = stems or Stems()
    asked = [word for word in tokenize(text) if not is_question_word(word) and word not in _ASKING]
    wanted = {stem(word) for word in asked}
    lines = [("Parts: ", part) for part in note.parts] + [("Tools: ", tool) for tool in note.tools]
    lines += [(f"{message.signal}: ", message.text) for message in note.safety]
    lines += [(f"Step {step.n}: ", step.text) for step in note.steps]
    lines += [("", other) for other in (*note.before_you_start, note.if_it_still_fails, note.why)]
    found = _holding(wanted, lines, stem)
    if not found:
        return f"The note does not name {' '.join(asked) or 'it'}. Use what it names; ask the support desk first."
    return " ".join(f"{head}{line}" for head, line in found)


def _holding(wanted: set[str], lines: Sequence[tuple[str, str]], stem: Callable[[str], str]) -> list[tuple[str, str]]:
    """Return the lines with most of the wanted terms, in order, a few at most."""
    counts = [len(wanted & {stem(word) for word in tokenize(line)}) for _, line in lines]
    best = max(counts, default=0)
    return [line for line, count in zip(lines, counts, strict=True) if count and count == best][:_MOST_LINES]
