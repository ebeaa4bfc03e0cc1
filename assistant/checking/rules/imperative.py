"""C502: a step is a command."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip, sentences, steps
from assistant.checking.words import COMMANDS, command_of

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    for note, step in steps(book):
        word = command_of(sentences(step.text)[0])
        if word not in COMMANDS:
            yield at_step(note, step, f"begins with '{word}', which is {_told(book, word)}: {clip(step.text)}")


def _told(book: Book, word: str) -> str:
    """Say that a word is what no note may tell to do, or else which commands are near it."""
    acts = [act.why for act in book.corpus.forbidden.acts if word in act.verbs]
    if acts:
        return f"no known command and may be a forbidden act ({'; '.join(dict.fromkeys(acts))})"
    near = get_close_matches(word, sorted(COMMANDS), n=3, cutoff=0.5)
    known = f", such as {', '.join(near)}" if near else ""
    return f"none of the {len(COMMANDS)} commands that STYLE.md lists{known}; begin with what the rep does"


RULE = Rule(
    code="C502",
    name="imperative",
    severity="warning",
    summary="A step begins with a command, after a condition at most.",
    reason="A command says who does it and what to do in the fewest words.",
    source="ASD-STE100 Issue 9 (2025), rule 5.3 (restated)",
    good="2. Look at the lamp.",
    bad="2. The lamp should be looked at.",
    find=_find,
)
