"""What reps asked and did not find, grouped by meaning, biggest first."""

from __future__ import annotations

import zlib
from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Literal, NamedTuple

from assistant.analysis.analyzer import Stems, is_question_word
from assistant.analysis.tokens import tokenize
from assistant.answering.assistant import Assistant
from assistant.desk.clusters import clusters
from assistant.journal.export import Export
from assistant.journal.records import Feedback, Question, Visit

__all__ = ["AGAIN_SECONDS", "Group", "Miss", "Missed", "group_missed", "missed_questions"]

Miss = Literal["none", "not helpful", "asked again"]
AGAIN_SECONDS = 180
"""Within this time another wording of the same matter counts as asking again."""
_ALIKE = 0.2


class Missed(NamedTuple):
    """One question that did not find its answer, and why it is taken so."""

    text: str
    at: str
    store: str
    journal: str
    misses: tuple[Miss, ...]


class Group(NamedTuple):
    """Questions that mean the same.

    ``key`` names the group in commands; ``text`` is the question nearest to all others. ``wordings`` are (text, how
    often), most often first. ``note`` is the nearest note now, ``decision`` what would be answered now.
    """

    key: str
    text: str
    wordings: tuple[tuple[str, int], ...]
    askings: int
    stores: tuple[str, ...]
    first_at: str
    last_at: str
    misses: tuple[tuple[Miss, int], ...]
    note: str
    title: str
    decision: str


def missed_questions(exports: Iterable[Export]) -> list[Missed]:
    """Return the questions that got no answer, were called not helpful, or were asked again in other words."""
    found: list[Missed] = []
    for export in exports:
        stores = {visit.id: visit.store for visit in export.all(Visit)}
        unhelpful = {entry.question for entry in export.all(Feedback) if entry.verdict == "not_helpful"}
        questions = export.all(Question)
        stems = Stems()
        for place, question in enumerate(questions):
            following = questions[place + 1] if place + 1 < len(questions) else None
            misses: list[Miss] = []
            if question.decision == "none":
                misses.append("none")
            if question.id in unhelpful:
                misses.append("not helpful")
            if following and _asked_again(question, following, stems):
                misses.append("asked again")
            if misses:
                store = stores.get(question.visit or 0, "")
                found.append(Missed(question.text, question.at, store, export.uid, tuple(misses)))
    return found


def _asked_again(question: Question, following: Question, stems: Stems) -> bool:
    """Tell whether the next question asks the same in other words, and is no turn on the note just shown."""
    if question.visit != following.visit or following.about != "procedure":
        return False
    if question.text == following.text or (question.note and question.note == following.note):
        return False
    between = datetime.fromisoformat(following.at) - datetime.fromisoformat(question.at)
    if not 0 <= between.total_seconds() <= AGAIN_SECONDS:
        return False
    one, other = set(_terms(question.text, stems)), set(_terms(following.text, stems))
    return bool(one & other) and len(one & other) >= _ALIKE * len(one | other)


def _terms(text: str, stems: Stems) -> list[str]:
    return [stems(form) for form in tokenize(text) if not is_question_word(form)]


def group_missed(missed: Sequence[Missed], assistant: Assistant) -> list[Group]:
    """Group by meaning.

    Order: most askings, then most shops, then text.
    """
    by_text: dict[str, list[Missed]] = {}
    for entry in missed:
        by_text.setdefault(entry.text, []).append(entry)
    stems = Stems()
    groups = []
    for members in clusters(sorted(by_text), lambda text: _terms(text, stems)):
        asked = [entry for text in members for entry in by_text[text]]
        counts = Counter(entry.text for entry in asked)
        middle = members[0]
        answer, _ = assistant.ask(middle)
        nearest = (answer.note.id, answer.note.title) if answer.note else ("", "")
        if not nearest[0] and answer.options:
            nearest = (answer.options[0].id, answer.options[0].title)
        groups.append(
            Group(
                key=f"{zlib.crc32(middle.encode('utf-8', 'surrogatepass')):08x}",
                text=middle,
                wordings=tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))),
                askings=len(asked),
                stores=tuple(sorted({entry.store for entry in asked if entry.store})),
                first_at=min(entry.at for entry in asked),
                last_at=max(entry.at for entry in asked),
                misses=tuple(sorted(Counter(miss for entry in asked for miss in entry.misses).items())),
                note=nearest[0],
                title=nearest[1],
                decision=answer.decision,
            )
        )
    return sorted(groups, key=lambda group: (-group.askings, -len(group.stores), group.text))
