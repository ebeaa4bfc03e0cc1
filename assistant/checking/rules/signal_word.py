"""C302: the signal word fits the harm."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.safety_words import GRAVE, PEOPLE
from assistant.checking.said import has, sentences
from assistant.model import ON_SAFETY, Note, SafetyMessage

__all__ = ["RULE"]

_DEADLY = r"\b(?:kills?|die|death|fatal|lethal|electrocut\w*|blind for good)\b"
_SAYS_WILL = r"\bwill (?:kill|die|injure)\b"


def _fault(note: Note, message: SafetyMessage) -> str:
    """Say what is wrong with the word, empty where nothing is."""
    hazard = " ".join(sentences(message.text)[:2])
    grave = has(message.text, GRAVE)
    if message.signal == "NOTICE":
        return "NOTICE is for things, and this one hurts people" if has(hazard, PEOPLE) else ""
    if not grave and not has(message.text, PEOPLE):
        return f"{message.signal} is for people; where things alone are harmed the word is NOTICE"
    if message.signal == "CAUTION":
        return "CAUTION is for light injury, and this one can kill" if has(message.text, _DEADLY) else ""
    if message.signal == "DANGER":
        if not note.id.startswith(ON_SAFETY) or not has(message.text, r"\bwill\b") or not grave:
            return "DANGER is for what will kill or badly injure, and stands in a safety note alone"
        return ""
    if not grave:
        return "WARNING is for death or grave injury; for a light one the word is CAUTION"
    return "only DANGER says that it will happen; a WARNING says that it could" if has(hazard, _SAYS_WILL) else ""


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        for message in note.safety:
            if fault := _fault(note, message):
                yield Finding(note.path, message.line, fault)


RULE = Rule(
    code="C302",
    name="signal-word",
    severity="error",
    summary="DANGER will and WARNING could kill or badly injure, CAUTION injures lightly, NOTICE harms things only.",
    reason="A word that is too strong wears off, and one that is too weak is not heeded.",
    source="ANSI Z535.6-2011 (restated)",
    good="> **NOTICE** The wipe is wet. Water rusts the hinge. Keep the hinge dry.\n\n2. Look at the hinge.",
    bad="> **CAUTION** The wipe is wet. Water rusts the hinge. Keep the hinge dry.\n\n2. Look at the hinge.",
    find=_find,
)
