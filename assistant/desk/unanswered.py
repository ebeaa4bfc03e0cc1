"""What reps asked and did not find, grouped by what would be one note, biggest first."""

from __future__ import annotations

import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from assistant.answering.assistant import Assistant
from assistant.answering.spread import ask_all
from assistant.desk.clusters import clusters
from assistant.desk.meaning import rows_of
from assistant.desk.missed import Miss, Missed
from assistant.desk.names import Names
from assistant.model import Answer, Decision
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = ["Group", "Now", "answered_now", "group_missed", "group_of", "in_order", "named"]


class Now(NamedTuple):
    """What a question gets now: the nearest note, empty for none, and what is decided."""

    note: str
    title: str
    decision: Decision


class Group(NamedTuple):
    """Questions that would be one note.

    ``key`` names the group in commands; ``text`` is the question nearest to all others. ``wordings`` are (text, how
    often), most often first. ``given`` are (note, how often) of the answers that were likely to be wrong. ``note`` is
    the nearest note now, ``decision`` what would be answered now. ``missed`` are the questions one by one.
    """

    key: str
    text: str
    wordings: tuple[tuple[str, int], ...]
    askings: int
    stores: tuple[str, ...]
    first_at: str
    last_at: str
    misses: tuple[tuple[Miss, int], ...]
    given: tuple[tuple[str, int], ...]
    note: str
    title: str
    decision: Decision
    ignored: bool
    missed: tuple[Missed, ...]

    @property
    def now(self) -> Now:
        """What its middle question gets now."""
        return Now(self.note, self.title, self.decision)

    @property
    def where(self) -> str:
        """In how many shops it was asked, in words."""
        shops = len(self.stores)
        return f"{shops} shop{'' if shops == 1 else 's'}" if shops else "shop not known"


def group_missed(missed: Sequence[Missed], pack: Pack, progress: Progress = silent) -> list[Group]:
    """Group by meaning, with people's names masked.

    Order: most askings, then most shops, then text.
    """
    names = Names(pack)
    by_text: dict[str, list[Missed]] = {}
    for entry in missed:
        text = names.masked(entry.text)
        by_text.setdefault(text, []).append(entry._replace(text=text))
    texts = sorted(by_text)
    found = [[texts[place] for place in places] for places in clusters(rows_of(texts, pack, progress))] if texts else []
    middles = [members[0] for members in found]
    now = ask_all(pack, _begin_now, middles, progress, f"asking {len(middles)} questions")
    return in_order(
        group_of(middle, [entry for text in members for entry in by_text[text]], then)
        for middle, members, then in zip(middles, found, now, strict=True)
    )


def in_order(groups: Iterable[Group]) -> list[Group]:
    """Return groups in their order."""
    return sorted(groups, key=lambda group: (-group.askings, -len(group.stores), group.text))


def group_of(middle: str, missed: Iterable[Missed], now: Now, *, ignored: bool = False) -> Group:
    """Return the group of these questions, whatever their order; ``middle`` is the one nearest to all others."""
    asked = sorted(missed)
    return Group(
        key=_key(middle),
        text=middle,
        wordings=_most_first(entry.text for entry in asked),
        askings=len(asked),
        stores=tuple(sorted({entry.store for entry in asked if entry.store})),
        first_at=min(entry.at for entry in asked),
        last_at=max(entry.at for entry in asked),
        misses=tuple(sorted(Counter(miss for entry in asked for miss in entry.misses).items())),
        given=_most_first(entry.note for entry in asked if entry.note),
        note=now.note,
        title=now.title,
        decision=now.decision,
        ignored=ignored,
        missed=tuple(asked),
    )


def _key(text: str) -> str:
    return f"{zlib.crc32(text.encode('utf-8', 'surrogatepass')):08x}"


def named(groups: Iterable[Group], key: str) -> Group | None:
    """Return the group of that key, or else the one that now holds the question that gave the key; None for none.

    When the notes change, groups and their middles may change a little.
    """
    held = list(groups)
    whole = (group for group in held if group.key == key)
    parts = (group for group in held if any(_key(text) == key for text, _ in group.wordings))
    return next(whole, None) or next(parts, None)


def _most_first(texts: Iterable[str]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(Counter(texts).items(), key=lambda pair: (-pair[1], pair[0])))


def answered_now(ask: Callable[[str], tuple[Answer, Any]], question: str) -> Now:
    """Return what a question gets now, where ``ask`` answers it."""
    answer, _ = ask(question)
    nearest = (answer.note.id, answer.note.title) if answer.note else ("", "")
    if not nearest[0] and answer.options:
        nearest = (answer.options[0].id, answer.options[0].title)
    return Now(*nearest, answer.decision)


def _begin_now(pack: Pack) -> Callable[[str], Now]:
    assistant = Assistant(pack)
    return lambda question: answered_now(assistant.ask, question)
