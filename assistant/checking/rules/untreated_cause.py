"""C211: a part that is named as a cause is dealt with by a step or by a note that is named."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import Said, clip, found, has, whole_text
from assistant.checking.stems import stems
from assistant.checking.trade_words import words_of
from assistant.model import Note

__all__ = ["RULE"]

_MENDING = frozenset({"clean", "adjust", "replace"})
"""Actions of notes that find a cause and treat it; elsewhere a cause tells how it came about."""
_AT_FAULT = (
    r"\b(?:flat|worn|broken?|broke|failed|failing|faulty|dead|dirty|blocked|clogged|stopped|stuck|loose|missing|empty|"
    r"asleep|low|wrong|damaged|torn|cracked|full|off)\b"
)


def _dealt_with(note: Note, titles: dict[str, str]) -> frozenset[str]:
    """Return the stems of all that a note does, and of the titles of the notes that it names."""
    named = " ".join(titles.get(target, "") for target in note.links)
    return stems(" ".join((whole_text(note, "before", "steps", "choices", "safety", "fails"), named)))


def _find(book: Book) -> Iterator[Finding]:
    """Yield causes with a part or device that is not named where the note does something.

    Only notes that clean, adjust or replace are looked at, and only causes by which a part of the trade, or one of some
    devices, is worn, flat, broken and the like: how a thing came about ("a person hit it") needs no step. That a step
    names the part does not say that it treats this cause.
    """
    titles = {note.id: note.title for note in book.corpus.notes}
    words = words_of(book)
    between = {stems(name) for name in words.between}
    parts = {stems(name) for name in (*(part.name for part in book.corpus.trade.parts), *words.devices)} - {frozenset()}
    for note in book.corpus.notes:
        if note.action not in _MENDING:
            continue
        done = _dealt_with(note, titles)
        for text in note.cause:
            about = stems(text)
            things = between | parts if has(text, _AT_FAULT) else between
            named = [thing for thing in things if thing <= about]
            if not all(thing <= done for thing in named):
                yield found(book, Said(note, "cause", text), f"no step and no note named treats this: {clip(text)}")


RULE = Rule(
    code="C211",
    name="cause-treated",
    severity="note",
    summary="A part that a cause names stands in a step, a choice or the title of a note that is named. Finds wording.",
    reason="A cause that nothing treats sends the rep home with the fault still there.",
    source="IEC/IEEE 82079-1:2019, fault location ends in a remedy (restated)",
    good="The lamp stays dark. The pad does nothing.\n\n## Cause\n\n- A trolley hit the pad.",
    bad="The lamp stays dark. The pad does nothing.\n\n## Cause\n\n- The alarm has a flat battery.",
    find=_find,
    place="condition",
)
