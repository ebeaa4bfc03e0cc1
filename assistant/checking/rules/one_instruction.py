"""C501: one instruction a sentence and a step."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_step, clip, has, sentences, steps
from assistant.checking.words import COMMANDS, WATCHING

__all__ = ["RULE"]

_VERBS = "|".join(sorted(COMMANDS - WATCHING, key=lambda verb: (-len(verb), verb)))
_OBJECTS = r"(?:the|a|an|it|its|one|each|all|both|any|them|that|to|try|your|for|what)\b"
_SECOND = rf"(?<!^)(?:, and (?:then )?|, then | and (?:then )?)(?:{_VERBS}) {_OBJECTS}"
_ANOTHER = rf"^(?:{'|'.join(sorted(COMMANDS))}) {_OBJECTS}"
_AT_ONCE = rf"^(?:[^,]*, )?(?:{_VERBS}) and (?:{_VERBS})\b|^ask\b"


def _find(book: Book) -> Iterator[Finding]:
    for note, step in steps(book):
        first, *rest = sentences(step.text)
        doubled = has(first, _SECOND) and not has(first, _AT_ONCE)
        if doubled or has(step.text, r"\band then\b") or any(has(part, _ANOTHER) for part in rest):
            yield at_step(note, step, f"holds two instructions: {clip(step.text)}")


RULE = Rule(
    code="C501",
    name="one-instruction",
    severity="warning",
    summary="A step holds one instruction, unless two things are done at once.",
    reason="The second instruction of a step is the one that is forgotten.",
    source="ASD-STE100 Issue 9 (2025), rule 5.2 (restated)",
    good="2. Close the lid.",
    bad="2. Close the lid and play the demo.",
    find=_find,
)
