"""C714: alarm.yaml holds words that ring."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule

__all__ = ["RULE"]

_ALARMS = "alarm.yaml"


def _find(book: Book) -> Iterator[Finding]:
    alarms = book.corpus.alarms
    if any(fault.path == _ALARMS for fault in book.faults) or not book.corpus.notes:
        return
    lines = book.texts.get(_ALARMS, ())
    for alarm in alarms:
        if not alarm.words:
            line = next((n for n, text in enumerate(lines, start=1) if text.startswith(f"{alarm.note}:")), 1)
            yield Finding(_ALARMS, line, f"'{alarm.note}' has no word that rings: add words, or take it out")
    if not alarms:
        what = "holds no words of harm, so that no safety note ever comes first"
        yield Finding(_ALARMS, 1, f"{what}: name a note on harm and its words, such as not breathing, smoke, fire")


RULE = Rule(
    code="C714",
    name="alarm-words",
    severity="warning",
    summary="alarm.yaml holds words of harm, and has some for every note that it names.",
    reason="Whoever tells of harm in words that nothing rings at gets no safety note, and no line on whom to call.",
    source="the corpus's own style",
    good="pad-seed:\n  words: [vapour]",
    bad="pad-seed:\n  not: [smoke test]",
    find=_find,
    place="alarms",
    across=True,
)
