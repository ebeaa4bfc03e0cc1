"""C303: a known hazard has its message before the step where it arises."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from assistant.checking.advice import advises
from assistant.checking.messages import hazards_of, words_of_steps
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, has
from assistant.model import Note

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    wanted: dict[str, list[str]] = defaultdict(list)
    for hazard in book.corpus.hazards:
        for words in hazard.before:
            wanted[words].append(hazard.key)
    for words, keys in wanted.items():
        said, unless = words_of_steps(words)
        shown = words.partition(" unless ")[0]
        for note in book.corpus.notes:
            for step in note.steps:
                if (
                    has(step.text, said)
                    and advises(step.text, said)
                    and not has(step.text, unless)
                    and not has(note.title, unless)
                    and _told_by(note, book).isdisjoint((key, n) for key in keys for n in range(step.n + 1))
                ):
                    named = " or ".join(f"'{key}'" for key in keys)
                    yield at_step(note, step, f"no message on {named} stands before step {step.n}, which has '{shown}'")


def _told_by(note: Note, book: Book) -> set[tuple[str, int]]:
    """Return the key of each message and the step that it stands before."""
    hazards = hazards_of(note, book.corpus.hazards)
    return {(h.key, message.before_step) for h, message in zip(hazards, note.safety, strict=True) if h}


RULE = Rule(
    code="C303",
    name="message-before-step",
    severity="error",
    summary="Before a step that says what a hazard has under 'before' in hazards.yaml stands that hazard's message.",
    reason="A warning that is read after the deed is of no use.",
    source="IEC/IEEE 82079-1:2019, warnings where the hazard arises (restated)",
    good="> **WARNING** Alcohol gives off vapour. It can catch fire and burn skin. Keep flames away.\n\n"
    "2. Wipe the rim with alcohol.",
    bad="2. Wipe the rim with alcohol.",
    find=_find,
)
