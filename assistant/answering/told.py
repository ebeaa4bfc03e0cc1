"""What a turn names beyond its kind: a step by number or place, a thing, a wait; answered in the note's own words."""

from __future__ import annotations

import re
from collections.abc import Callable

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import spellings, tokenize
from assistant.languages import Language, language_of, said
from assistant.model import Note

__all__ = ["item_answer", "step_meant", "steps_counted", "wait_answer"]

_MOST_LINES = 3


def steps_counted(text: str, language: Language | None = None) -> bool:
    """Tell whether a turn asks how many steps there are."""
    return bool(re.search((language or language_of()).counted, text, re.IGNORECASE))


def step_meant(text: str, step: int, count: int, language: Language | None = None) -> int:
    """Return the number of the step that a turn means, 1 to ``count``; ``step`` is the one last named (0: none)."""
    language = language or language_of()
    places, numbers = language.places, language.numbers
    words = tokenize(text, language)
    named = next((int(word) for word in words if word.isdecimal() and len(word) < 4), 0)
    named = named or next((places[word] for word in words if word in places), 0)
    after = zip((None, *words), words, strict=False)
    told = (word for left, word in after if word != language.alone or left is None or left in language.counting)
    named = named or next((numbers[word] for word in told if word in numbers), 0)
    if not named:
        if language.before.intersection(words):
            named = step - 1
        elif language.end.intersection(words) and not language.again.intersection(words):
            named = count
        else:
            named = step
    return max(1, min(named, count))


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
