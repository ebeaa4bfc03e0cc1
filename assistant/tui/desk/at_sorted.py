"""The groups as the screen lists them, and how they are sorted by hand: set aside, parted, joined, ignored."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TypeVar

from assistant.analysis.tokens import tokenize
from assistant.desk.by_hand import ByHand, Deed, apart, deed_of, sorted_by_hand, together
from assistant.desk.unanswered import Group, answered_now
from assistant.errors import AssistantError
from assistant.tui.common.asking import Ask, Offer
from assistant.tui.common.contracts import Asks
from assistant.tui.common.text import printable
from assistant.tui.desk.at_desk import AtDesk
from assistant.visiting.times import local_day

__all__ = ["AtSorted", "now_words", "written"]

T = TypeVar("T")

_NOW = {"answer": "answered with", "choose": "offered:", "none": "not answered; nearest is"}
_MOST_GROUPS = 5
_WHICH = "Which wordings? Type their numbers, such as 2,3"


def now_words(group: Group) -> str:
    """Return what a question of the group gets now."""
    return f"{_NOW[group.decision]} {group.note}" if group.note else "not answered, and no note comes near"


class AtSorted(AtDesk):
    """The groups, biggest first, those set aside or ignored last.

    Parameters
    ----------
    groups
        The groups as they were found.
    asks
        Tells what a question gets now.
    by_hand
        What was done to groups by hand, before and now.
    """

    def __init__(self, groups: Sequence[Group], asks: Asks, by_hand: ByHand) -> None:
        super().__init__()
        self._found = list(groups)
        self._asks = asks
        self._by_hand = by_hand
        self._aside: set[str] = set()
        self.taken: dict[str, list[str]] = {}
        self._sort()

    def _sort(self) -> None:
        now = partial(answered_now, self._asks.ask)
        self._groups = sorted_by_hand(self._found, self._by_hand.read(), now)

    @property
    def groups(self) -> list[Group]:
        """The groups in the order of the lines."""
        return sorted(self._groups, key=lambda group: group.key in self._aside or group.ignored)

    @property
    def numbered(self) -> bool:
        """Whether the wordings of the open group are picked by their numbers."""
        return self.question == _WHICH

    @property
    def count(self) -> int:
        """How many groups there are."""
        return len(self._groups)

    @property
    def group(self) -> Group | None:
        """The open group."""
        return None if self.opened is None else self.groups[self.opened]

    def state(self, group: Group) -> str:
        """Return what has become of a group in this sitting; empty where nothing has."""
        if group.key in self.taken:
            return f"+ taken: {', '.join(self.taken[group.key])}"
        if group.ignored:
            return "x ignored"
        return "x set aside" if group.key in self._aside else ""

    def line(self, place: int) -> str:
        """Return how often, how many shops, last seen, the wording most asked, and what it gets now."""
        group = self.groups[place]
        state = self.state(group)
        asked = f"{group.askings} x, {group.where}, last {local_day(group.last_at)}"
        told = f"{asked}: {group.wordings[0][0]} (now {now_words(group)})"
        return f"{state} | {told}" if state else told

    def sorting_offers(self, group: Group) -> tuple[Offer, ...]:
        """Return the lines that sort a group."""
        ignored = Offer("Ignore it no longer", partial(self._do, deed_of("taken up", group)))
        aside = "Take it up again" if group.key in self._aside else "Set aside, for this sitting only"
        leaving = (
            Offer(aside, partial(self._set_aside, group)),
            Offer("Ignore it for good", partial(self._do, deed_of("ignored", group))),
        )
        sorting = []
        if len(group.wordings) > 1:
            sorting.append(Offer("Some wordings apart, as a group of their own", partial(self._ask_apart, group)))
        if self.count > 1:
            sorting.append(Offer("One with another group", partial(self._ask_group, group)))
        return (*sorting, *([ignored] if group.ignored else leaving))

    def _ask_apart(self, group: Group) -> Ask:
        return Ask(_WHICH, partial(self._apart, group))

    def _apart(self, group: Group, text: str) -> None:
        self._do(apart(group, text))

    def _ask_group(self, group: Group, text: str = "") -> Ask:
        wanted = set(tokenize(text or " ".join(wording for wording, _ in group.wordings)))
        others = [other for other in self.groups if other.key != group.key]
        shared = {
            other.key: max(len(wanted & set(tokenize(wording))) for wording, _ in other.wordings) for other in others
        }
        near = sorted(others, key=lambda other: -shared[other.key])[:_MOST_GROUPS]
        offers = (Offer(self._short(other), partial(self._do, together(group, other))) for other in near)
        return Ask("Which group? Pick it, or type words of it", partial(self._ask_group, group), tuple(offers))

    def _short(self, group: Group) -> str:
        return f"{group.askings} x: {group.wordings[0][0]}"

    def _do(self, deed: Deed) -> None:
        written(lambda: self._by_hand.add(deed))
        self._sorted(f"{printable(str(deed))}. To take it back, type undo.")

    def undo(self) -> None:
        """Take back what was done last to any group by hand, in this sitting or before.

        Raises
        ------
        UsageError
            If nothing was, or a question is on the line.
        """
        self._unasked()
        deed = written(self._by_hand.undo)
        self._sorted(f"Taken back: {printable(str(deed))}")

    def _sorted(self, told: str) -> None:
        self._sort()
        self.opened = None
        self.start = self.last = 0
        self.said = told

    def _set_aside(self, group: Group) -> None:
        self._aside ^= {group.key}
        self.opened = None
        self.last = 0


def written(write: Callable[[], T]) -> T:
    """Write into the notes; what the disk refuses is said as any other refusal."""
    try:
        return write()
    except OSError as error:
        raise AssistantError(f"{error.filename}: cannot be written: {error.strerror}") from error
