"""What a turn names beyond its kind: a step by number or place, a thing, a wait; answered in the note's own words."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import spellings, tokenize
from assistant.languages import Language, language_of, said
from assistant.model import Note

__all__ = [
    "asks_permission",
    "cautions",
    "item_answer",
    "permission_answer",
    "step_beyond",
    "step_meant",
    "steps_counted",
    "wait_answer",
]

_MOST_LINES = 3


def steps_counted(text: str, language: Language | None = None) -> bool:
    """Tell whether a turn asks how many steps there are."""
    return bool(re.search((language or language_of()).counted, text, re.IGNORECASE))


def step_meant(text: str, step: int, count: int, language: Language | None = None) -> int:
    """Return the number of the step that a turn means, 1 to ``count``; ``step`` is the one last named (0: none)."""
    language = language or language_of()
    words = tokenize(text, language)
    named = _numbered(words, language)
    if not named:
        if language.before.intersection(words):
            named = step - 1
        elif language.end.intersection(words) and not language.again.intersection(words):
            named = count
        else:
            named = step
    return max(1, min(named, count))


def step_beyond(text: str, count: int, language: Language | None = None) -> bool:
    """Tell whether a turn names a step, by a number up to three digits, that ``count`` steps do not have."""
    language = language or language_of()
    words = tokenize(text, language)
    return _numbered(words, language) > count or "0" in words


def _numbered(words: Sequence[str], language: Language) -> int:
    """Return the number of the step that some words name, 0 where they name none."""
    places, numbers = language.places, language.numbers
    named = next((int(word) for word in words if word.isdecimal() and len(word) < 4), 0)
    named = named or next((places[word] for word in words if word in places), 0)
    after = zip((None, *words), words, strict=False)
    told = (word for left, word in after if word != language.alone or left is None or left in language.counting)
    return named or next((numbers[word] for word in told if word in numbers), 0)


def wait_answer(note: Note, language: Language | None = None) -> str:
    """Return the steps in which the note has one wait, dry or cool down, or says that it names none."""
    wait = (language or language_of()).wait
    found = [said("Step {n}: {text}", n=step.n, text=step.text) for step in note.steps if _waits(step.text, wait)]
    found += [text for text in (*note.before_you_start, note.result) if re.search(r"\d", text) and _waits(text, wait)]
    if found:
        return " ".join(found[:_MOST_LINES])
    return said("The note names no waiting time; the whole work takes about {n} min.", n=note.minutes)


def _waits(text: str, wait: str) -> bool:
    return bool(re.search(wait, text, re.IGNORECASE))


def item_answer(
    note: Note, text: str, stems: Callable[[str], str] | None = None, language: Language | None = None
) -> str:
    """Return the lines of the note that hold what a turn names, or say that the note does not name it."""
    language = language or language_of()
    stem = stems or Stems(language)
    asked = [word for word in tokenize(text, language) if not is_question_word(word, language)]
    asked = [word for word in asked if word not in language.asking]
    wanted = {stem(word) for word in asked}
    lines = [(said("Parts: {names}", names=part), part) for part in note.parts]
    lines += [(said("Tools: {names}", names=tool), tool) for tool in note.tools]
    lines += [(f"{message.signal}: {message.text}", message.text) for message in note.safety]
    lines += [(said("Step {n}: {text}", n=step.n, text=step.text), step.text) for step in note.steps]
    lines += [(other, other) for other in (*note.before_you_start, note.if_it_still_fails, note.why)]
    counts = [len(wanted & {stem(word) for word in tokenize(line, language)}) for _, line in lines]
    best = max(counts, default=0)
    found = [line for (line, _), count in zip(lines, counts, strict=True) if count and count == best][:_MOST_LINES]
    if found:
        return " ".join(found)
    if not asked:
        return said("The note does not name it. Use what it names; ask the support desk first.")
    typed = spellings(text, language)
    names = " ".join(typed.get(word, word) for word in asked)
    return said("The note does not name {names}. Use what it names; ask the support desk first.", names=names)


def cautions(note: Note) -> str:
    """Return all the safety messages of a note, each whole."""
    if not note.safety:
        return said("The note names no hazard. Local rules come first.")
    return " ".join(f"{message.signal}: {message.text}" for message in note.safety)


def asks_permission(text: str, language: Language | None = None) -> bool:
    """Tell whether a turn asks whether something may be done."""
    return bool(re.search((language or language_of()).permission, text, re.IGNORECASE))


def permission_answer(note: Note, told: str, language: Language | None = None) -> str:
    """Return all that a note forbids, then its safety messages, and only then ``told``, which is no yes."""
    never = re.compile((language or language_of()).never)
    messages = (message.text for message in note.safety)
    texts = (*note.before_you_start, *messages, *(step.text for step in note.steps))
    sentences = (sentence for text in texts for sentence in re.split(r"(?<=[.!?])\s+", text))
    forbidden = dict.fromkeys(sentence for sentence in sentences if never.match(sentence))
    before = " ".join([*forbidden, cautions(note)])
    return before if told in before else f"{before} {told}"
